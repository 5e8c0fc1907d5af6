"""Where keys stand in TOML text, and the limits on it."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.places import DEPTH, KEY_PARTS, LimitError, Path, Places

PROFILE = """\
format = 1  # a comment with [brackets] and "quotes"
title = "It's [not] a = table"

[parameters]
instruments = { default = 1, minimum = 1 }

[memory.installed]
minimum = "16 GB"
per = { instruments = "4 GB" }
because = \"\"\"
[os]
type = "no key"
\"\"\"

[[os.any_of]]
type = "windows"
edition = [
  "pro",  # not "home"
  "enterprise",
]

[[os.any_of]]
type = "linux"

[[os.any_of.deep]]
name.first = 1

[memory]
slots = [{ size = 1 }, { "os.type" = 2 }]
[options.'mass-detector'.memory."installed \\u00e9"]
minimum = 1
"""


@pytest.mark.parametrize(
    ("path", "line", "column"),
    [
        (("format",), 1, 1),
        (("title",), 2, 1),
        (("parameters",), 4, 2),
        (("parameters", "instruments"), 5, 1),
        (("parameters", "instruments", "minimum"), 5, 30),
        (("memory", "installed"), 7, 9),
        (("memory", "installed", "per", "instruments"), 9, 9),
        (("memory", "installed", "because"), 10, 1),
        (("os",), 15, 3),
        (("os", "any_of"), 15, 6),
        (("os", "any_of", 0), 15, 6),
        (("os", "any_of", 0, "type"), 16, 1),
        (("os", "any_of", 0, "edition", 0), 18, 3),
        (("os", "any_of", 0, "edition", 1), 19, 3),
        (("os", "any_of", 1), 22, 6),
        (("os", "any_of", 1, "type"), 23, 1),
        (("os", "any_of", 1, "deep", 0, "name"), 26, 1),
        (("os", "any_of", 1, "deep", 0, "name", "first"), 26, 6),
        (("memory",), 28, 2),
        (("memory", "slots", 0, "size"), 29, 12),
        (("memory", "slots", 1, "os.type"), 29, 26),
        (("options",), 30, 2),
        (("options", "mass-detector"), 30, 10),
        (("options", "mass-detector", "memory", "installed é", "minimum"), 31, 1),
    ],
)
def test_keys_are_found_where_they_stand(path: Path, line: int, column: int) -> None:
    """Every form a key can take in a profile is found at its own line and column."""
    assert Places(PROFILE).find(path) == (line, column)


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ((), 1),
        (("nowhere", "at", "all"), 1),
        (("memory", "installed", "maximum"), 7),
        (("os", "any_of", 7, "type"), 15),
        (("os", "any_of", "type"), 15),
        (("os", "any_of", 0, "type", "deeper"), 16),
    ],
)
def test_a_missing_path_gives_its_nearest_parent(path: Path, line: int) -> None:
    """A key that is not in the text is placed at the nearest table above it."""
    assert Places(PROFILE).find(path)[0] == line


def test_line_ends_of_windows_count_once() -> None:
    """Lines and columns are the same with CR LF as with LF."""
    text = "[a]\r\nb = 1\r\nc = '''\r\n'''\r\nd = 2\r\n"
    assert Places(text).find(("a", "d")) == (5, 1)
    assert Places(text).line(2) == "b = 1"


def test_lines_outside_the_text_are_empty() -> None:
    """Asking for a line that does not exist gives no text."""
    places = Places("a = 1\nb = 2")
    assert [places.line(number) for number in (0, 1, 2, 3)] == ["", "a = 1", "b = 2", ""]


@pytest.mark.parametrize(
    ("text", "name", "first", "second"),
    [
        ("a = 1\nb = 2\na = 3", "a", 1, 3),
        ("[a]\nx = 1\n[b]\n[a]\n", "a", 1, 4),
        ("t = {\nx = 1,\nx = 2 }", "x", 2, 3),
        ("a.b = 1\n[a]\n", "a", 1, 2),
    ],
)
def test_a_repeated_key_is_noted(text: str, name: str, first: int, second: int) -> None:
    """The first key or table given twice is known with both lines."""
    places = Places(text)
    assert places.repeat is not None
    assert places.repeat.name == name
    assert places.at(places.repeat.first)[0] == first
    assert places.at(places.repeat.second)[0] == second


def test_tables_below_and_array_items_are_no_repeats() -> None:
    """A table named after its own sub-table, and new items of an array of tables, are fine."""
    assert Places("[a.b]\n[a]\n[[c]]\nx = 1\n[[c]]\nx = 2\n[c.d]\n").repeat is None


@pytest.mark.parametrize("text", ['"""\nx"""', "'''\nx'''"])
def test_texts_with_lines_are_told_apart(text: str) -> None:
    """A text between three quotes is known as one that may have lines, as value and as item."""
    places = Places(f"a = {text}\nb = 'x'\n\"c\\t\"\t= {text}\nlist = [{text}, 'x']")
    paths: list[Path] = [("a",), ("b",), ("c\t",), ("list", 0), ("list", 1)]
    assert [places.in_lines(path) for path in paths] == [True, False, True, True, False]


# -- limits


@pytest.mark.parametrize(
    ("form", "line", "column"),
    [("{} = 1", 1, 1), ("x = 1\n[{}]", 2, 2), ("x = 1\n[[{}]]", 2, 3), ("x = {{ {} = 1 }}", 1, 7)],
)
def test_key_parts_are_limited(form: str, line: int, column: int) -> None:
    """Keys and names of tables have 8 parts at most, wherever they stand."""
    Places(form.format(".".join(["a"] * KEY_PARTS)))
    with pytest.raises(LimitError, match="a key has more than 8 parts") as caught:
        Places(form.format(".".join(["a"] * (KEY_PARTS + 1))))
    assert (caught.value.line, caught.value.column) == (line, column)


def test_a_long_dotted_key_is_refused_at_its_beginning() -> None:
    """64 KiB of dotted key are refused after the ninth part, at the line and column of the key."""
    with pytest.raises(LimitError) as caught:
        Places("title = 'x'\n\n  " + "a." * 32768 + "a = 1\n")
    assert (caught.value.line, caught.value.column) == (3, 3)
    assert len(caught.value.text) <= 500


@pytest.mark.parametrize("mark", ["[", "{a="])
def test_nesting_is_limited(mark: str) -> None:
    """Values nest 16 deep at most; the place is the first bracket too many."""
    Places("x = " + mark * DEPTH)
    with pytest.raises(LimitError, match="nested more than 16 deep") as caught:
        Places("y = 1\nx = " + mark * 100_000)
    assert (caught.value.line, caught.value.column) == (2, 5 + DEPTH * len(mark))


@pytest.mark.parametrize(
    "text",
    [
        "[" * 1_000_000,
        "]" * 1_000_000,
        '"' * 1_000_000,
        "'" * 1_000_000,
        "=" * 1_000_000,
        "a" + " " * 1_000_000,
        'a = "' + "\\\\" * 500_000,
        'a = """' + '""x' * 300_000,
        "a = '''" + "''x" * 300_000,
        "a = [" + "#\n" * 500_000,
        "a = " + "1 " * 500_000,
        "#\n" * 500_000,
        "a = [" + "[]," * 100_000,
        "[a]\n" * 100_000,
        "a = {" + "b=1," * 100_000,
    ],
)
def test_a_megabyte_of_anything_is_one_pass(text: str) -> None:
    """Text made to be slow is gone through once, without an error and without going back."""
    assert Places(text).find(("nothing",)) == (1, 1)


def test_an_unclosed_bracket_is_known() -> None:
    """Where the text ends inside brackets or three quotes, their beginning is known."""
    for text, offset in (("a = 1\nb = [1,\n", 10), ("a = '''\nx", 4), ('x = [\n"""', 6), ("a = [1]", None)):
        assert Places(text).unclosed == offset


@given(st.text(st.sampled_from("[]{}\"'=.,#\\\n a1"), max_size=60))
def test_broken_text_never_raises(text: str) -> None:
    """Text of TOML's own signs in any order raises nothing but the limits."""
    try:
        places = Places(text)
    except LimitError as error:
        assert error.line >= 1
        return
    line, column = places.find(("a", 0, "1"))
    assert line >= 1
    assert column >= 1


# -- generated documents

NAMES = st.one_of(
    st.sampled_from(
        ["a", "b", "os", "type", "x-1", "os.type", "", "é", 'q"uote', "it's", "[a]", "# no", "=", "\\", "\t"]
    ),
    st.text(st.characters(codec="utf-8", min_codepoint=0x20), max_size=6),
)
TRICKY = st.sampled_from(
    [
        "",
        "[a]",
        "x = 1",
        "# no comment",
        '"',
        "'''",
        '"""',
        "a\nb",
        "[[os]]\ntype = 1\n",
        "\\",
        "}",
        "],",
        "'",
    ]
)
SCALARS = st.one_of(
    st.integers(-99, 99),
    st.booleans(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.dates(),
    st.datetimes(),
    TRICKY,
)


def _values(depth: int) -> st.SearchStrategy[Any]:
    if depth == 0:
        return SCALARS
    below = _values(depth - 1)
    return st.one_of(
        SCALARS,
        st.lists(below, max_size=3),
        st.dictionaries(NAMES, below, max_size=3),
        st.lists(st.dictionaries(NAMES, below, max_size=3), min_size=1, max_size=3),
    )


class _Writer:
    """Writes data as TOML, choosing among all the forms TOML has for it."""

    def __init__(self, data: st.DataObject) -> None:
        self.data = data
        self.out = ""

    def choose(self, *options: str) -> str:
        return self.data.draw(st.sampled_from(options))

    def key(self, name: str) -> str:
        basic = json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007f")
        forms = [basic]
        if name and name.isascii() and name.replace("-", "").isalnum():
            forms.append(name)
        if "'" not in name and name.isprintable():
            forms.append(f"'{name}'")
        return self.choose(*forms)

    def text(self, value: str) -> str:
        forms = [json.dumps(value)]
        if "'" not in value:
            forms.append(f"'''\n{value}'''")
            if "\n" not in value:
                forms.append(f"'{value}'")
        escaped = value.replace("\\", "\\\\").replace('"""', '""\\"')
        if not escaped.endswith('"') or escaped.endswith('\\"'):
            forms.append(f'"""\n{escaped}"""')
        return self.choose(*forms)

    def value(self, value: Any) -> str:
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, dict):
            pairs = (f"{self.key(k)}{self.choose('=', ' = ')}{self.value(v)}" for k, v in value.items())
            return "{ " + ", ".join(pairs) + " }"
        if isinstance(value, list):
            gap = self.choose("", " ", "\n  ", " # ] comment\n")
            end = self.choose("", ",") if value else ""
            return f"[{gap}" + f",{gap}".join(self.value(item) for item in value) + f"{end}{gap}]"
        return value.isoformat(self.choose(" ", "T")) if hasattr(value, "hour") else str(value)

    def table(self, table: dict[str, Any], at: list[str]) -> None:
        later = []
        for name, value in table.items():
            key = self.key(name)
            tables = isinstance(value, list) and value and all(isinstance(item, dict) for item in value)
            form = self.choose("value", "table") if isinstance(value, dict) or tables else "value"
            if form == "table" and len(at) < KEY_PARTS:
                later.append((key, value))
            elif isinstance(value, dict) and len(value) == 1 and self.choose("dotted", "inline") == "dotted":
                ((inner, item),) = value.items()
                self.out += f"  {key} . {self.key(inner)} = {self.value(item)}\n"
            else:
                self.out += f"{key} = {self.value(value)} # end\n"
        for key, value in later:
            for item in value if isinstance(value, list) else [value]:
                open_, close = ("[[", "]]") if isinstance(value, list) else ("[", "]")
                self.out += f"\n{open_}{'.'.join([*at, key])}{close}\n"
                self.table(item, [*at, key])


def _paths(value: Any, at: Path = ()) -> Iterator[Path]:
    if at:
        yield at
    for step, item in (
        value.items() if isinstance(value, dict) else enumerate(value if isinstance(value, list) else ())
    ):
        yield from _paths(item, (*at, step))


def _name_at(text: str, offset: int) -> str:
    """The key that stands at an offset, read by tomllib itself."""
    for end in range(offset + 1, len(text) + 1):
        if text[end : end + 1] not in ("", " ", ".", "]", "=", "\t"):
            continue
        try:
            parsed = tomllib.loads(f"{text[offset:end]} = 1")
        except tomllib.TOMLDecodeError:
            continue
        (name,) = parsed
        return name
    raise AssertionError(f"no key at {offset} of {text!r}")


@given(st.dictionaries(NAMES, _values(3), max_size=4), st.data())
def test_the_place_found_is_the_keys_own(table: dict[str, Any], data: st.DataObject) -> None:
    """In any document, each path of the data leads to its own key, and no two to the same one."""
    writer = _Writer(data)
    writer.table(table, [])
    parsed = tomllib.loads(writer.out)
    assert parsed == table
    places = Places(writer.out)
    taken: dict[int, Path] = {}
    for path in _paths(parsed):
        offset = places.offset(path)
        if isinstance(path[-1], str):
            assert _name_at(places.text, offset) == path[-1]
        # An array and an item of it may share a place: the header of its first table.
        shared = taken.setdefault(offset, path)
        assert shared == path or path == (*shared, 0)
