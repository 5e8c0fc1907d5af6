"""The canonical form of JSON, held against RFC 8785's own examples."""

from __future__ import annotations

import json
import struct

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.canonical import EXACT, NotCanonicalError, canonical, digest, is_digest, sha256, text_is

# RFC 8785, appendix B: IEEE 754 bit patterns and their text; NaN and infinity stand below.
NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


@pytest.mark.parametrize(("bits", "text"), NUMBERS)
def test_numbers_of_the_rfc(bits: str, text: str) -> None:
    """A double is written as appendix B of RFC 8785 writes it."""
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(number) == text.encode()


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_what_is_no_number_has_no_form(bits: str) -> None:
    """NaN and infinity have no canonical form (RFC 8785, appendix B)."""
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    with pytest.raises(NotCanonicalError):
        canonical({"n": number})


# RFC 8785, section 3.2.2: the input; section 3.2.4: its canonical form, byte by byte.
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
SAMPLE_BYTES = """
    7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72
    75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
    5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31
    65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
    5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30
    30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
"""


def test_the_sample_of_the_rfc() -> None:
    """The sample of section 3.2.2 becomes the bytes of section 3.2.4."""
    assert canonical(json.loads(SAMPLE)) == bytes.fromhex(SAMPLE_BYTES)


# RFC 8785, section 3.2.3: the input, and the order of the values after sorting.
SORTING = r"""{
  "\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}"""
SORTED = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]


def test_the_sorting_of_the_rfc() -> None:
    """Keys are sorted by their UTF-16 units, as the example of section 3.2.3 says."""
    assert list(json.loads(canonical(json.loads(SORTING))).values()) == SORTED


@pytest.mark.parametrize("number", [EXACT, -EXACT, EXACT + 1, 1 << 60, 3 * (1 << 58), -(1 << 60), 10**22])
def test_whole_numbers_a_double_holds(number: int) -> None:
    """A whole number that a double holds exactly is written as that double is."""
    assert canonical([number]) == canonical([float(number)])
    assert float(canonical(number)) == number


@pytest.mark.parametrize(
    "number", [EXACT + 2, -(EXACT + 2), (1 << 60) - 1, 1152921504606847000, 10**23, (1 << 1100) + 1, 10**400]
)
def test_whole_numbers_a_double_rounds_are_refused(number: int) -> None:
    """Readers would round it, so a changed last digit would not show: there is no digest of it."""
    with pytest.raises(NotCanonicalError, match="no double holds it"):
        canonical({"deep": [{"inside": number}]})


def test_true_is_no_number_beside_large_ones() -> None:
    """Where large numbers are written as doubles, true and false stay what they are."""
    assert canonical([True, False, 1 << 60, None, "x"]) == b'[true,false,1152921504606847000,null,"x"]'


def test_a_lone_surrogate_has_no_form() -> None:
    """Text that is no Unicode has no digest."""
    with pytest.raises(NotCanonicalError):
        canonical({"name": "disk\ud800"})


# JSON values of every kind; whole numbers as far as doubles hold each (RFC 7493, section 2.2).
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-EXACT, EXACT)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@given(VALUES)
def test_the_form_reads_back_and_stays(value: object) -> None:
    """A reader with nothing but doubles gets the same data from it, and the same form again."""
    form = canonical(value)
    read = json.loads(form, parse_int=float)
    assert read == value
    assert canonical(read) == form


def test_order_and_layout_do_not_matter() -> None:
    """Two texts of the same data have one digest."""
    assert digest(json.loads('{"a": 1, "b": [2.0]}')) == digest(json.loads('{ "b":[2],\n"a":1.0}'))
    assert digest({"a": 1}) != digest({"a": 2})


def test_the_digest_is_sha_256() -> None:
    """The digest of the bytes "abc" is the one the standard gives (FIPS 180-2, appendix B.1)."""
    assert sha256(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize(
    ("value", "good"),
    [
        ("0" * 64, True),
        ("a" * 63, False),
        ("a" * 65, False),
        ("A" * 64, False),
        ("g" * 64, False),
        (None, False),
    ],
)
def test_what_a_digest_looks_like(value: object, good: bool) -> None:
    """A digest is 64 hexadecimal digits in small letters."""
    assert is_digest(value) is good


@pytest.mark.parametrize(
    "raw",
    [
        b"title = 1\n",
        b"\xef\xbb\xbftitle = 1\n",
        b"\xff\xfe" + "title = 1\n".encode("utf-16-le"),
        b"\xfe\xff" + "title = 1\n".encode("utf-16-be"),
    ],
)
def test_a_text_is_known_by_the_digest_of_its_file(raw: bytes) -> None:
    """Whatever encoding the file had, its text matches its digest, and no other text does."""
    assert text_is("title = 1\n", sha256(raw))
    assert not text_is("title = 2\n", sha256(raw))
    assert not text_is("title = \ud800", sha256(raw))
