"""Remarks on valid profiles."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.app import load_profile
from pcaudit.core.advice import advise, located
from pcaudit.core.compile import compile_profile
from pcaudit.core.places import place_in
from pcaudit.core.profile import Profile, Scalar
from pcaudit.core.toml_text import parse_toml
from pcaudit.core.truth import NO
from pcaudit.core.versions import contained_in_any
from pcaudit.errors import MistakesError
from tests.core.builders import HEAD, profile_of
from tests.core.generated_profiles import compiled, profiles

EXAMPLES = sorted((Path(__file__).parent.parent.parent / "requirements_profiles").glob("*.toml"))

WINDOWS = '[os]\ntype = "windows"\nedition = "pro"\nversion = '


def _told(text: str) -> list[tuple[str, str, str]]:
    return [(one.key, one.noticed, one.better) for one in advise(profile_of(text))]


def _keys(text: str) -> list[str]:
    return [one.key for one in advise(profile_of(text))]


def _written(text: str) -> Profile:
    data, places = parse_toml(HEAD + text, "p.toml")
    return compile_profile(
        data,
        path="p.toml",
        place=lambda path: place_in(places, "p.toml", places.offset(path)),
        text=HEAD + text,
    )


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_nothing_is_remarked_on_the_examples(path: Path) -> None:
    """The example profiles say what they mean."""
    assert advise(load_profile(str(path))) == ()


# Windows versions by Microsoft's "Operating System Version" and release information, from memory:
# 7 is 6.1, 8 is 6.2, 8.1 is 6.3, 10 is 10.0.10240 to 10.0.19045, 11 is 10.0.22000 and up, Server
# 2022 is 10.0.20348.
OLDER = ("6.1.7601", "6.2.9200", "6.3.9600")
NEWER = ("10.0.10240", "10.0.19045", "10.0.20348", "10.0.22000.194", "10.0.22631", "10.0.26100", "10.0.26200")


@pytest.mark.parametrize(
    ("bound", "noticed", "better"),
    [
        ("<11", "`<11` excludes nothing newer", "<10.0.22000"),
        (">=10.0.19045,<11", "`<11` excludes nothing newer", "<10.0.22000"),
        ("<=11", "`<=11` excludes nothing newer", "leave it out"),
        ("<12", "`<12` excludes nothing newer", "leave it out"),
        ("<10.1", "`<10.1` excludes nothing newer", "leave it out"),
        ("!=11", "`!=11` excludes nothing newer", "<10.0.22000"),
        ("<=10", "`<=10` excludes nothing newer", ">=10.0.10240,<10.0.22000"),
        ("10", "`10` excludes nothing newer", ">=10.0.10240,<10.0.22000"),
        ("10.0", "`10.0` excludes nothing newer", ">=10.0.10240,<10.0.22000"),
        ("<22000", "`<22000` excludes nothing newer", "write <10.0.22000"),
        ("11", "`11` is met by no Windows", ">=10.0.22000"),
        (">=11", "`>=11` is met by no Windows", ">=10.0.22000"),
        (">=11,<12", "`>=11` is met by no Windows", ">=10.0.22000"),
        (">10", "`>10` is met by no Windows", ">=10.0.22000"),
        (">=22631", "`>=22631` is met by no Windows", "write >=10.0.22631"),
        (">=11.0.22631", "`>=11.0.22631` is met by no Windows", "write >=10.0.22631"),
        ("7", "`7` is met by no Windows", "Windows 7 reports 6.1"),
        ("!=8", "`!=8` excludes nothing newer", "Windows 8 reports 6.2"),
    ],
)
def test_a_windows_version_that_says_nothing(bound: str, noticed: str, better: str) -> None:
    """A bound that every Windows since 10 meets, or that none meets, is remarked on, with the right one."""
    ((key, seen, right),) = _told(f'{WINDOWS}"{bound}"')
    assert key == "os.version"
    assert seen.startswith(noticed)
    assert better in right


@pytest.mark.parametrize(
    "bound",
    [
        ">=10.0.19045,<10.0.22000",
        ">=10.0.22000",
        "<=10.0.26200",
        "10.0.26100",
        ">=10",
        "<10",
        ">=6.1",
        "<=8",
        "!=10.0.22000",
    ],
)
def test_a_windows_version_that_says_something(bound: str) -> None:
    """A bound that keeps some Windows out and lets some in is left alone."""
    assert _told(f'{WINDOWS}"{bound}"') == []


_parts = st.lists(st.integers(0, 30000), min_size=1, max_size=4).map(lambda parts: ".".join(map(str, parts)))
_near = st.sampled_from(["6", "7", "8.1", "10", "10.0", "10.0.22000", "10.1", "11", "12", "22000"])


@given(st.sampled_from(["<", "<=", "==", "!=", ">", ">="]), _parts | _near)
def test_what_is_said_of_a_windows_version_is_so(operator: str, version: str) -> None:
    """A bound said to exclude nothing newer holds for every Windows since 10, one met by none for none."""
    try:
        profile = profile_of(f'{WINDOWS}"{operator}{version}"')
    except MistakesError:  # no version is below 0
        assert operator == "<" and not version.strip("0.")
        return
    (scalar,) = (c for c in profile.conditions if isinstance(c, Scalar) and c.id == "os.version")
    holds = {
        seen: contained_in_any(scalar.requirement.required[0].operand, seen) is not NO
        for seen in (*OLDER, *NEWER)
    }
    for one in advise(profile):
        if "met by no Windows" in one.noticed:
            assert not any(holds.values())
        else:
            assert all(holds[seen] for seen in NEWER)


def test_other_systems_count_their_versions_their_own_way() -> None:
    """`<11` of a Debian is a bound like any other."""
    assert _keys('[os]\ntype = "linux"\nproduct = "Debian GNU/Linux"\nversion = "<11"') == []


def test_each_alternative_has_its_own_key() -> None:
    """A remark on an alternative names which one, and each range of a list is looked at."""
    text = (
        '[[os.any_of]]\ntype = "linux"\nproduct = "A"\nversion = "<11"\n'
        '[[os.any_of]]\ntype = "windows"\nedition = "pro"\nversion = ["<11", ">=11"]\n'
    )
    assert _keys(text) == ["os.any_of[2].version", "os.any_of[2].version"]


@pytest.mark.parametrize(
    ("table", "better"),
    [
        ('name = "Old Suite"', 'write name = { matches = "Old Suite*" }'),
        ('name = ["Old Suite", "Older Suite"]', 'write name = { matches = "Old Suite*" }'),
        (
            'name = { matches = "Old Suite [1-9]" }',
            'write name = { matches = ["Old Suite [1-9]", "Old Suite [1-9][!0-9]*"] }',
        ),
        ('name = { matches = "Old Suite" }', 'write name = { matches = "Old Suite*" }'),
        ('name = "Old Suite [x64]"', 'write name = { matches = "...*" }'),
        ('name = "Old Suite"\nadvised = true', 'write name = { matches = "Old Suite*" }'),
        ('name = "oldsuite"\nwhen = { "os.type" = "windows" }', 'write name = { matches = "oldsuite*" }'),
    ],
)
def test_a_plain_name_excludes_only_itself(table: str, better: str) -> None:
    """With count = 0 a name without a star lets the same name with a version behind it pass."""
    ((key, noticed, right),) = _told(f'[[software.packages]]\nid = "old"\ncount = 0\n{table}\n')
    assert key == "software.packages[1].name"
    assert "would pass" in noticed
    assert ("only exactly" in noticed) is ("[1-9]" not in table)
    assert right == better


@pytest.mark.parametrize(
    "text",
    [
        '[[software.packages]]\nid = "old"\ncount = 0\nname = { matches = "Old Suite*" }',
        '[[software.packages]]\nid = "old"\ncount = 0\nname.matches = ["Old [1-5]", "Old [1-5][!0-9]*"]',
        '[[software.packages]]\nid = "new"\nname = "New Suite"',
        # Debian Policy 5.6.1: the name of a package is whole, its version stands apart.
        '[[software.packages]]\nid = "old"\ncount = 0\nname = "modemmanager"',
        '[[software.packages]]\nid = "old"\ncount = 0\nname = "Old"\nwhen = { "os.type" = "linux" }',
        '[os]\ntype = "linux"\n[[software.packages]]\nid = "old"\ncount = 0\nname = "Old"',
        '[[os.any_of]]\ntype = "linux"\n[[software.packages]]\nid = "old"\ncount = 0\nname = "Old"',
        '[[software.services]]\nid = "old"\ncount = 0\nname = "OldService"',
    ],
)
def test_a_name_that_is_meant_exactly(text: str) -> None:
    """Patterns, names that must be there, and names that are whole are left alone."""
    assert _keys(text) == []


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ('memory.usable = { minimum = "16 GB" }', ["memory.usable.minimum"]),
        ('memory.usable = { minimum = "32 GiB" }', ["memory.usable.minimum"]),
        ('memory.usable = { equal = "8 GB" }', ["memory.usable.equal"]),
        (
            'memory.usable = { minimum = "8 GB", recommended = "16 GB" }',
            ["memory.usable.minimum", "memory.usable.recommended"],
        ),
        (
            'memory.usable = { minimum = "7 GB", recommended = "16 GB", advised = true }',
            ["memory.usable.recommended"],
        ),
        ('memory.usable = { minimum = "15 GB" }', []),
        ('memory.usable = { maximum = "16 GB" }', []),
        ('memory.installed = { minimum = "16 GB" }', []),
        ('memory.usable = { minimum = "8 GB", per = { "cpu.threads" = "1 GB" } }', []),
    ],
)
def test_a_module_is_never_usable_in_full(text: str, keys: list[str]) -> None:
    """The size of a memory module asked of usable memory fails the PC that has it fitted."""
    assert _keys(text) == keys


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ('storage.system_size = { minimum = "256 GB" }', ["storage.system_size.minimum"]),
        (
            'storage.system_size = { minimum = "200 GB", recommended = "1 TB" }',
            ["storage.system_size.recommended"],
        ),
        ('storage.system_size = { minimum = "200 GB" }', []),
        ('storage.system_free = { minimum = "500 GB" }', []),
        ('[[storage.volumes]]\nid = "v"\nsize.minimum = "512 GB"', ["storage.volumes[1].size.minimum"]),
        ('[[storage.volumes]]\nid = "v"\nfree.minimum = "512 GB"', []),
        ('[[storage.volumes]]\nid = "v"\nkind = "network"\nsize.minimum = "1 TB"', []),
        ('[[storage.drives]]\nid = "d"\nsize.minimum = "512 GB"', []),
    ],
)
def test_a_volume_is_smaller_than_its_drive(text: str, keys: list[str]) -> None:
    """The size a drive is sold with asked of a volume fails the PC that has such a drive."""
    assert _keys(text) == keys


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("cpu.cores = { minimum = 4, recommended = 4 }", ["cpu.cores.recommended"]),
        ("cpu.cores = { minimum = 4, recommended = 4, advised = true }", ["cpu.cores.recommended"]),
        (
            'power.sleep_after = { maximum = "1 h", recommended = "60 min" }',
            ["power.sleep_after.recommended"],
        ),
        ("cpu.cores = { minimum = 4, recommended = 6 }", []),
        ("cpu.cores = { minimum = 4, maximum = 4 }", []),
        (
            '[[display.screens]]\nid = "s"\ncount = { minimum = 2, recommended = 2 }',
            ["display.screens[1].count.recommended"],
        ),
        (
            '[[display.screens]]\nid = "s"\nwidth = { minimum = 1920, recommended = 1920 }',
            ["display.screens[1].width.recommended"],
        ),
        ("cpu.cores = { minimum = 0 }", ["cpu.cores.minimum"]),
        ('cpu.cores = { minimum = 0, per = { "cpu.sockets" = 2 } }', []),
        ('memory.usable = { per = { "cpu.threads" = "1 GB" } }', []),
        ('power.sleep_after = { maximum = "never" }', ["power.sleep_after.maximum"]),
        ('power.sleep_after = { minimum = "never" }', []),
    ],
)
def test_bounds_that_ask_nothing_more(text: str, keys: list[str]) -> None:
    """A recommendation that is the bound itself, and a bound every value meets, are remarked on."""
    assert _keys(text) == keys


ON_WINDOWS = 'cpu.cores = { minimum = 4, when = { "os.type" = "windows" } }'
N = "parameters.n = { default = 1, minimum = 1, maximum = 4 }\n"


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        (N + "cpu.cores = { minimum = 4, when = { n = { minimum = 5 } } }", ["cpu.cores.when"]),
        (N + "cpu.cores = { minimum = 4, when = { n = { equal = 5 } } }", ["cpu.cores.when"]),
        (N + "cpu.cores = { minimum = 4, when = { n = { maximum = 0 } } }", ["cpu.cores.when"]),
        (N + "cpu.cores = { minimum = 4, when = { n = { minimum = 4 } } }", []),
        (
            'os.type = "linux"\ncpu.cores = { minimum = 4, when = { "os.type" = "windows" } }',
            ["cpu.cores.when"],
        ),
        (
            'os.type = ["linux", "windows"]\ncpu.cores = { minimum = 4, when = { "os.type" = "windows" } }',
            [],
        ),
        (
            'os.any_of = [{ type = "linux" }, { type = "macos" }]\n' + ON_WINDOWS,
            ["cpu.cores.when"],
        ),
        (
            'os.any_of = [{ type = "linux" }, { type = "windows" }]\n' + ON_WINDOWS,
            [],
        ),
        (
            'cpu.cores = { minimum = 4, when = { "os.type" = "windows", "os.version" = ">=11" } }',
            ["cpu.cores.when"],
        ),
        (
            '[cpu]\nwhen = { "os.type" = "linux" }\ncores = { minimum = 4, when = { "os.type" = "macos" } }',
            ["cpu.cores.when"],
        ),
        (
            'os.type = { equal = "linux", advised = true }\n' + ON_WINDOWS,
            [],
        ),
    ],
)
def test_a_when_that_never_holds(text: str, keys: list[str]) -> None:
    """A limit that no PC and no choice fulfils is remarked on: what it limits is never asked."""
    assert list(dict.fromkeys(_keys(text))) == keys


def test_a_base_may_be_about_more_pcs_than_the_profile() -> None:
    """What a base limits to Windows is not remarked on because a profile on top is for Linux."""
    base = profile_of('cpu.cores = { minimum = 4, when = { "os.type" = "windows" } }')
    data, places = parse_toml(HEAD + 'os.type = "linux"', "top.toml")
    top = compile_profile(
        data,
        path="top.toml",
        place=lambda path: place_in(places, "top.toml", places.offset(path)),
        bases=[base],
    )
    assert advise(top) == ()


def test_a_remark_stands_where_its_key_does() -> None:
    """The place is that of the key, in lists, alternatives, options, sections and arrangements alike."""
    text = """\
cpu.cores = { minimum = 4, recommended = 4 }
[power]
when = { "os.type" = "linux" }
sleep_after = "never"
hibernate_after = "never"
[[os.any_of]]
type = "windows"
product = "Windows 10"
version = "<11"
[[storage.volumes]]
id = "a"
[[storage.volumes]]
id = "b"
size.minimum = "1 TB"
[options.o.memory.usable]
advised = true
minimum = "16 GB"
[[options.o.storage.volumes]]
id = "c"
size.minimum = "1 TB"
[[arrangements]]
id = "x"
kind = "person"
title = "X"
[[arrangements]]
id = "y"
kind = "person"
title = "Y"
when = { "os.type" = "macos" }
"""
    profile = _written(text)
    found = {one.key: (place.line - 2, place.text) for place, one in located(advise(profile), profile)}
    lines = text.splitlines()
    assert {key: line for key, (line, _) in found.items()} == {
        "cpu.cores.recommended": 1,
        "power.when": 3,
        "os.any_of[1].version": 9,
        "storage.volumes[2].size.minimum": 14,
        "options.o.memory.usable.minimum": 17,
        "options.o.storage.volumes[1].size.minimum": 20,
        "arrangements.y.when": 25,
    }
    assert all(shown == lines[line - 1] for line, shown in found.values())
    assert list(found.values()) == sorted(found.values())


_values = st.sampled_from(
    [
        '{ minimum = "16 GB" }',
        '{ minimum = "0 GB", maximum = "8 GB" }',
        '{ minimum = "8 GB", recommended = "8 GB" }',
    ]
)
_limits = st.sampled_from(
    ['"os.type" = "linux"', '"memory.usable" = { maximum = "4 GB" }', '"cpu.cores" = { equal = 1 }']
)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["memory.usable", "memory.installed", "storage.system_size"]), _values, _limits
        ),
        unique_by=lambda one: one[0],
        min_size=1,
    )
)
def test_every_remark_has_a_place(conditions: list[tuple[str, str, str]]) -> None:
    """Whatever a profile says, each remark has a line that is in the file, and words for both parts."""
    text = "".join(f"[{name}]\nwhen = {{ {limit} }}\n" + _lines(value) for name, value, limit in conditions)
    try:
        profile = _written(text)
    except MistakesError:
        return
    for place, one in located(advise(profile), profile):
        assert place.text and one.noticed and one.better
        assert one.key.split(".")[-1] in place.text


def _lines(table: str) -> str:
    return table.strip("{ }").replace(", ", "\n") + "\n"


@settings(max_examples=40)
@given(profiles())
def test_any_profile_can_be_looked_at(data: dict[str, Any]) -> None:
    """Whatever a valid profile holds, looking at it raises nothing, and each remark is about a key in it."""
    for one in advise(compiled(data)):
        here: Any = data
        for step in one.path[:-1] if one.path[0] != "arrangements" else ():
            here = here[step]
        assert one.noticed and one.better
