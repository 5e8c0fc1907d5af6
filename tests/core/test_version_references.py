"""Version schemes against what else reads them: other programs, and the examples of their own documents."""

from __future__ import annotations

import shutil
import subprocess
from itertools import combinations
from random import Random
from typing import Final

import pytest
from debian.debian_support import NativeVersion
from hypothesis import given, settings, strategies as st
from packaging.version import Version

from pcaudit.core.truth import Truth
from pcaudit.core.versions import SCHEMES, contains, read_range

_OPERATORS: Final = (">=", "<=", ">", "<", "==", "!=")


def _sign(scheme: str, one: str, other: str) -> int:
    read = SCHEMES[scheme].read
    first, second = read(one), read(other)
    assert first is not None and second is not None, (one, other)
    return int(first > second) - int(first < second)


def _answers(scheme: str, one: str, other: str) -> list[bool]:
    """What each operator in turn says of ``one`` held against ``other``."""
    found = [contains(read_range(f"{sign}{other}", scheme), one).truth for sign in _OPERATORS]
    assert Truth.UNKNOWN not in found, (one, other)
    return [truth is Truth.TRUE for truth in found]


def _expected(sign: int) -> list[bool]:
    return [sign >= 0, sign <= 0, sign > 0, sign < 0, sign == 0, sign != 0]


# -- Debian Policy 5.6.12: dpkg itself, and python-debian

# What packages of Debian and its derivatives look like: common practice, no source.
_SEEN: Final = (
    *("2.36-9+deb12u10", "2.36-9+deb12u9", "2.36-9", "2.35-0ubuntu3.8", "1:2.30-1+deb12u1", "1:2.30"),
    *("252.30-1~deb12u2", "252.30-1", "0~20230114-1", "0~20230113-1", "0.0~git20230101-1", "0.0~git2023-1"),
    *("9.0.2-1", "9.0.2+dfsg-1", "9.0.2+dfsg1-1.1", "9.0.2+ds-1", "9.0.2~rc1-1", "9.0.2~beta-1"),
    *("1.2.3-1~bpo12+1", "1.2.3-1+b1", "1.2.3-1.1", "1.2.3-1build1", "1.2.3-1ubuntu1", "1.2.3-1"),
    *(
        "6.1.0-28-amd64",
        "6.1.119-1",
        "6.1.99-1",
        "20230311+deb12u1",
        "20230311",
        "2023d-0+deb12u1",
        "2024a-1",
    ),
    *(
        "3.0.15-1~deb12u1",
        "3.0.9-1",
        "10.0.0",
        "9.9.9",
        "1.0",
        "1.00",
        "1.0.0",
        "01.0",
        "1.0a",
        "1.0z",
        "1.0+",
    ),
    *("1:1.0", "0:1.0", "2:0", "1.0-0", "1.0-00", "1.0~", "1.0~~", "1.0~~a", "1.0-1-1", "1.0-1-2", "1.0.-1"),
)


def _near(random: Random, version: str) -> str:
    """A version that differs from another in little: where orders are most easily wrong."""
    at = random.randrange(1, len(version) + 1)
    piece = random.choice(["", "0", "1", "9", "10", "a", "z", "Z", "+", "~", ".", "~~", ".0", "+b1", "a0"])
    cut = at if random.random() < 0.5 else min(len(version), at + 1)
    return version[:at] + piece + version[cut:]


def _debian_pairs(seed: int, count: int) -> list[tuple[str, str]]:
    random = Random(seed)  # noqa: S311
    read = SCHEMES["debian"].read
    pairs: list[tuple[str, str]] = []
    while len(pairs) < count:
        one = random.choice(_SEEN)
        other = _near(random, _near(random, one)) if random.random() < 0.7 else random.choice(_SEEN)
        if read(other) is not None:
            pairs.append((one, other))
    return pairs


@pytest.mark.optional("dpkg is a tool of some Linux systems only")
@pytest.mark.skipif(shutil.which("dpkg") is None, reason="dpkg is not installed")
def test_debian_orders_as_dpkg_does() -> None:
    """250 pairs of versions as packages have them, and near to those, are ordered as dpkg orders them."""
    pairs = _debian_pairs(5612, 250)
    script = (
        "while read a b; do for o in lt eq gt; do dpkg --compare-versions $a $o $b && echo $o; done; done"
    )
    lines = "".join(f"{one} {other}\n" for one, other in pairs)
    done = subprocess.run(["sh", "-c", script], input=lines, capture_output=True, text=True, timeout=120)
    # dpkg takes some of these only with a warning; it orders them all the same.
    expected = done.stdout.split()
    assert len(expected) == len(pairs), done.stderr
    names = {-1: "lt", 0: "eq", 1: "gt"}
    found = [names[_sign("debian", one, other)] for one, other in pairs]
    assert [pair for pair, ours, theirs in zip(pairs, found, expected, strict=True) if ours != theirs] == []


def test_debian_orders_as_python_debian_does() -> None:
    """5000 such pairs are ordered as the python-debian library orders them."""
    for one, other in _debian_pairs(44, 5000):
        first, second = NativeVersion(one), NativeVersion(other)
        assert _sign("debian", one, other) == (first > second) - (first < second), (one, other)


_PART: Final = st.text("0123456789aAzZ.+~", max_size=8)
_GENERATED: Final = st.builds(
    lambda epoch, first, rest, revision: f"{epoch}{first}{rest}{revision}",
    st.sampled_from(["", "0:", "1:", "10:"]),
    st.sampled_from("0129"),
    st.builds("{}{}".format, _PART, st.sampled_from(["", "-1", "-a"])),
    st.one_of(st.just(""), _PART.filter(bool).map("-{}".format)),
)


@settings(max_examples=1000)
@given(_GENERATED, _GENERATED)
def test_debian_agrees_with_python_debian_on_anything(one: str, other: str) -> None:
    """Versions of all of Debian's characters are held by every operator as python-debian orders them."""
    first, second = NativeVersion(one), NativeVersion(other)
    sign = (first > second) - (first < second)
    assert _sign("debian", one, other) == sign
    assert _answers("debian", one, other) == _expected(sign)


# Debian Policy 5.6.12: no hyphen without a revision, no colon without an epoch, both not empty; dpkg
# refuses these, or takes them with a warning.
@pytest.mark.parametrize(
    "version",
    [
        *(
            "1.0-",
            "1.0-1-",
            "2~b:0",
            "1.0:1",
            ":1.0",
            "a:1.0",
            "1:",
            "1:a",
            "1:+0",
            "-1",
            "1.0 2",
            "1.0_1",
            "1.0-1_2",
        )
    ],
)
def test_debian_does_not_read_what_policy_forbids(version: str) -> None:
    """What is no version by Debian Policy is neither inside nor outside any range."""
    assert SCHEMES["debian"].read(version) is None
    assert contains(read_range("!=1.0", "debian"), version).truth is Truth.UNKNOWN


@pytest.mark.parametrize("version", _SEEN)
def test_versions_of_packages_can_be_read(version: str) -> None:
    """What packages of distributions really have is a version of the scheme, and equal to itself."""
    assert _answers("debian", version, version) == _expected(0)


# -- Version specifiers, https://packaging.python.org/en/latest/specifications/version-specifiers/, as
# pypa/packaging.python.org keeps it, commit 009e327299596d0a1851801fc84377a65f83c58a

_PEP440_LISTS: Final = (
    # "Final releases"
    ("0.9", "0.9.1", "0.9.2", "0.9.10", "0.9.11", "1.0", "1.0.1", "1.1", "2.0", "2.0.1"),
    ("2012.4", "2012.7", "2012.10", "2013.1", "2013.6"),
    # "Version epochs"
    ("1.0", "1.1", "2.0", "2013.10", "2014.04"),
    ("2013.10", "2014.04", "1!1.0", "1!1.1", "1!2.0"),
    # "Examples of compliant version schemes"
    ("0.1", "0.2", "0.3", "1.0", "1.1"),
    ("1.1.0", "1.1.1", "1.1.2", "1.2.0"),
    ("0.9", "1.0a1", "1.0a2", "1.0b1", "1.0rc1", "1.0", "1.1a1"),
    (
        *("0.9", "1.0.dev1", "1.0.dev2", "1.0.dev3", "1.0.dev4", "1.0c1", "1.0c2", "1.0", "1.0.post1"),
        "1.1.dev1",
    ),
    ("2012.1", "2012.2", "2012.3", "2012.15", "2013.1", "2013.2"),
    # "Summary of permitted suffixes and relative ordering"
    (
        *("1.dev0", "1.0.dev456", "1.0a1", "1.0a2.dev456", "1.0a12.dev456", "1.0a12", "1.0b1.dev456"),
        *("1.0b2", "1.0b2.post345.dev456", "1.0b2.post345", "1.0rc1.dev456", "1.0rc1", "1.0"),
        *("1.0+abc.5", "1.0+abc.7", "1.0+5", "1.0.post456.dev34", "1.0.post456", "1.0.15", "1.1.dev1"),
    ),
)

# "Normalization": the same version, spelled otherwise.
_PEP440_SAME: Final = (
    *(("1.1RC1", "1.1rc1"), ("1.00", "1.0"), ("09000", "9000"), ("1.1.a1", "1.1a1"), ("1.1-a1", "1.1a1")),
    *(("1.0a.1", "1.0a1"), ("1.1alpha1", "1.1a1"), ("1.1beta2", "1.1b2"), ("1.1c3", "1.1rc3")),
    *(("1.2a", "1.2a0"), ("1.2-post2", "1.2.post2"), ("1.2post2", "1.2.post2"), ("1.2.post-2", "1.2.post2")),
    *(("1.0-r4", "1.0.post4"), ("1.2.post", "1.2.post0"), ("1.0-1", "1.0.post1"), ("1.2-dev2", "1.2.dev2")),
    *(("1.2dev2", "1.2.dev2"), ("1.2.dev", "1.2.dev0"), ("v1.0", "1.0"), ("1.0\n", "1.0"), (" 1.0 ", "1.0")),
    ("1.2", "1.2.0"),
)


@pytest.mark.parametrize("order", _PEP440_LISTS, ids=lambda order: order[0])
def test_pep440_orders_every_list_of_the_specification(order: tuple[str, ...]) -> None:
    """In each list, every version comes before every later one."""
    for low, high in combinations(order, 2):
        assert _sign("pep440", low, high) == -1, (low, high)


@pytest.mark.parametrize(("spelled", "normal"), _PEP440_SAME)
def test_pep440_reads_other_spellings_as_the_specification_does(spelled: str, normal: str) -> None:
    """A spelling that is normalised is equal to its normal form, in ranges too."""
    assert _sign("pep440", spelled, normal) == 0
    assert contains(read_range(f"=={normal}", "pep440"), spelled).truth is Truth.TRUE


def test_pep440_refuses_what_is_no_version() -> None:
    """The separator of an implicit post-release needs its number: ``1.0-`` is not a valid version."""
    assert SCHEMES["pep440"].read("1.0-") is None


_CANDIDATES: Final = sorted({v for order in _PEP440_LISTS for v in order} | {"2.2", "2.2.1", "2.3", "3.0"})


# "Compatible release": groups of clauses that are equivalent.
@pytest.mark.parametrize(
    ("compatible", "spelled_out"),
    [
        ("~= 2.2", ">= 2.2, == 2.*"),
        ("~= 1.4.5", ">= 1.4.5, == 1.4.*"),
        ("~= 2.2.post3", ">= 2.2.post3, == 2.*"),
        ("~= 1.4.5a4", ">= 1.4.5a4, == 1.4.*"),
        ("~= 2.2.0", ">= 2.2.0, == 2.2.*"),
        ("~= 1.4.5.0", ">= 1.4.5.0, == 1.4.5.*"),
    ],
)
def test_pep440_compatible_releases_are_what_they_stand_for(compatible: str, spelled_out: str) -> None:
    """Both ways of writing it hold for the same versions, and for some but not all."""
    near = ["1.4.4", "1.4.5a3", "1.4.5a4", "1.4.5", "1.4.5.1", "1.4.6", "1.5", "2.2.post2", "2.2.post3"]
    answers = []
    for version in [*_CANDIDATES, *near]:
        short, long = (
            contains(read_range(text, "pep440"), version).truth for text in (compatible, spelled_out)
        )
        assert short is long, version
        answers.append(short)
    assert set(answers) == {Truth.TRUE, Truth.FALSE}


@given(st.sampled_from(_CANDIDATES), st.sampled_from(_CANDIDATES))
def test_pep440_inclusive_bounds_follow_the_order(one: str, other: str) -> None:
    """``>=`` and ``<=`` hold as the packaging library orders the public parts of the versions."""
    public = str(Version(other).public)
    sign = (Version(Version(one).public) > Version(public)) - (Version(Version(one).public) < Version(public))
    assert contains(read_range(f">={public}", "pep440"), one).truth is (
        Truth.TRUE if sign >= 0 else Truth.FALSE
    )
    assert contains(read_range(f"<={public}", "pep440"), one).truth is (
        Truth.TRUE if sign <= 0 else Truth.FALSE
    )


# -- Semantic Versioning 2.0.0

_SEMVER_CHAINS: Final = (
    # Section 11, points 2, 3 and 4.
    ("1.0.0", "2.0.0", "2.1.0", "2.1.1"),
    ("1.0.0-alpha", "1.0.0"),
    (
        *("1.0.0-alpha", "1.0.0-alpha.1", "1.0.0-alpha.beta", "1.0.0-beta", "1.0.0-beta.2", "1.0.0-beta.11"),
        *("1.0.0-rc.1", "1.0.0"),
    ),
    # Section 9's examples, ordered by section 11: numbers before letters, letters by ASCII.
    ("1.0.0-0.3.7", "1.0.0-alpha", "1.0.0-alpha.1", "1.0.0-x.7.z.92", "1.0.0-x-y-z.--"),
    ("1.0.0-2", "1.0.0-11", "1.0.0-A", "1.0.0-a"),
)


@pytest.mark.parametrize("order", _SEMVER_CHAINS, ids=lambda order: order[0])
def test_semver_holds_every_operator_along_the_chains_of_section_11(order: tuple[str, ...]) -> None:
    """Every version of a chain is before every later one, by each operator from both sides."""
    for low, high in combinations(order, 2):
        assert _answers("semver", low, high) == _expected(-1), (low, high)
        assert _answers("semver", high, low) == _expected(1), (low, high)
        # Section 10: build metadata is ignored.
        assert _answers("semver", f"{low}+20130313144700", f"{high}+exp.sha.5114f85") == _expected(-1)


# From memory: the examples behind the expression that the specification's own FAQ suggests.
@pytest.mark.parametrize(
    "version",
    [
        *("0.0.4", "1.2.3", "10.20.30", "1.1.2-prerelease+meta", "1.1.2+meta", "1.1.2+meta-valid"),
        *("1.0.0-alpha.beta.1", "1.0.0-alpha0.valid", "1.0.0-alpha.0valid", "1.0.0-rc.1+build.1"),
        *("1.0.0-alpha-a.b-c-somethinglong+build.1-aef.1-its-okay", "2.0.0-rc.1+build.123", "1.2.3-beta"),
        *("10.2.3-DEV-SNAPSHOT", "1.2.3-SNAPSHOT-123", "2.0.0+build.1848", "2.0.1-alpha.1227"),
        *("1.2.3----RC-SNAPSHOT.12.9.1--.12+788", "1.2.3----R-S.12.9.1--.12+meta", "1.0.0-0A.is.legal"),
        *("1.0.0+0.build.1-rc.10000aaa-kk-0.1", "1.0.0--1", "1.0.0-99999999999999999999999"),
    ],
)
def test_semver_reads_what_is_one(version: str) -> None:
    """Everything the grammar allows is read and equal to itself."""
    assert _answers("semver", version, version) == _expected(0)


@pytest.mark.parametrize(
    "version",
    [
        *("1", "1.2", "1.2.3-0123", "1.2.3-0123.0123", "1.1.2+.123", "+invalid", "-invalid", "alpha"),
        *("1.0.0-alpha_beta", "1.0.0-alpha..", "1.0.0-alpha..1", "01.1.1", "1.01.1", "1.1.01", "1.2.3.DEV"),
        *("1.2-SNAPSHOT", "1.2-RC-SNAPSHOT", "-1.0.3-gamma+b7718", "+justmeta", "9.8.7+meta+meta"),
        *(
            "9.8.7-whatever+meta+meta",
            "1.2.31.2.3----RC-SNAPSHOT.12.09.1--..12+788",
            "1.0.0-",
            "1.0.0+",
            "1.0.0-é",
        ),
    ],
)
def test_semver_does_not_read_what_is_none(version: str) -> None:
    """What the grammar does not allow is neither inside nor outside any range."""
    assert SCHEMES["semver"].read(version) is None
    assert contains(read_range("!=1.0.0", "semver"), version).truth is Truth.UNKNOWN
