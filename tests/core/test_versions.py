"""Versions and ranges of them."""

from __future__ import annotations

import shutil
import subprocess
from itertools import pairwise, product

import pytest
from hypothesis import given, settings, strategies as st
from packaging.specifiers import SpecifierSet

from pcaudit.core.truth import Truth
from pcaudit.core.versions import (
    LIMIT,
    SCHEMES,
    RangeError,
    Scheme,
    contained_in_any,
    contains,
    read_range,
    specifier,
)

YES, NO, MAYBE = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN


def _holds(version: str, wanted: str, scheme: str = "dotted", abbreviated: bool = False) -> Truth:
    return contains(read_range(wanted, scheme), version, abbreviated).truth


# -- pep440: the Python packaging version specifiers specification, its own examples

PEP440 = [
    ("~=2.2", "2.2.post3", YES),
    ("~=2.2", "2.3", YES),
    ("~=2.2", "3.0", NO),
    ("~=1.4.5", "1.4.99", YES),
    ("~=1.4.5", "1.5", NO),
    ("==1.1", "1.1.0", YES),
    ("==1.1", "1.1+ubuntu.1", YES),
    ("==1.1", "1.1.post1", NO),
    ("==1.1", "1.1a1", NO),
    ("==1.1+ubuntu.1", "1.1", NO),
    ("==1.1.*", "1.1.post1", YES),
    ("==1.1.*", "1.1a1", YES),
    ("!=1.1", "1.1.post1", YES),
    ("!=1.1.*", "1.1.post1", NO),
    (">1.7", "1.7.1", YES),
    (">1.7", "1.7.0.post1", NO),
    (">1.7.post2", "1.7.0.post3", YES),
    (">1.7.post2", "1.7.0", NO),
    ("<2.0", "2.0rc1", NO),
    (">1.0", "1.0+x", NO),
    ("<=1.0", "1.0+x", YES),
    (">=2024", "1!0.1", YES),
    (">=1.0", "2.0rc1", YES),
]


@pytest.mark.parametrize(("wanted", "version", "truth"), PEP440)
def test_pep440_follows_the_specification(wanted: str, version: str, truth: Truth) -> None:
    """The worked examples of the version specifiers specification come out as it says."""
    assert _holds(version, wanted, "pep440") is truth
    assert SpecifierSet(wanted).contains(version, prereleases=True) is (truth is YES)


# Version specifiers specification, "Summary of permitted suffixes and relative ordering".
PEP440_ORDER = [
    *("1.0.dev456", "1.0a1", "1.0a2.dev456", "1.0a12.dev456", "1.0a12", "1.0b1.dev456"),
    *("1.0b2", "1.0b2.post345.dev456", "1.0b2.post345", "1.0rc1.dev456", "1.0rc1", "1.0"),
    *("1.0+abc.5", "1.0+abc.7", "1.0+5", "1.0.post456.dev34", "1.0.post456", "1.0.15"),
    *("1.1.dev1",),
]

# SemVer 2.0.0, section 11.
SEMVER_ORDER = [
    *("1.0.0-alpha", "1.0.0-alpha.1", "1.0.0-alpha.beta", "1.0.0-beta", "1.0.0-beta.2", "1.0.0-beta.11"),
    *("1.0.0-rc.1", "1.0.0", "2.0.0", "2.1.0", "2.1.1"),
]

# Debian Policy 5.6.12 and examples of deb-version(7).
DEBIAN_ORDERS = (
    ["1.0~beta1~svn1245", "1.0~beta1", "1.0"],
    ["2.4", "1:0.4"],
    ["1.2.9", "1.2.10"],
    ["1.0-1~bpo12+1", "1.0-1", "1.0-1+b1"],
    ["1.0a", "1.0+"],
    ["1.0~~", "1.0~~a", "1.0~", "1.0", "1.0a"],
    ["1.0-1", "1.0a-1", "1.0.1-1"],
)


@pytest.mark.parametrize(
    ("scheme", "order"),
    [("pep440", PEP440_ORDER), ("semver", SEMVER_ORDER), *(("debian", order) for order in DEBIAN_ORDERS)],
)
def test_each_scheme_orders_as_its_own_document_does(scheme: str, order: list[str]) -> None:
    """Each version of the documents' lists sorts before the next, and no two are equal."""
    read = SCHEMES[scheme].read
    for low, high in pairwise(order):
        assert read(low) < read(high), (low, high)


@pytest.mark.parametrize(
    ("scheme", "one", "other"),
    [
        ("semver", "1.0.0+build.1", "1.0.0+build.2"),  # section 10: build metadata is ignored
        ("semver", "v1.0.0", "1.0.0"),
        ("debian", "1.0", "1.0-0"),  # Debian Policy 5.6.12: an absent revision is revision 0
        ("debian", "0:1.0", "1.0"),
        ("debian", "1.00", "1.0"),
        ("debian", "1.0a", "1.0a0"),
        ("dotted", "v1.2", "1.2"),
    ],
)
def test_what_a_scheme_takes_for_the_same_is_equal(scheme: str, one: str, other: str) -> None:
    """Spellings that a scheme's document calls equal satisfy each other's ``==``."""
    assert _holds(one, f"=={other}", scheme) is YES
    assert _holds(other, f"=={one}", scheme) is YES


_PIECES = st.text("0123456789ab.+~", min_size=0, max_size=6)
_DEBIAN = st.builds(
    lambda epoch, first, rest, revision: f"{epoch}{first}{rest}{revision}",
    st.sampled_from(["", "0:", "1:"]),
    st.sampled_from("0129"),
    _PIECES,
    st.one_of(st.just(""), _PIECES.filter(bool).map("-{}".format)),
)


@pytest.mark.optional("dpkg is a tool of some Linux systems only")
@pytest.mark.skipif(shutil.which("dpkg") is None, reason="dpkg is not installed")
@settings(max_examples=50)
@given(st.lists(st.tuples(_DEBIAN, _DEBIAN), min_size=8, max_size=8))
def test_debian_agrees_with_dpkg(pairs: list[tuple[str, str]]) -> None:
    """Generated pairs are ordered as dpkg itself orders them."""
    read = SCHEMES["debian"].read
    script = ";".join(
        f'for o in lt eq gt; do dpkg --compare-versions "{a}" $o "{b}" && echo $o; done' for a, b in pairs
    )
    done = subprocess.run(["sh", "-c", script], capture_output=True, text=True, check=False, timeout=60)
    expected = done.stdout.split()
    found = ["lt" if read(a) < read(b) else "gt" if read(a) > read(b) else "eq" for a, b in pairs]
    assert found == expected


# -- dotted


@pytest.mark.parametrize(
    ("wanted", "version", "truth"),
    [
        ("<=14", "14.5", YES),
        ("==10.0.26100", "10.0.26100.2314", YES),
        ("10.0.26100", "10.0.26100.2314", YES),
        ("<10.0.22000", "10.0.26100.2314", NO),
        (">=10.0.19045,<10.0.22000", "10.0.19045.5011", YES),
        (">=10.0.19045,<10.0.22000", "10.0.22631.1", NO),
        (">14", "14.5", NO),
        (">14", "15", YES),
        ("!=1.2", "1.2.9", NO),
        ("!=1.2", "1.20", YES),
        (">=8.9", "8.10", YES),
        (">=1.0.0", "1", YES),
        ("==1.0.0", "1", YES),
        ("==1.0.1", "1", NO),
        (">= 1.2 , < 2", "1.9", YES),
        ("v1.2", "V1.2.3", YES),
        (">=4.8,<5", "4.8.1", YES),
    ],
)
def test_dotted_compares_as_far_as_the_bound_is_written(wanted: str, version: str, truth: Truth) -> None:
    """A bound looks at as many parts as it has, and 8.10 comes after 8.9."""
    assert _holds(version, wanted) is truth


# Where the dotted scheme means something else than the packaging library by the same words.
@pytest.mark.parametrize(
    ("wanted", "version", "dotted", "pep440"),
    [
        ("<=14", "14.5", YES, NO),
        (">14", "14.5", NO, YES),
        ("==10.0.26100", "10.0.26100.2314", YES, NO),
        ("!=1.2", "1.2.9", NO, YES),
        (">=1.0", "1.0rc1", MAYBE, NO),
        ("==1.0", "1.0.post1", MAYBE, NO),
        (">=1.0", "2.0+local", MAYBE, YES),
        (">=2024", "1!0.1", MAYBE, YES),
    ],
)
def test_dotted_and_pep440_differ_only_here(wanted: str, version: str, dotted: Truth, pep440: Truth) -> None:
    """Bounds shorter than the version, and suffixes, are where the two schemes part."""
    assert _holds(version, wanted) is dotted
    assert _holds(version, wanted, "pep440") is pep440


_NUMBERS = st.lists(st.integers(0, 4), min_size=1, max_size=4).map(lambda parts: ".".join(map(str, parts)))
_OPERATORS = st.sampled_from([">=", "<=", "==", "!=", "<", ">"])
_CLAUSES = st.lists(st.builds("{}{}".format, _OPERATORS, _NUMBERS), min_size=1, max_size=4)


def _readable(clauses: list[str]) -> str | None:
    text = ",".join(clauses)
    try:
        read_range(text)
    except RangeError:
        return None
    return text


@given(_CLAUSES, _NUMBERS)
def test_dotted_means_what_its_translation_says(clauses: list[str], version: str) -> None:
    """A dotted range holds exactly where its translation into a packaging specifier set does."""
    text = _readable(clauses)
    if text is not None:
        translated = SpecifierSet(specifier(read_range(text).clauses))
        assert (_holds(version, text) is YES) == translated.contains(version, prereleases=True)


_WITNESSES = [
    ".".join(map(str, parts)) for length in (1, 2, 3, 4, 5) for parts in product(range(6), repeat=length)
]
_FEW_NUMBERS = st.lists(st.integers(0, 2), min_size=1, max_size=3).map(lambda p: ".".join(map(str, p)))
_FEW_CLAUSES = st.lists(st.builds("{}{}".format, _OPERATORS, _FEW_NUMBERS), min_size=1, max_size=3)


@given(_FEW_CLAUSES)
def test_no_range_is_called_impossible_that_is_not(clauses: list[str]) -> None:
    """A range is refused only where no version of up to four small parts satisfies it."""
    text = ",".join(clauses)
    alone = [read_range(clause) for clause in clauses if _readable([clause])]
    if _readable(clauses) is None and len(alone) == len(clauses):
        short = (version for version in _WITNESSES if version.count(".") < 4)
        assert not any(all(contains(one, v).truth is YES for one in alone) for v in short), text


@given(_FEW_CLAUSES)
def test_a_range_that_is_accepted_has_a_version(clauses: list[str]) -> None:
    """A dotted range that is not refused is satisfied by some version."""
    text = _readable(clauses)
    if text is not None:
        wanted = read_range(text)
        assert any(contains(wanted, version).truth is YES for version in _WITNESSES), text


@pytest.mark.parametrize(
    ("wanted", "scheme"),
    [
        ("<0", "dotted"),
        ("<0.0.0", "dotted"),
        (">=2,<1", "dotted"),
        (">1.2,<1.3", "dotted"),
        ("==1.2,!=1", "dotted"),
        ("==1,==2", "dotted"),
        (">=1.2,<1.3,!=1.2", "dotted"),
        (">=2,<1", "pep440"),
        (">=1.0a1,<1.0", "pep440"),
        (">=2.0.0,<1.0.0", "semver"),
        ("==1.0.0,!=1.0.0", "semver"),
        (">1.0.0,<=1.0.0", "semver"),
        (">=2,<2", "debian"),
        ("==1.0,==1.0-1", "debian"),
    ],
)
def test_a_range_nothing_satisfies_is_refused(wanted: str, scheme: str) -> None:
    """Bounds that exclude each other are a mistake of the profile, told before any PC is probed."""
    with pytest.raises(RangeError, match="no version satisfies"):
        read_range(wanted, scheme)


@given(_FEW_CLAUSES, _FEW_NUMBERS, st.lists(st.integers(0, 3), max_size=2))
def test_an_abbreviated_version_is_judged_only_where_all_completions_agree(
    clauses: list[str], version: str, rest: list[int]
) -> None:
    """Yes or no of a shortened version is yes or no of every version it may stand for."""
    text = _readable(clauses)
    if text is not None:
        wanted = read_range(text)
        short = contains(wanted, version, abbreviated=True).truth
        full = contains(wanted, ".".join([version, *map(str, rest)])).truth
        assert short in (MAYBE, full)


@pytest.mark.parametrize(
    ("wanted", "truth"),
    [
        (">=12", YES),
        ("<14", YES),
        (">=12.0", YES),
        ("<12.0", NO),
        (">=11.9", YES),
        ("==12.5", MAYBE),
        (">=12.5", MAYBE),
        ("<=12.0", MAYBE),
        (">=12,<14", YES),
        (">13.5", NO),
    ],
)
def test_a_release_named_12_may_be_any_12(wanted: str, truth: Truth) -> None:
    """The version 12 says nothing about 12.5, and enough about 12 and 13."""
    found = contains(read_range(wanted), "12", abbreviated=True)
    assert found.truth is truth
    assert ("leaves out" in found.why) is (truth is MAYBE)


# -- what a scheme does not read

UNREADABLE = [
    ("22H2", "dotted", "compare builds"),
    ("6.8.0-45-generic", "dotted", "debian"),
    ("24.04.1 LTS", "dotted", "no scheme here reads it"),
    ("9.0c", "dotted", "debian"),
    ("1.8.0_392", "dotted", "no scheme here reads it"),
    ("R2024b", "dotted", "no scheme here reads it"),
    ("2024-01", "dotted", "debian"),
    ("1.0.0-rc.1", "dotted", "semver"),
    ("", "dotted", "no scheme here reads it"),
    ("1..2", "dotted", "debian"),
    ("1.", "dotted", "debian"),
    ("\u0661.2", "dotted", "no scheme here reads it"),
    ("1.1.1k", "pep440", "debian"),
    ("1.0", "semver", "dotted"),
    ("1.0.0-01", "semver", "debian"),
    ("01.0.0", "semver", "dotted"),
    ("a1.0", "debian", "no scheme here reads it"),
    ("1" * (LIMIT + 1), "dotted", "too long"),
]


@pytest.mark.parametrize(("version", "scheme", "reason"), UNREADABLE)
def test_what_a_scheme_cannot_read_is_neither_in_nor_out(version: str, scheme: str, reason: str) -> None:
    """An unreadable version is unknown even to != and the reason says what could be compared."""
    example = SCHEMES[scheme].example
    for operator in (">=", "<=", "!=", "<", ">", "=="):
        found = contains(read_range(f"{operator}{example}", scheme), version)
        assert found.truth is MAYBE
        assert reason in found.why


@pytest.mark.parametrize("scheme", SCHEMES.values(), ids=lambda scheme: scheme.name)
def test_the_example_of_every_scheme_can_be_read(scheme: Scheme) -> None:
    """Hints never show an example that the scheme itself would refuse."""
    assert scheme.read(scheme.example) is not None


@pytest.mark.parametrize(
    ("wanted", "scheme", "message", "hint"),
    [
        ("", "dotted", "an empty bound", ">=10.0.19045"),
        (">=1,,<2", "dotted", "an empty bound", ">=10.0.19045"),
        (">=", "dotted", "no version", ""),
        ("=1.2", "dotted", "single =", "write =="),
        ("~=1.2", "dotted", "no operator of the dotted scheme", ">=2.2,<3"),
        ("~=1", "pep440", "no version specifier", "~=2.2"),
        ("===1", "pep440", "is no version", ""),
        ("<1.0.*", "pep440", "no version specifier", ""),
        (">=1.0+local", "pep440", "no version specifier", ""),
        ("1.2.*", "dotted", "ends in .*", "leave it out"),
        ("latest", "dotted", "is no version of the dotted scheme", "no scheme here"),
        ("22H2", "dotted", "is no version range", "feature_release"),
        (">=1.0.0-rc.1", "dotted", "is no version", "semver"),
        (">=23H2", "dotted", "is no version range", "compare builds, as >=10.0.22631"),
        ("<=23h2,>=10.0", "dotted", "is no version range", "compare builds, as >=10.0.22631"),
        ("23H2 or later", "dotted", "is no version range", "compare builds, as >=10.0.22631"),
        ("22H2 - 24H2", "dotted", "is no version range", "compare builds, as >=10.0.22631"),
        (
            "\u226510.0.22631",
            "dotted",
            "is no version range",
            'write the sign in two characters: ">=10.0.22631"',
        ),
        (">=2,4", "dotted", "bare version behind a comma", 'write a point: ">=2.4"'),
        ("<4,3", "dotted", "bare version behind a comma", 'write a point: "<4.3"'),
        (">=10,0,22631", "dotted", "bare version behind a comma", 'write a point: ">=10.0.22631"'),
        ("4,8", "dotted", "bare version behind a comma", 'write a point: "4.8"'),
        ("2.3,2.5", "dotted", "bare version behind a comma", 'one must hold: ["2.3", "2.5"]'),
        (">=1,<2,3.1", "debian", "bare version behind a comma", 'the operator before "3.1" too'),
        (">=1", "calendar", "no version scheme", "dotted, pep440, semver, debian"),
        ("1" * 201, "dotted", "201 characters", "at most 200"),
    ],
)
def test_what_is_no_range_is_refused_with_a_hint(wanted: str, scheme: str, message: str, hint: str) -> None:
    """A range that cannot be read says why, and what would be right."""
    with pytest.raises(RangeError) as caught:
        read_range(wanted, scheme)
    assert message in str(caught.value)
    assert hint in caught.value.hint


@given(st.text(max_size=30), st.sampled_from(sorted(SCHEMES)))
def test_no_text_breaks_the_reader(text: str, scheme: str) -> None:
    """Whatever is written as a range is a range or refused, and any version an answer."""
    try:
        wanted = read_range(text, scheme)
    except RangeError:
        wanted = read_range(SCHEMES[scheme].example, scheme)
    assert contains(wanted, text).truth in Truth


@given(
    st.text("0123456789.abdehoprstv+-!*~<>=,_ ", max_size=14),
    st.sampled_from(["pep440", "debian", "semver"]),
)
def test_no_text_that_looks_like_a_range_breaks_the_reader(text: str, scheme: str) -> None:
    """What is nearly a range is a range or refused, never a fault."""
    try:
        assert read_range(text, scheme).clauses
    except RangeError as error:
        assert str(error)


def test_a_bare_version_may_stand_before_bounds() -> None:
    """What is excepted from an exact version stands behind it, each with its operator."""
    wanted = read_range("10.0.26100,!=10.0.26100.1")
    assert [contains(wanted, v).truth for v in ("10.0.26100.2", "10.0.26100.1")] == [YES, NO]


def test_no_scheme_is_named_for_the_name_of_a_release() -> None:
    """A PC that gives 23H2 as its version is not to be compared as Debian packages are."""
    why = contains(read_range(">=10.0.22631"), "23H2").why
    assert "debian" not in why and "compare builds" in why


def test_a_list_of_ranges_is_one_of() -> None:
    """A version in a hole between ranges is out, in one of them in, unreadable unknown."""
    ranges = (read_range(">=1,<2"), read_range(">=3"))
    assert [contained_in_any(ranges, v).truth for v in ("1.5", "2.5", "3.0", "x")] == [YES, NO, YES, MAYBE]
