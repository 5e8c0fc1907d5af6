"""Remarks on texts and patterns, on parameters nothing uses, and on versions that editions share."""

from __future__ import annotations

import pytest

from pcaudit.core.advice import Advice, advise
from pcaudit.core.compile import compile_profile
from pcaudit.core.cpu_names import read
from pcaudit.core.cpu_series import series_names
from pcaudit.errors import Place
from pcaudit.loading import series_for, tables
from tests.core.builders import profile_of

SERIES = frozenset({"core i5", "core i7", "core ultra 5", "pentium", "celeron", "ryzen 5"})


def _told(text: str) -> list[Advice]:
    return list(advise(profile_of(text), SERIES))


def _package(name: str) -> str:
    return f'[[software.packages]]\nid = "a"\ncount = 0\nname = {name}\n'


def _volume(mount: str) -> str:
    return f"[[storage.volumes]]\nid = 'a'\nmount = {mount}\n"


@pytest.mark.parametrize(
    ("text", "key", "noticed", "better"),
    [
        ('os.domain = "true"', "os.domain", '"true" is a text here', '{ matches = "*" }'),
        ('os.domain.none_of = ["x", "No"]', "os.domain.none_of", '"No" is a text here', "in quotes"),
        (
            'cpu.cores = { minimum = 1, when = { "os.domain" = "yes" } }',
            "cpu.cores.when",
            'os.domain: "yes" is a text here',
            '{ matches = "*" }',
        ),
        ('os.decimal_separator = "point"', "os.decimal_separator", '"point" is a word', 'write "."'),
        ('os.decimal_separator.none_of = ["comma"]', "os.decimal_separator.none_of", "a word", 'write ","'),
        ('os.decimal_separator = "dezimal"', "os.decimal_separator", "is a word", 'write "." or ","'),
        (_volume("'D:'"), "storage.volumes[1].mount", "a capital letter", r"write 'D:\'"),
        (_volume("'d:\\'"), "storage.volumes[1].mount", "a capital letter", r"write 'D:\'"),
        (_volume("'D:/'"), "storage.volumes[1].mount", "a capital letter", r"write 'D:\'"),
        (_volume(r"'d:\Data\'"), "storage.volumes[1].mount", "a capital letter", r"write 'D:\Data\'"),
        (
            _package('{ matches = "Old Suite.*" }'),
            "software.packages[1].name.matches",
            "`.*`",
            '"Old Suite*"',
        ),
        (
            'computer.model.matches = "(One|Two)*"',
            "computer.model.matches",
            "`(One|Two)` stands for itself",
            "list of patterns",
        ),
        (
            _package('{ matches = "Old Suite *" }'),
            "software.packages[1].name",
            '"Old Suite" itself',
            '["Old Suite", "Old Suite *"]',
        ),
        ('cpu.series = "i5"', "cpu.series", 'no series "i5"', 'did you mean "core i5"?'),
        ('cpu.series = "intel core i5"', "cpu.series", "no series", 'did you mean "core i5"?'),
        ('cpu.series.none_of = ["Pentium Gold"]', "cpu.series.none_of", "no series", '"pentium"'),
        ('cpu.series.matches = "i5*"', "cpu.series.matches", "no series", '"core i5"'),
        ('cpu.series = "corei7"', "cpu.series", "no series", '"core i7"'),
        ('cpu.series = "quantum"', "cpu.series", "no series", "docs/cpu-knowledge.md"),
        (
            '[cpu]\nseries = "ryzen 5"\ngeneration.minimum = 3000',
            "cpu.generation.minimum",
            "a model number",
            "write 3",
        ),
    ],
)
def test_words_that_say_something_else(text: str, key: str, noticed: str, better: str) -> None:
    """A word or pattern that fits other things than its writer means is remarked on, with the right one."""
    (one,) = _told(text)
    assert one.key == key
    assert noticed in one.noticed
    assert better in one.better


@pytest.mark.parametrize(
    "text",
    [
        'os.domain = { matches = "*" }',
        'os.domain = "site"',
        'os.decimal_separator = "."',
        'os.decimal_separator = { none_of = [","] }',
        _volume(r"'D:\'"),
        _volume(r"'C:\Data\'"),
        _volume("'/srv/data'"),
        _package('{ matches = "Old Suite 4.*" }'),
        _package('{ matches = "Old Suite[.]*" }'),
        _package('{ matches = "Old Suite (x64)*" }'),
        _package('{ matches = ["Old Suite", "Old Suite *"] }'),
        _package('{ matches = ["Old Suite *", "Old*"] }'),
        '[[software.packages]]\nid = "a"\nname = { matches = "New Suite *" }',
        'cpu.series = ["core i5", "Ryzen 5"]',
        'cpu.series.matches = "core*"',
        '[cpu]\nseries = "core i5"\ngeneration.minimum = 12',
    ],
)
def test_words_that_say_what_they_mean(text: str) -> None:
    """Words, mount points and patterns as a PC has them are left alone."""
    assert _told(text) == []


def test_series_are_not_judged_where_the_table_is_unknown() -> None:
    """Without the table of processors no series is said to be none."""
    assert advise(profile_of('cpu.series = "i5"')) == ()


def test_every_series_of_the_shipped_table_is_one() -> None:
    """The names that patterns give are told from the patterns, choices of characters included."""
    known = tables(("cpu",)).cpu
    assert known is not None
    names = series_names(known)
    assert {"core i5", "core ultra 7", "ryzen 5", "core m3", "xeon gold", "pentium"} <= names
    assert not any("{" in name for name in names)


def test_a_series_that_cannot_be_told_judges_none() -> None:
    """Where a pattern leaves the series open, no word is said to be none of the table's."""
    data = {
        "meta": {
            "format": 1,
            "date": tables(("cpu",)).cpu.date,  # type: ignore[union-attr]
            "sources": [{"id": "a", "title": "a"}],
        },
        "patterns": [{"series": "x {tier}", "pattern": "x (?P<tier>a|b)", "no_generation": "none"}],
    }
    assert series_names(read(data)) == frozenset()


@pytest.mark.parametrize(
    ("text", "known"),
    [
        ('cpu.series = "i5"', True),
        ('[options.a.cpu]\nseries = "i5"', True),
        ('cpu.cores = { minimum = 1, when = { "cpu.series" = "core i5" } }', True),
        ("cpu.cores = { minimum = 1 }", False),
    ],
)
def test_the_table_is_read_only_for_a_profile_that_names_series(text: str, known: bool) -> None:
    """A profile that asks nothing of series does not pay for the table of processors."""
    assert bool(series_for(profile_of(text))) is known


N = "parameters.n = { default = 1, minimum = 1, maximum = 4 }\n"


@pytest.mark.parametrize(
    "text",
    [
        'memory.installed = { minimum = "1 GB", per = { n = "1 GB" } }',
        "cpu.cores = { minimum = 1, when = { n = { minimum = 2 } } }",
        'cpu.cores = { minimum = 1 }\n[options.a.memory.installed]\nper = { "parameters.n" = "1 GB" }',
        "cpu.cores.minimum = 1\n[[arrangements]]\nid = 'a'\nkind = 'person'\ntitle = 'A'\nwhen.n.equal = 2",
        '[[storage.drives]]\nid = "a"\nsize = { minimum = "1 GB", per = { n = "1 GB" } }',
        "[[os.any_of]]\ntype = 'linux'\nwhen = { n = { minimum = 2 } }",
    ],
)
def test_a_parameter_that_something_uses(text: str) -> None:
    """A parameter named in a `per` or `when` anywhere in the profile is left alone."""
    assert _told(N + text) == []


def test_a_parameter_that_nothing_uses() -> None:
    """A parameter nothing depends on is remarked on, unless a profile built on its file uses it."""
    base = profile_of(N + "cpu.cores = { minimum = 1 }")
    (one,) = advise(base)
    assert one.key == "parameters.n" and "--set changes nothing" in one.noticed
    data = {
        "format": 1,
        "title": "Top",
        "memory": {"installed": {"minimum": "1 GB", "per": {"n": "1 GB"}}},
    }
    top = compile_profile(data, path="top.toml", place=lambda _: Place("top.toml"), bases=[base])
    assert advise(top) == ()


OS = '{}\ntype = "windows"\nversion = ">=10.0.22000"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (OS.format("[os]"), True),
        (OS.format("[os]") + 'edition = "pro"', False),
        (OS.format("[os]") + 'product = "Windows 11"', False),
        (OS.format("[os]") + 'edition_id = "Professional"', False),
        (OS.format("[[os.any_of]]"), True),
        (OS.format("[[os.any_of]]") + 'edition = "pro"', False),
        (OS.format("[[os.any_of]]") + '[[os.any_of]]\ntype = "linux"', True),
        (OS.format("[[os.any_of]]") + '[os.product]\nequal = "Windows 11"', False),
        (OS.format("[[os.any_of]]") + '[os.product]\nequal = "A"\nwhen = { "os.type" = "linux" }', True),
        (OS.format("[os]") + '[[os.any_of]]\ntype = "windows"\nedition = "pro"', False),
        ('[os]\ntype = "macos"\nversion = ">=14"', False),
    ],
)
def test_editions_of_windows_share_versions(text: str, said: bool) -> None:
    """A version of Windows without edition or product lets Home and servers in, and says so."""
    told = [one for one in _told(text) if "Home and S mode" in one.noticed]
    assert bool(told) is said
    assert all('edition = ["pro", "enterprise"]' in one.better for one in told)


def test_every_remark_on_a_word_compiles_once_followed() -> None:
    """What a remark on a pattern says to write is a pattern that nothing is remarked on."""
    (one,) = _told(_package('{ matches = "Old Suite *" }'))
    followed = one.better.removeprefix("write ")
    assert _told(f'[[software.packages]]\nid = "a"\ncount = 0\n{followed}') == []
