"""Compiling profiles: every mistake named at its place, and nothing else refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.core.catalogue import CATALOGUE, GROUPS
from pcaudit.core.choose import ask
from pcaudit.core.compile import KINDS, compile_profile, fingerprint
from pcaudit.core.conditions import FORMS
from pcaudit.core.contradictions import contradictions
from pcaudit.core.profile import AnyOf, Items, Scalar
from pcaudit.errors import MistakesError, Place
from tests.core.builders import HEAD, mistakes_of, profile_of

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "requirements_profiles").glob("*.toml"))


def _table(text: str) -> str:
    return f'[[network.adapters]]\nid = "port"\n{text}\n'


# What is written below the head, the key named, a part of the message and a part of the hint.
MISTAKES = [
    # -- sections, readings and keys that do not exist
    ("[memmory]", "memmory", "unknown section", "did you mean `memory`?"),
    ("colour = 1", "colour", "unknown section", "known here:"),
    ("memory = 5", "memory", "is a section", "write [memory]"),
    ('memory.instaled = "16 GB"', "memory.instaled", "no reading", "did you mean `installed`?"),
    ("cpu.cores = { minimun = 4 }", "cpu.cores.minimun", "unknown key", "did you mean `minimum`?"),
    ("cpu.cores = { minimum = 4, when = 1 }", "cpu.cores.when", "`when` is a table", "os.type"),
    (
        "cpu.cores = { minimum = 4, per = { instruments = 1 } }",
        "cpu.cores.per.instruments",
        "no parameter and no reading",
        "",
    ),
    (
        'cpu.cores = { minimum = 4, per = { "parameters.cpu.sockets" = 1 } }',
        'cpu.cores.per."parameters.cpu.sockets"',
        "no parameter and no reading",
        "",
    ),
    ("cpu.when = 1", "cpu.when", "`when` is a table", ""),
    ("[parameters]\na = 1", "parameters.a", "a parameter is a table", "default = 1"),
    ("[options.a]", "options.a", "asks nothing", ""),
    ('[options."os.b".cpu.cores]\nminimum = 4', 'options."os.b"', "cannot be the name", "letters"),
    ("cpu.cores = { minimum = 4, advised = 1 }", "cpu.cores.advised", "true or false", ""),
    ('cpu.cores = { minimum = 4, title = "" }', "cpu.cores.title", "is empty", 'title = "..."'),
    ("cpu.cores = { minimum = 4, owner = 5 }", "cpu.cores.owner", "is a text", 'owner = "..."'),
    ('cpu.cores = { minimum = 4, because = " " }', "cpu.cores.because", "is empty", "because"),
    # -- bare values and values of the wrong type
    ("memory.installed = 16", "memory.installed", "bare value", '{ minimum = "16 GB" }'),
    ('memory.installed = "16 GB"', "memory.installed", "bare value", "minimum"),
    ("cpu.cores = 4", "cpu.cores", "bare value", "{ minimum = 4 }"),
    ('cpu.cores = "never"', "cpu.cores", "bare value", ""),
    ("computer.firmware_date = 2024-01-01", "computer.firmware_date", "bare value", "2027-01-31"),
    ('cpu.features = ["avx"]', "cpu.features", "told how", "includes"),
    ('storage.drives = "ssd"', "storage.drives", "list of items", "[[storage.drives]]"),
    ("power.sleep_after = 0", "power.sleep_after", "ambiguous", '"never"'),
    ("computer.model = 5", "computer.model", "the bare number 5", "quotes"),
    ("computer.model = true", "computer.model", "true where a text", "quotes"),
    ("computer.model = 2024-01-01", "computer.model", "the date 2024-01-01", "quotes"),
    ('computer.model = ""', "computer.model", "empty text", ""),
    ("computer.model = []", "computer.model", "empty list", "at least one"),
    ("computer.model = [[]]", "computer.model", "a list where a text", ""),
    ('computer.chassis = "cupboard"', "computer.chassis", "no word", "known here: desktop"),
    ('computer.chassis = "destkop"', "computer.chassis", "no word", "did you mean `desktop`?"),
    ('power.usb_suspend = "false"', "power.usb_suspend", "where true or false", "write true or false"),
    ("power.usb_suspend = 0", "power.usb_suspend", "where true or false", ""),
    ("cpu.level = 2", "cpu.level", "where a text belongs", ""),
    ('cpu.level = "x86-64-v5"', "cpu.level", "no word", "did you mean `x86-64-v"),
    ('cpu.features = { includes = "sse9" }', "cpu.features.includes", "no word", ""),
    ("cpu.features = { includes = [] }", "cpu.features.includes", "empty list", ""),
    ("computer.model = { none_of = [] }", "computer.model.none_of", "empty list", ""),
    ('computer.chassis = { matches = "d*" }', "computer.chassis.matches", "cannot be asked", ""),
    ('cpu.cores = { includes = "4" }', "cpu.cores.includes", "cannot be asked of an amount", ""),
    ("power.usb_suspend = { minimum = true }", "power.usb_suspend.minimum", "cannot be asked", ""),
    # -- amounts
    ("cpu.cores = { minimum = 4.5 }", "cpu.cores.minimum", "a whole number", "without quotes"),
    ('cpu.cores = { minimum = "4" }', "cpu.cores.minimum", "a whole number", "without quotes"),
    ("cpu.cores = { minimum = true }", "cpu.cores.minimum", "true where a whole number", ""),
    ("cpu.cores = { minimum = -1 }", "cpu.cores.minimum", "not negative", ""),
    ("memory.installed = { minimum = 16 }", "memory.installed.minimum", "with its unit", '"16 GB"'),
    ('memory.installed = { minimum = "16" }', "memory.installed.minimum", "no unit", '"16 GB"'),
    ('memory.installed = { minimum = "16 gb" }', "memory.installed.minimum", "not a unit", "'GB'"),
    ('memory.installed = { minimum = "-1 GB" }', "memory.installed.minimum", "not negative", ""),
    ("power.sleep_after = { minimum = 0 }", "power.sleep_after.minimum", "with its unit", '"never"'),
    ('power.sleep_after = { minimum = "0 min" }', "power.sleep_after.minimum", "ambiguous", '"never"'),
    (
        'computer.firmware_date = { minimum = "soon" }',
        "computer.firmware_date.minimum",
        "a date",
        "2027-01-31",
    ),
    ("computer.firmware_date = { minimum = 12:00:00 }", "computer.firmware_date.minimum", "a date", ""),
    ('computer.firmware_date = { minimum = "20240131" }', "computer.firmware_date.minimum", "a date", ""),
    ('computer.firmware_date = { minimum = "2024-W05-3" }', "computer.firmware_date.minimum", "a date", ""),
    (_table("capable_speed = 1000"), "network.adapters[1].capable_speed", "bare value", ""),
    # -- conditions that exclude each other or ask nothing
    ("cpu.cores = {}", "cpu.cores", "nothing is asked", "minimum"),
    ("cpu.cores = { advised = true }", "cpu.cores", "nothing is asked", "minimum"),
    ('computer.model = { owner = "IT" }', "computer.model", "nothing is asked", "matches"),
    ("cpu.cores = { minimum = 5, maximum = 4 }", "cpu.cores", "above the maximum", "no PC"),
    ("cpu.cores = { equal = 4, minimum = 4 }", "cpu.cores", "stands alone", ""),
    (
        'cpu.features = { includes = "avx", excludes = "AVX" }',
        "cpu.features",
        "asked for and excluded",
        "no PC",
    ),
    # -- what is recommended
    ("cpu.cores = { recommended = 4 }", "cpu.cores.recommended", "exactly one of", ""),
    (
        "cpu.cores = { minimum = 1, maximum = 8, recommended = 4 }",
        "cpu.cores.recommended",
        "exactly one of",
        "",
    ),
    ("cpu.cores = { minimum = 4, recommended = 2 }", "cpu.cores.recommended", "looser", ""),
    ("cpu.cores = { maximum = 4, recommended = 8 }", "cpu.cores.recommended", "looser", ""),
    ('cpu.cores = { minimum = 4, recommended = "8" }', "cpu.cores.recommended", "a whole number", ""),
    (
        'power.sleep_after = { minimum = "never", recommended = "1 h" }',
        "power.sleep_after.recommended",
        "looser",
        "",
    ),
    (
        'computer.model = { equal = "A", recommended = "B" }',
        "computer.model.recommended",
        "cannot be asked of a text",
        "advised",
    ),
    # -- versions
    ("computer.tpm_version = 2.0", "computer.tpm_version", "bare number 2.0", "in quotes"),
    ("computer.tpm_version = []", "computer.tpm_version", "empty list", "at least one"),
    ('computer.tpm_version = "two"', "computer.tpm_version", "no version of the dotted", "no scheme"),
    ('computer.tpm_version = ">=2,<1"', "computer.tpm_version", "no version satisfies", "exclude"),
    (
        'computer.tpm_version = { version = "2", scheme = "x" }',
        "computer.tpm_version.scheme",
        "scheme",
        "semver",
    ),
    (
        'computer.tpm_version = { version = "2", scheme = 5 }',
        "computer.tpm_version.scheme",
        "scheme",
        "semver",
    ),
    ('computer.tpm_version = { scheme = "semver" }', "computer.tpm_version", "nothing is asked", "range"),
    (
        'computer.tpm_version = { version = ">=1.0+x", scheme = "pep440" }',
        "computer.tpm_version.version",
        "no version specifier",
        "",
    ),
    (
        'computer.tpm_version = { version = { version = "2" } }',
        "computer.tpm_version.version",
        "a table where a version range",
        "",
    ),
    # -- patterns that are read in more than one way
    ('computer.model = { matches = "[^a]*" }', "computer.model.matches", "more than one way", "[!...]"),
    ('computer.model = { matches = "[[:digit:]]*" }', "computer.model.matches", "more than one way", "[0-9]"),
    ("computer.model = { matches = 'a\\*' }", "computer.model.matches", "more than one way", "[*]"),
    (f'computer.model = {{ matches = "{"a" * 201}" }}', "computer.model.matches", "201 characters", "200"),
    ("computer.model = { matches = 5 }", "computer.model.matches", "a text", ""),
    # -- readings that mean something only beside another
    ('os.version = ">=12"', "os.version", "sets `type`", 'type = "..."'),
    ('[os]\nversion = ">=12"\ntype = "linux"', "os.version", "sets `product`", 'product = "..."'),
    ('[os]\nversion = ">=12"\ntype = " LINUX "', "os.version", "sets `product`", ""),
    ('[os]\nversion = ">=12"\ntype = ["linux", "windows"]', "os.version", "sets `type`", ""),
    ('[os]\nversion = ">=12"\ntype = { none_of = "linux" }', "os.version", "sets `type`", ""),
    (
        '[os]\nversion = ">=12"\ntype = "linux"\nproduct = { matches = "D*" }',
        "os.version",
        "sets `product`",
        "",
    ),
    ('os.edition = "pro"', "os.edition", "sets `type`", ""),
    ('[os]\nfeature_release = "24H2"\ntype = "windows"', "os.feature_release", "sets `product`", ""),
    ("cpu.generation = { minimum = 8 }", "cpu.generation", "sets `series`", ""),
    # -- lists
    ("[network]\nadapters = []", "network.adapters", "empty list", ""),
    ("[network]\nadapters = [1]", "network.adapters", "list of items", "[[network.adapters]]"),
    ("[network.adapters]\nmedium = 1", "network.adapters", "list of items", "[[network.adapters]]"),
    ('[[network.adapters]]\nmedium = "wired"', "network.adapters[1]", "has an `id`", "instrument-port"),
    ("[[network.adapters]]\nid = 5", "network.adapters[1].id", "cannot be an id", "letters"),
    ('[[network.adapters]]\nid = "a b"', "network.adapters[1].id", "cannot be an id", "letters"),
    ('[[network.adapters]]\nid = ""', "network.adapters[1].id", "cannot be an id", ""),
    (_table('mediun = "wired"'), "network.adapters[1].mediun", "no `mediun`", "did you mean `medium`?"),
    (_table("when = 1"), "network.adapters[1].when", "`when` is a table", ""),
    (_table("own = 1"), "network.adapters[1].own", "true or false", ""),
    (_table("count = 2"), "network.adapters[1].count", "0 or a table", "minimum = 2"),
    (_table("count = false"), "network.adapters[1].count", "0 or a table", ""),
    (_table("count = {}"), "network.adapters[1].count", "asks nothing", ""),
    (_table("count = { minimum = 0 }"), "network.adapters[1].count", "asks nothing", ""),
    (_table("count = { minimum = true }"), "network.adapters[1].count.minimum", "whole number", ""),
    (_table("count = { minimum = -1 }"), "network.adapters[1].count.minimum", "whole number", ""),
    (_table("count = { minimum = 1.5 }"), "network.adapters[1].count.minimum", "whole number", ""),
    (_table("count = { least = 1 }"), "network.adapters[1].count.least", "unknown key", ""),
    (_table("count = { minimum = 3, maximum = 2 }"), "network.adapters[1].count", "above the", ""),
    (_table("count = { equal = 3, maximum = 4 }"), "network.adapters[1].count", "stands alone", ""),
    (_table("count = { recommended = 3 }"), "network.adapters[1].count", "exactly one of", "minimum = 1"),
    (
        _table("count = { minimum = 1, maximum = 4, recommended = 3 }"),
        "network.adapters[1].count",
        "exactly one of",
        "",
    ),
    (_table("count = { minimum = 3, recommended = 2 }"), "network.adapters[1].count", "looser", ""),
    (_table("count = { maximum = 3, recommended = 4 }"), "network.adapters[1].count", "looser", ""),
    (
        _table('medium = { equal = "wired", advised = "yes" }'),
        "network.adapters[1].medium.advised",
        "true",
        "",
    ),
    (
        _table('medium = { equal = "wired", title = "x" }'),
        "network.adapters[1].medium.title",
        "belongs to the table",
        "",
    ),
    (
        _table('count = 0\nmedium = { equal = "wired", advised = true }'),
        "network.adapters[1].medium",
        "a table with a maximum",
        "advised = true",
    ),
    (
        _table("count = { minimum = 1, maximum = 2 }\nmtu = { minimum = 1500, recommended = 9000 }"),
        "network.adapters[1].mtu",
        "a table with a maximum",
        "advised = true",
    ),
    (_table("") + _table(""), "network.adapters[2].id", "used twice", "line 4"),
    ('[[network.endpoints]]\nid = "a"\nhost = "h"', "network.endpoints[1]", "needs `port`", "to be asked"),
    (
        '[[network.endpoints]]\nid = "a"\nhost = ["h", "i"]\nport = { equal = 443 }',
        "network.endpoints[1].host",
        "names what is to be asked",
        "one value",
    ),
    (
        '[[network.endpoints]]\nid = "a"\nhost = { equal = ["h", "i"] }\nport = { equal = 443 }',
        "network.endpoints[1].host",
        "names what is to be asked",
        "one value",
    ),
    # -- alternatives
    ("[os]\nany_of = []", "os.any_of", "list of tables", "[[os.any_of]]"),
    ("[os]\nany_of = 5", "os.any_of", "list of tables", ""),
    ("[[os.any_of]]", "os.any_of[1]", "asks nothing", ""),
    ('[[os.any_of]]\ntitle = "A"', "os.any_of[1]", "asks nothing", ""),
    ('[[os.any_of]]\ntype = "linux"\nadvised = true', "os.any_of[1].advised", "cannot be advised", ""),
    ('[[os.any_of]]\ntype = "linus"', "os.any_of[1].type", "no word", "`linux`"),
    ('[[os.any_of]]\nversion = "12"', "os.any_of[1].version", "sets `type`", ""),
    ("[[os.any_of]]\nwhen = 1", "os.any_of[1].when", "`when` is a table", ""),
    # -- arrangements
    ("[arrangements]", "arrangements", "list of tables", "[[arrangements]]"),
    ("arrangements = []", "arrangements", "list of tables", ""),
]


@pytest.mark.parametrize(("text", "key", "message", "hint"), MISTAKES)
def test_a_mistake_is_named_at_its_place_with_what_is_right(
    text: str, key: str, message: str, hint: str
) -> None:
    """Each kind of mistake gives its key, what is wrong, what would be right, and a line of the file."""
    mistakes = mistakes_of(text)
    found = [mistake for mistake in mistakes if mistake.key == key and message in mistake.message]
    assert found, mistakes
    assert hint in found[0].hint
    assert found[0].place is not None
    assert found[0].place.file == "p.toml"
    assert found[0].place.line >= HEAD.count("\n")


def _arrangement(text: str) -> str:
    return f"[cpu.cores]\nminimum = 4\n[[arrangements]]\n{text}\n"


GOOD = 'id = "a"\nkind = "licence"\ntitle = "A licence"\n'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (GOOD.replace('"licence"', '"license"', 1), "is no kind"),
        (GOOD.replace('kind = "licence"\n', ""), "has a `kind`"),
        (GOOD.replace('title = "A licence"', ""), "has a `title`"),
        (GOOD.replace('id = "a"\n', ""), "has an `id`"),
        (GOOD + 'needed = "soon"', "is no time"),
        (GOOD + 'lead_time = "a while"', "is no lead time"),
        (GOOD + 'lead_time = "10 workdays"', "is no lead time"),
        (GOOD + "lead_time = 10", "is a text"),
        (GOOD + 'holder = "anna"', "unknown key `holder`"),
        (GOOD + "when = 1", "`when` is a table"),
        (GOOD + "[[arrangements]]\n" + GOOD, "used twice"),
    ],
)
def test_a_mistake_in_an_arrangement_is_named(text: str, message: str) -> None:
    """Arrangements are held to their own keys, kinds and words."""
    (mistake,) = mistakes_of(_arrangement(text))
    assert message in mistake.message
    assert mistake.key.startswith("arrangements[")


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_arrangement_compiles(kind: str) -> None:
    """Each kind the design names is one, with a lead time and a time it is needed."""
    more = 'lead_time = "10 working days"\nneeded = "on the day"\nowner = "IT"\nremedy = "r"\nbecause = "b"\n'
    profile = profile_of(_arrangement(GOOD.replace('"licence"', f'"{kind}"', 1) + more))
    (one,) = profile.arrangements
    assert (one.kind, one.lead_time, one.needed) == (kind, "10 working days", "on the day")


@pytest.mark.parametrize(
    ("head", "message", "hint"),
    [
        ('title = "A"\n', "begins with its format", "format = 1"),
        ("format = 1\n", "has a title", "title"),
        ('format = 1\ntitle = ""\n', "is empty", "title"),
        ("format = 1\ntitle = 5\n", "is a text", "title"),
        ('format = 2\ntitle = "A"\n', "format 2 is newer", "up to format 1"),
        ('format = 0\ntitle = "A"\n', "from 1 up", "format = 1"),
        ('format = true\ntitle = "A"\n', "from 1 up", "format = 1"),
        ('format = "1"\ntitle = "A"\n', "from 1 up", "format = 1"),
        ('format = 1.0\ntitle = "A"\n', "from 1 up", "format = 1"),
        ('format = 1\ntitle = "A"\nissued = "2026-10-01"\n', "is a date", "without quotes"),
        ('format = 1\ntitle = "A"\npublisher = 5\n', "is a text", "publisher"),
    ],
)
def test_the_head_of_a_profile_is_checked(head: str, message: str, hint: str) -> None:
    """Format and title are there and right, and a newer format is refused by name."""
    (mistake,) = mistakes_of("cpu.cores = { minimum = 4 }\n", head)
    assert message in mistake.message
    assert hint in mistake.hint


@pytest.mark.parametrize("text", ["", "[memory]\n", "[memory]\n[os]\n"])
def test_a_profile_without_conditions_is_a_mistake(text: str) -> None:
    """A profile that asks nothing would be met by every PC, so it is refused."""
    (mistake,) = mistakes_of(text)
    assert "without any condition" in mistake.message


def test_all_mistakes_are_told_at_once_in_the_files_order() -> None:
    """One run names every mistake, each with the line it stands in, top to bottom."""
    text = (
        "[cpu]\ncores = 4\nthreads = { minimun = 2 }\n"
        '[memory.installed]\nminimum = "16"\n'
        '[[network.adapters]]\nmedium = "wire"\n'
        '[[os.any_of]]\ntype = "linus"\n'
        "[weather]\n"
    )
    mistakes = mistakes_of(text)
    lines = [mistake.place.line for mistake in mistakes if mistake.place]
    assert lines == sorted(lines)
    assert [mistake.key for mistake in mistakes] == [
        *("cpu.cores", "cpu.threads.minimun", "memory.installed.minimum"),
        *("network.adapters[1]", "network.adapters[1].medium", "os.any_of[1].type", "weather"),
    ]
    assert mistakes[0].place is not None
    assert mistakes[0].place.text == "cores = 4"


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize(
    "section",
    [
        lambda bound: {"cpu": {"cores": {"minimum": bound}}},
        lambda bound: {"memory": {"installed": {"minimum": bound}}},
        lambda bound: {"display": {"screens": [{"id": "a", "ppi": {"minimum": bound}}]}},
        lambda bound: {"display": {"screens": [{"id": "a", "ppi": {"minimum": 9, "recommended": bound}}]}},
    ],
)
def test_a_bound_that_is_no_number_is_a_mistake(
    section: Callable[[float], dict[str, Any]], number: float
) -> None:
    """Not-a-number compares with nothing, so no document may bring it in as a bound."""
    assert not _compiles({"format": 1, "title": "A", **section(number)})


# -- what is right


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_example_profiles_compile(path: Path) -> None:
    """Both profiles that ship are free of mistakes and say why for every condition."""
    profile = profile_of(path.read_text(encoding="utf-8"), head="")
    assert profile.conditions
    assert profile.arrangements
    assert all(condition.meta.because for condition in profile.conditions)


def test_the_example_profiles_are_found() -> None:
    """The test of the examples does not pass for want of any."""
    assert len(EXAMPLES) == 4


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ('computer.model = ["A", "B"]', 'computer.model = { one_of = ["A", "B"] }'),
        ('computer.model = "A"', 'computer.model = { equal = "A" }'),
        ('computer.chassis = "LAPTOP"', 'computer.chassis = "laptop"'),
        ("power.usb_suspend = false", "power.usb_suspend = { equal = false }"),
        ('power.sleep_after = "never"', 'power.sleep_after = { equal = " Never " }'),
        ('cpu.level = "x86-64-v2"', 'cpu.level = { minimum = "x86-64-v2" }'),
        ('computer.tpm_version = "2.0"', 'computer.tpm_version = { version = "2.0", scheme = "dotted" }'),
        (
            'computer.firmware_date = { minimum = "2024-01-31" }',
            "computer.firmware_date.minimum = 2024-01-31",
        ),
        (
            "computer.firmware_date = { minimum = 2024-01-31T10:00:00Z }",
            "computer.firmware_date.minimum = 2024-01-31",
        ),
    ],
)
def test_short_spellings_mean_their_long_ones(one: str, other: str) -> None:
    """A bare value asks what the written-out condition asks."""
    (short,), (long,) = profile_of(one).conditions, profile_of(other).conditions
    assert isinstance(short, Scalar)
    assert isinstance(long, Scalar)
    assert [test.operand for test in short.requirement.required] == [
        test.operand for test in long.requirement.required
    ]
    assert short.requirement.says() == long.requirement.says()


@pytest.mark.parametrize(
    ("count", "bounds"),
    [
        ("", (1, None, None, None)),
        ("count = 0", (None, 0, None, None)),
        ("count = { minimum = 2 }", (2, None, None, None)),
        ("count = { maximum = 1 }", (None, 1, None, None)),
        ("count = { minimum = 0, maximum = 1 }", (None, 1, None, None)),
        ("count = { minimum = 1, maximum = 2 }", (1, 2, None, None)),
        ("count = { equal = 2 }", (2, 2, None, None)),
        ("count = { equal = 0 }", (None, 0, None, None)),
        ("count = { minimum = 1, recommended = 2 }", (1, None, 2, None)),
        ("count = { maximum = 3, recommended = 2 }", (None, 3, None, 2)),
        ("advised = true", (None, None, 1, None)),
        ("advised = true\ncount = 0", (None, None, None, 0)),
        ("advised = true\ncount = { minimum = 1, recommended = 2 }", (None, None, 2, None)),
        ("advised = true\ncount = { maximum = 3, recommended = 2 }", (None, None, None, 2)),
    ],
)
def test_counts_are_bounds(count: str, bounds: tuple[int | None, ...]) -> None:
    """One or more items unless said otherwise; what is advised is no bound that must hold."""
    (table,) = profile_of(_table(count)).conditions
    assert isinstance(table, Items)
    assert (table.minimum, table.maximum, table.better_minimum, table.better_maximum) == bounds


@pytest.mark.parametrize(
    ("text", "claims"),
    [
        (_table(""), True),
        (_table("own = false"), False),
        (_table("count = 0"), False),
        (_table("count = { maximum = 1 }"), False),
        (_table("advised = true"), True),
        ('[[storage.volumes]]\nid = "a"\n', False),
    ],
)
def test_only_minimums_on_exclusive_lists_claim(text: str, claims: bool) -> None:
    """A table with a minimum claims its items, unless it says that it does not own them."""
    (table,) = profile_of(text).conditions
    assert isinstance(table, Items)
    assert table.claims is claims


def test_alternatives_speak_with_the_first_words_said() -> None:
    """Reason, remedy and owner of the first alternative that has them stand for all."""
    text = (
        '[[os.any_of]]\ntype = "linux"\n[[os.any_of]]\ntype = "windows"\n'
        'because = "tested"\nowner = "IT"\n[[os.any_of]]\ntype = "macos"\nbecause = "hoped"\n'
    )
    (condition,) = profile_of(text).conditions
    assert isinstance(condition, AnyOf)
    assert (condition.meta.because, condition.meta.owner, condition.meta.remedy) == ("tested", "IT", "")


def test_a_list_may_stand_in_an_alternative() -> None:
    """An alternative may ask for items, and claims them as any other table does."""
    text = '[[network.any_of]]\nadapters = [{ id = "a", medium = "wired" }]\n'
    (condition,) = profile_of(text).conditions
    assert isinstance(condition, AnyOf)
    (table,) = condition.alternatives[0].conditions
    assert isinstance(table, Items)
    assert table.claims


# -- fingerprints


def _digest(text: str) -> str:
    (condition,) = profile_of(text).conditions
    return condition.digest


BASE = 'computer.model = { equal = "A" }'


@pytest.mark.parametrize("more", ["title", "because", "remedy", "owner"])
def test_words_around_a_condition_leave_its_fingerprint_alone(more: str) -> None:
    """A better reason does not make a concession lapse."""
    assert _digest(f'computer.model = {{ equal = "A", {more} = "x" }}') == _digest(BASE)


@pytest.mark.parametrize(
    "other",
    [
        'computer.model = { equal = "B" }',
        'computer.model = { none_of = "A" }',
        'computer.model = { equal = "A", advised = true }',
        'computer.manufacturer = { equal = "A" }',
    ],
)
def test_what_is_asked_makes_the_fingerprint(other: str) -> None:
    """A condition that asks something else has another fingerprint."""
    assert _digest(other) != _digest(BASE)


def test_fingerprints_do_not_depend_on_the_order_of_keys() -> None:
    """The same condition written in another order is the same."""
    assert fingerprint("a", {"x": 1, "y": [2]}) == fingerprint("a", {"y": [2], "x": 1})
    assert len(fingerprint("a", {})) == 16


# -- whatever is written

_SCALARS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=6)
    | st.dates()
    | st.just(datetime(2026, 1, 1, tzinfo=UTC))
    | st.just(time(12, 0))
    | st.sampled_from(
        ["never", "16 GB", "wired", "linux", ">=1,<2", "1.0", "avx", "0 s", "pep440", "a", 0, 1]
    )
)
_KEYS = st.sampled_from(
    [
        *FORMS,
        *("recommended", "scheme", "advised", "title", "when", "per", "id", "count", "own", "any_of"),
        *(
            "type",
            "version",
            "product",
            "medium",
            "capable_speed",
            "host",
            "port",
            "kind",
            "needed",
            "",
            "a.b",
        ),
    ]
) | st.text(max_size=4)
_VALUES = st.recursive(
    _SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=4),
    max_leaves=10,
)
_READINGS = {
    group: st.sampled_from(
        [*(n.partition(".")[2] for n in CATALOGUE if n.startswith(f"{group}.")), "any_of", "x"]
    )
    for group in GROUPS
}


@st.composite
def _profiles(draw: st.DrawFn) -> dict[str, Any]:
    data: dict[str, Any] = {"format": 1, "title": "A"}
    for group in draw(st.lists(st.sampled_from(sorted(GROUPS)), max_size=3, unique=True)):
        data[group] = draw(st.dictionaries(_READINGS[group], _VALUES, max_size=3))
    data.update(
        draw(
            st.dictionaries(
                st.sampled_from(["format", "title", "issued", "arrangements", "z"]), _VALUES, max_size=1
            )
        )
    )
    return data


def _compiles(data: Any) -> bool:
    try:
        compile_profile(data, path="p.toml", place=lambda _path: Place("p.toml"))
    except MistakesError as error:
        assert all(mistake.message for mistake in error.mistakes)
        return False
    return True


@settings(max_examples=400)
@given(_profiles())
def test_no_profile_breaks_the_compiler(data: dict[str, Any]) -> None:
    """Whatever a document holds, it is a profile or a list of mistakes, never a fault."""
    assert _compiles(data) in (True, False)


@given(st.dictionaries(_KEYS | st.sampled_from(sorted(GROUPS)), _VALUES, max_size=4))
def test_no_document_breaks_the_compiler(data: dict[str, Any]) -> None:
    """A document without a profile's head is always refused."""
    if "format" not in data:
        assert not _compiles(data)
    else:
        assert _compiles(data) in (True, False)


@settings(max_examples=300)
@given(st.sampled_from(sorted(CATALOGUE)), st.data())
def test_no_condition_breaks_the_compiler(name: str, data: st.DataObject) -> None:
    """Whatever is asked of each reading is compiled or refused."""
    group, _, key = name.partition(".")
    asked: Any = data.draw(st.dictionaries(_KEYS, _VALUES, max_size=3) | _VALUES)
    if data.draw(st.booleans()) and CATALOGUE[name].items:
        keys = st.sampled_from([*CATALOGUE[name].items, "count", "own", "advised"])
        table: dict[str, Any] = data.draw(st.dictionaries(keys, _VALUES, max_size=3))
        asked = [{"id": "a", **table}]
    document = {"format": 1, "title": "A", "issued": date(2026, 1, 1), group: {key: asked}}
    assert _compiles(document) in (True, False)


def test_an_alternative_that_only_advises_is_refused() -> None:
    """Alternatives with nothing binding in one of them are met by every PC, so they are a mistake."""
    mistakes = mistakes_of(
        "[[cpu.any_of]]\ncores = { minimum = 4, advised = true }\n\n[[cpu.any_of]]\nthreads = { minimum = 8 }"
    )
    assert [one.message for one in mistakes] == ["an alternative that only advises is met by every PC"]


def test_an_endpoint_is_named_not_described() -> None:
    """Host and port say what is asked, so a pattern or a bound in their place is a mistake."""
    mistakes = mistakes_of(
        '[[network.endpoints]]\nid = "a"\nhost = { matches = "a*" }\nport = { minimum = 1 }\n'
    )
    assert [one.message for one in mistakes] == [
        "`host` names what is to be asked",
        "`port` names what is to be asked",
    ]


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ('[[memory.installed]]\nminimum = "4 GB"\n[[memory.installed]]\nminimun = "8 GB"', 6, "minimun"),
        ('memory.installed = [{ minimum = "4 GB" }, "8 GB"]', 3, "a bare value"),
        ("memory.installed = []", 3, "a bare value"),
        ('[[os.version]]\nversion = ">=10"', 3, "unless the same table sets `type`"),
        ("[[memory.installed]]\nadvised = true", 3, "nothing is asked"),
    ],
)
def test_several_conditions_are_checked_one_by_one(text: str, line: int, message: str) -> None:
    """A mistake in one of several conditions on a reading is told at its own place."""
    mistakes = mistakes_of(text)
    assert [(one.place.line, message in one.message) for one in mistakes if one.place] == [(line, True)]


def test_several_conditions_that_contradict_are_found() -> None:
    """Two conditions of one reading that no PC meets together are told before any PC is probed."""
    profile = profile_of("[[cpu.cores]]\nminimum = 8\n[[cpu.cores]]\nmaximum = 4")
    assert len(contradictions(ask([profile]))) == 1
