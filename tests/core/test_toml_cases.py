"""TOML 1.0.0 case by case, from the specification's own text (https://toml.io/en/v1.0.0).

What the specification allows is read as it says, every key at its own line; what it calls invalid is refused
at its line. Where files for pcaudit are narrower than TOML, that is a case of its own.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import Any, Final

import pytest

from pcaudit import files
from pcaudit.core.places import Path as KeyPath
from pcaudit.core.toml_text import parse_toml
from pcaudit.errors import MistakesError, UsageError

Lines = dict[KeyPath, int]


def _lines(*values: str) -> str:
    """A line for each value, with the keys a, b, c and so on."""
    return "".join(f"{key} = {value}\n" for key, value in zip("abcdefghij", values, strict=False))


_NESTED: Final = """\
[[fruits]]
name = 1
[fruits.physical]
color = 2
[[fruits.varieties]]
name = 3
[[fruits.varieties]]
name = 4
[[fruits]]
name = 5
[[fruits.varieties]]
name = 6
"""

# Section, text, data, lines of keys.
VALID: Final[list[tuple[str, str, dict[str, Any], Lines]]] = [
    (
        "Comment",
        '# whole line\nkey = "value"  # end of line\nanother = "# not a comment"\n',
        {"key": "value", "another": "# not a comment"},
        {("key",): 2, ("another",): 3},
    ),
    ("Comment: nothing else", "# only this\n", {}, {}),
    (
        "Keys: bare",
        "bare_key = 1\nbare-key = 2\n1234 = 3\n-_-=4\n",
        {"bare_key": 1, "bare-key": 2, "1234": 3, "-_-": 4},
        {("bare-key",): 2, ("1234",): 3, ("-_-",): 4},
    ),
    (
        "Keys: quoted",
        '"127.0.0.1" = 1\n"character encoding" = 2\n\'key2\' = 3\n\'quoted "value"\' = 4\n"\\u028E" = 5\n',
        {"127.0.0.1": 1, "character encoding": 2, "key2": 3, 'quoted "value"': 4, "\u028e": 5},
        {("127.0.0.1",): 1, ('quoted "value"',): 4, ("\u028e",): 5},
    ),
    ("Keys: empty", 'a = 1\n"" = 2\n', {"a": 1, "": 2}, {("",): 2}),
    ("Keys: empty, literal", "'' = 2\n", {"": 2}, {("",): 1}),
    (
        "Keys: dotted",
        'name = 1\nphysical.color = 2\nphysical.shape = 3\nsite."example.org" = true\n',
        {"name": 1, "physical": {"color": 2, "shape": 3}, "site": {"example.org": True}},
        {("physical",): 2, ("physical", "shape"): 3, ("site", "example.org"): 4},
    ),
    (
        "Keys: blanks around dots",
        "fruit.name = 1\nfruit. color = 2\nfruit . flavor = 3\n",
        {"fruit": {"name": 1, "color": 2, "flavor": 3}},
        {("fruit", "color"): 2, ("fruit", "flavor"): 3},
    ),
    ("Keys: like a number", "3.14159 = 'pi'\n", {"3": {"14159": "pi"}}, {("3", "14159"): 1}),
    (
        "Keys: out of order",
        "apple.type = 1\norange.type = 2\n\napple.skin = 3\norange.skin = 4\n",
        {"apple": {"type": 1, "skin": 3}, "orange": {"type": 2, "skin": 4}},
        {("apple",): 1, ("apple", "skin"): 4, ("orange", "skin"): 5},
    ),
    (
        "Keys: a table not yet made",
        "fruit.apple.smooth = true\nfruit.orange = 2\n",
        {"fruit": {"apple": {"smooth": True}, "orange": 2}},
        {("fruit", "apple", "smooth"): 1, ("fruit", "orange"): 2},
    ),
    (
        "String: escapes",
        'a = "\\" \\\\ \\u00E9 \\U0001F52C"\n',
        {"a": '" \\ \xe9 \U0001f52c'},
        {("a",): 1},
    ),
    (
        "String: many lines",
        'a = """\nRoses\nViolets"""\nb = 1\n',
        {"a": "Roses\nViolets", "b": 1},
        {("a",): 1, ("b",): 4},
    ),
    (
        "String: a backslash at the end of a line",
        'a = """\\\n   The quick \\\n\n\n   fox.\\\n   """\nb = 1\n',
        {"a": "The quick fox.", "b": 1},
        {("b",): 7},
    ),
    (
        "String: quotes at the ends",
        'a = """"This," she said, "is pointless.""""\nb = """Two: ""."""\nc = \'\'\'\'x\'\'\'\'\nd = 1\n',
        {"a": '"This," she said, "is pointless."', "b": 'Two: "".', "c": "'x'", "d": 1},
        {("b",): 2, ("c",): 3, ("d",): 4},
    ),
    (
        "String: literal",
        "a = 'C:\\Users\\nodejs'\nb = '''\nfirst\n  \\n '''\nc = 1\n",
        {"a": "C:\\Users\\nodejs", "b": "first\n  \\n ", "c": 1},
        {("a",): 1, ("b",): 2, ("c",): 5},
    ),
    (
        "String: what looks like TOML",
        'a = """\n[table]\nkey = 1\n"""\nb = "[x]"\n[c]\nd = \'\'\'\n[[e]]\n\'\'\'\nf = 2\n',
        {"a": "[table]\nkey = 1\n", "b": "[x]", "c": {"d": "[[e]]\n", "f": 2}},
        {("a",): 1, ("b",): 5, ("c",): 6, ("c", "d"): 7, ("c", "f"): 10},
    ),
    (
        "Integer",
        _lines("+99", "0", "-17", "1_000", "5_349_221", "0xDEAD_beef", "0o755", "0b1101", "-0", "0x00ff"),
        dict(zip("abcdefghij", (99, 0, -17, 1000, 5349221, 0xDEADBEEF, 0o755, 0b1101, 0, 255), strict=True)),
        {("j",): 10},
    ),
    (
        "Float",
        _lines("+1.0", "-0.01", "5e+22", "1e06", "-2E-2", "6.626e-34", "224_617.445_991_228", "-0.0"),
        dict(zip("abcdefgh", (1.0, -0.01, 5e22, 1e6, -0.02, 6.626e-34, 224617.445991228, -0.0), strict=True)),
        {("h",): 8},
    ),
    ("Boolean", "a = true\nb = false\n", {"a": True, "b": False}, {("b",): 2}),
    (
        "Date and time",
        _lines(
            "1979-05-27T07:32:00Z",
            "1979-05-27 00:32:00.5-07:00",
            "1979-05-27t07:32:00",
            "1979-05-27",
            "00:32:00.999999",
        ),
        {
            "a": datetime(1979, 5, 27, 7, 32, tzinfo=UTC),
            "b": datetime(1979, 5, 27, 0, 32, 0, 500_000, timezone(timedelta(hours=-7))),
            "c": datetime(1979, 5, 27, 7, 32),
            "d": date(1979, 5, 27),
            "e": time(0, 32, 0, 999_999),
        },
        {("b",): 2, ("e",): 5},
    ),
    (
        "Array",
        'a = [ 1, 2 ]\nb = [ [ 1 ], ["a", 0.5] ]\nc = [\n  1, # one\n  { x = 2 },\n]\nd = []\n',
        {"a": [1, 2], "b": [[1], ["a", 0.5]], "c": [1, {"x": 2}], "d": []},
        {("b", 1): 2, ("c", 0): 4, ("c", 1): 5, ("c", 1, "x"): 5, ("d",): 7},
    ),
    (
        "Table: blanks, quotes, nothing in it",
        "[a.b.c]\n[ d.e.f ]\n[ g . h . i ]\n[ j . \"\u029e\" . 'l' ]\n",
        {"a": {"b": {"c": {}}}, "d": {"e": {"f": {}}}, "g": {"h": {"i": {}}}, "j": {"\u029e": {"l": {}}}},
        {("a", "b", "c"): 1, ("d",): 2, ("g", "h", "i"): 3, ("j", "\u029e", "l"): 4},
    ),
    (
        "Table: the one above it afterwards",
        "[x.y.z.w]\na = 1\n[x]\nb = 2\n",
        {"x": {"y": {"z": {"w": {"a": 1}}}, "b": 2}},
        {("x",): 3, ("x", "b"): 4, ("x", "y", "z", "w", "a"): 2},
    ),
    (
        "Table: out of order",
        "[fruit.apple]\n[animal]\n[fruit.orange]\n",
        {"fruit": {"apple": {}, "orange": {}}, "animal": {}},
        {("fruit", "orange"): 3, ("animal",): 2},
    ),
    (
        "Table: one below a table of dotted keys",
        '[fruit]\napple.color = "red"\napple.taste.sweet = true\n\n[fruit.apple.texture]\nsmooth = true\n',
        {"fruit": {"apple": {"color": "red", "taste": {"sweet": True}, "texture": {"smooth": True}}}},
        {("fruit", "apple"): 2, ("fruit", "apple", "texture"): 5, ("fruit", "apple", "texture", "smooth"): 6},
    ),
    (
        "Inline table",
        "point = { x = 1, y = 2 }\nanimal = { type.name = 'pug' }\nempty = {}\n",
        {"point": {"x": 1, "y": 2}, "animal": {"type": {"name": "pug"}}, "empty": {}},
        {("point", "y"): 1, ("animal", "type", "name"): 2, ("empty",): 3},
    ),
    (
        "Array of tables",
        "[[products]]\nname = 'a'\n\n[[products]]\n\n[[products]]\nname = 'c'\n",
        {"products": [{"name": "a"}, {}, {"name": "c"}]},
        {("products",): 1, ("products", 1): 4, ("products", 2): 6, ("products", 2, "name"): 7},
    ),
    (
        "Array of tables: nested",
        _NESTED,
        {
            "fruits": [
                {"name": 1, "physical": {"color": 2}, "varieties": [{"name": 3}, {"name": 4}]},
                {"name": 5, "varieties": [{"name": 6}]},
            ]
        },
        {
            ("fruits", 0, "physical", "color"): 4,
            ("fruits", 0, "varieties", 1, "name"): 8,
            ("fruits", 1, "name"): 10,
            ("fruits", 1, "varieties", 0, "name"): 12,
        },
    ),
    (
        "Array of tables: written inline",
        "points = [ { x = 1 },\n           { x = 7 } ]\n",
        {"points": [{"x": 1}, {"x": 7}]},
        {("points", 1): 2, ("points", 1, "x"): 2},
    ),
    ("No line end at the end", "a = 1\nb = 2", {"a": 1, "b": 2}, {("b",): 2}),
    (
        "Line ends of two systems",
        "a = 1\r\nb = '''\r\nx\r\n'''\nc = 2\r\n",
        {"a": 1, "b": "x\n", "c": 2},
        {("b",): 2, ("c",): 5},
    ),
]


@pytest.mark.parametrize(
    ("text", "data", "lines"), [case[1:] for case in VALID], ids=[case[0] for case in VALID]
)
def test_what_the_specification_allows(text: str, data: dict[str, Any], lines: Lines) -> None:
    """It is read as the specification says, of the same types, and its keys stand at their lines."""
    found, places = parse_toml(text, "p.toml")
    assert repr(found) == repr(data)
    assert {path: places.find(path)[0] for path in lines} == lines


# Section, text, line, what is said of it.
INVALID: Final[list[tuple[str, str, int, str]]] = [
    ("Key/Value pair: no value", "a = 1\nkey = # INVALID\n", 2, "Invalid value"),
    ("Key/Value pair: two on a line", 'first = "A" last = "B"\n', 1, "more on this line"),
    ("Keys: no name", 'a = 1\n= "no key name"\n', 2, "Invalid statement"),
    ("Keys: given twice", "name = 1\nname = 2\n", 2, "name is given twice"),
    ("Keys: given twice, spelled otherwise", 'spelling = 1\n"spelling" = 2\n', 2, "spelling is given twice"),
    ("Keys: spelled by an escape", 'ab = 1\n"a\\u0062" = 2\n', 2, "ab is given twice"),
    (
        "Keys: a number made a table",
        "fruit.apple = 1\nfruit.apple.smooth = true\n",
        2,
        "a key is given twice",
    ),
    ("Keys: a table made a number", "a.b = 1\na = 2\n", 2, "a is given twice"),
    ("Keys: many lines", '"""key""" = 1\n', 1, ""),
    ("Keys: not of ASCII, bare", "a = 1\n\u028e = 2\n", 2, "Invalid statement"),
    ("Keys: a dot at the end", "a. = 1\n", 1, "a key cannot begin like this"),
    ("Keys: a dot at the beginning", ".a = 1\n", 1, "Invalid statement"),
    ("Keys: a line inside", 'a = 1\n"b\nc" = 1\n', 2, "the text is not closed"),
    ("Keys: alone", "a = 1\nb\n", 2, "a key without a value"),
    ("String: reserved escape", 'a = 1\nb = "\\a"\n', 2, "a backslash between double quotes"),
    ("String: escape of TOML 1.1", 'b = "\\x41"\n', 1, "a backslash between double quotes"),
    ("String: half a character", 'b = "\\uD800"\n', 1, "an escape that is no character"),
    ("String: beyond the last character", 'b = "\\U00110000"\n', 1, "an escape that is no character"),
    ("String: too few digits", 'b = "\\u12"\n', 1, "a backslash between double quotes"),
    ("String: a line inside", 'a = "x\ny"\n', 1, "the text is not closed"),
    ("String: a line inside, literal", "a = 1\nb = 'x\ny'\n", 2, "the text is not closed"),
    ("String: three quotes inside", 'a = """Three: """."""\n', 1, "more on this line"),
    ("String: fifteen apostrophes", f"a = '''Fifteen: {chr(39) * 18}\n", 1, "more on this line"),
    ("String: a control character", "a = 'x\x00'\n", 1, "Found invalid character"),
    ("String: delete", 'a = 1\nb = "\x7f"\n', 2, "'\\x7f'"),
    ("String: three quotes never closed", 'a = 1\nb = """x\ny = 2\n', 2, "the text is not closed"),
    ("Integer: 0 in front", "a = 1\nb = 0123\n", 2, "more on this line"),
    ("Integer: two underscores", "a = 1__0\n", 1, "more on this line"),
    ("Integer: underscore in front", "a = _1\n", 1, "Invalid value"),
    ("Integer: underscore at the end", "a = 1_\n", 1, "more on this line"),
    ("Integer: sign before a prefix", "a = +0x1\n", 1, "more on this line"),
    ("Integer: capital prefix", "a = 0X1\n", 1, "more on this line"),
    ("Float: nothing before the point", "a = 1\nb = .7\n", 2, "Invalid value"),
    ("Float: nothing behind the point", "a = 7.\n", 1, "more on this line"),
    ("Float: point before the exponent", "a = 3.e+20\n", 1, "more on this line"),
    ("Float: capital infinity", "a = Inf\n", 1, "Invalid value"),
    ("Boolean: capital", "a = 1\nb = True\n", 2, "Invalid value"),
    ("Date: a day that is none", "a = 1\nb = 2021-02-29\n", 2, "Invalid date"),
    ("Date: month 13", "b = 2021-13-01T00:00:00\n", 1, ""),
    ("Time: hour 25", "b = 25:00:00\n", 1, "more on this line"),
    ("Time: without seconds", "b = 07:32\n", 1, "more on this line"),
    ("Array: no comma", "a = 1\nb = [1 2]\n", 2, "the list is not closed"),
    ("Array: two commas", "a = [1,,2]\n", 1, "Invalid value"),
    ("Array: comma first", "a = [,1]\n", 1, "Invalid value"),
    ("Array: never closed", "a = 1\nb = [\n  1,\n  2,\n", 2, "the list is not closed"),
    (
        "Table: given twice",
        '[fruit]\napple = "red"\n\n[fruit]\norange = "orange"\n',
        4,
        "fruit is given twice",
    ),
    ("Table: a value before", '[fruit]\napple = "red"\n\n[fruit.apple]\n', 4, "apple is given twice"),
    (
        "Table: made by dotted keys",
        '[fruit]\napple.color = "red"\n[fruit.apple]\n',
        3,
        "apple is given twice",
    ),
    (
        "Table: made by dotted keys, deeper",
        "[fruit]\napple.taste.sweet = true\n[fruit.apple.taste]\n",
        3,
        "taste is given twice",
    ),
    ("Table: no name", "a = 1\n[]\n", 2, "a key cannot begin like this"),
    ("Table: a dot at the end", "[a.]\n", 1, "a key cannot begin like this"),
    ("Table: two dots", "[a..b]\n", 1, "a key cannot begin like this"),
    ("Table: two brackets and one", "a = 1\n[[b]\n", 2, "the name of the table is not closed"),
    ("Table: one bracket and two", "[b]]\n", 1, "more on this line"),
    ("Table: brackets apart", "[ [b]]\n", 1, "a key cannot begin like this"),
    ("Table: a key on its line", "[b] c = 1\n", 1, "more on this line"),
    (
        "Inline table: more of it later",
        "[product]\ntype = { name = 1 }\ntype.edible = false\n",
        3,
        "a key is given twice",
    ),
    ("Inline table: a table later", "a = { b = 1 }\n[a.c]\n", 2, "a key is given twice"),
    (
        "Inline table: made before",
        "[product]\ntype.name = 1\ntype = { edible = false }\n",
        3,
        "type is given twice",
    ),
    ("Inline table: over lines", "a = {\n  b = 1 }\n", 1, "a key cannot begin like this"),
    ("Inline table: comma at the end", "a = { b = 1, }\n", 1, "a key cannot begin like this"),
    ("Inline table: given twice in it", "a = { b = 1, b = 2 }\n", 1, "b is given twice"),
    ("Inline table: twice by a dot", "a = { b.c = 1, b = 2 }\n", 1, "b is given twice"),
    ("Inline table: never closed", "a = 1\nb = { c = 1\n", 2, "the braces are not closed"),
    ("Array of tables: the parent later", "[fruit.physical]\n[[fruit]]\n", 2, "a key is given twice"),
    ("Array of tables: an array before", "fruits = []\n\n[[fruits]]\n", 3, "a key is given twice"),
    (
        "Array of tables: a table of its name",
        "[[fruits]]\n[[fruits.varieties]]\n[fruits.varieties]\n",
        3,
        "varieties is given twice",
    ),
    (
        "Array of tables: made a table before",
        "[[fruits]]\n[fruits.physical]\n[[fruits.physical]]\n",
        3,
        "a key is given twice",
    ),
    ("Array of tables: a table after", "[[a]]\n[a]\n", 2, "a is given twice"),
    ("Line end: a carriage return alone", "a = 1\rb = 2\n", 1, "more on this line"),
    ("Line end: a carriage return in a comment", "a = 1\n# x\ry\n", 2, "Found invalid character"),
    ("Byte-order mark: not at the beginning", "a = 1\n\ufeffb = 2\n", 2, "a byte-order mark"),
]


@pytest.mark.parametrize(
    ("text", "line", "says"), [case[1:] for case in INVALID], ids=[case[0] for case in INVALID]
)
def test_what_the_specification_calls_invalid(text: str, line: int, says: str) -> None:
    """It is refused at its line, in words, with what would be right."""
    with pytest.raises(UsageError) as caught:
        parse_toml(text, "p.toml")
    error = caught.value
    assert not isinstance(error, MistakesError)
    assert error.place is not None
    assert (error.place.file, error.place.line) == ("p.toml", line)
    assert 1 <= error.place.column <= len(error.place.text) + 1
    assert says in error.message
    assert error.next_step


# What TOML allows and no file for pcaudit may have: numbers that bound nothing, and text nobody sees.
@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("inf", "inf is not a number"),
        ("+inf", "inf is not a number"),
        ("-inf", "-inf is not a number"),
        ("nan", "nan is not a number"),
        ("-nan", "nan is not a number"),
        ("1e400", "inf is not a number"),
        ("9_223_372_036_854_775_808", "more than 64 bits"),
        ("0xffff_ffff_ffff_ffff", "more than 64 bits"),
        ('"a\tb"', "a tab in it"),
        ('"\\u0000"', "invisible character \\x00"),
        ('"\\u007F"', "invisible character \\x7f"),
        ('"""\\r"""', "a carriage return in it"),
    ],
)
def test_what_files_for_pcaudit_are_narrower_in(value: str, says: str) -> None:
    """Each is told as a mistake of its own key, at its line."""
    with pytest.raises(MistakesError) as caught:
        parse_toml(f"a = 1\n[t]\nb = {value}\n", "p.toml")
    (mistake,) = caught.value.mistakes
    assert (mistake.key, mistake.place and mistake.place.line) == ("t.b", 3)
    assert says in mistake.message and mistake.hint


@pytest.mark.parametrize("section", range(len(VALID)), ids=[case[0] for case in VALID])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_files_are_read_the_same_in_every_encoding(section: int, encoding: str, tmp_path: Path) -> None:
    """As a file, with or without a byte-order mark, each case has the same data and the same lines."""
    _, text, data, lines = VALID[section]
    path = tmp_path / "p.toml"
    path.write_bytes(text.encode(encoding))
    document = files.read_toml(str(path))
    assert repr(document.data) == repr(data)
    assert {key: document.place(key).line for key in lines} == lines
