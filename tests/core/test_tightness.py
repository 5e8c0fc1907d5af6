"""Which of several conditions on one reading asks more, and that the tightest is shown first."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from pcaudit.core import versions
from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.profile import Scalar
from pcaudit.core.tightness import tightness, within
from pcaudit.core.truth import Truth
from tests.core.builders import GB, profile_of, snapshot_of, value

WINDOWS = '[os]\ntype = "windows"\n'


def _requirements(*texts: str) -> list[Scalar]:
    found = [c for text in texts for c in profile_of(text).conditions if isinstance(c, Scalar)]
    return [one for one in found if one.id != "os.type"]


@pytest.mark.parametrize(
    ("tighter", "looser"),
    [
        ("cpu.cores.minimum = 8", "cpu.cores.minimum = 4"),
        ("cpu.cores.maximum = 4", "cpu.cores.maximum = 8"),
        ("cpu.cores.equal = 4", "cpu.cores.minimum = 4"),
        ("cpu.cores = { minimum = 4, maximum = 8 }", "cpu.cores.minimum = 4"),
        ('power.sleep_after = "never"', 'power.sleep_after.minimum = "8 h"'),
        ('cpu.level = "x86-64-v3"', 'cpu.level = "x86-64-v2"'),
        ("os.support_ends.minimum = 2028-01-01", "os.support_ends.minimum = 2027-12-31"),
        ('computer.chassis = "desktop"', 'computer.chassis = ["desktop", "server"]'),
        (WINDOWS + 'version = ">=10.0.22000"', WINDOWS + 'version = ">=10.0.19045"'),
        (WINDOWS + 'version = ">=10.0.22000,<10.0.26100"', WINDOWS + 'version = ">=10.0.19045"'),
        (WINDOWS + 'version = "10.0.19045"', WINDOWS + 'version = ["10.0.19045", ">=10.0.22000"]'),
    ],
)
def test_the_tighter_one_lies_within_the_other(tighter: str, looser: str) -> None:
    """What meets the tighter condition meets the looser one, and not the other way round."""
    one, other = (each.requirement for each in _requirements(tighter, looser))
    assert within(one, other)
    assert not within(other, one)
    assert tightness([other, one]) == [0, 1]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("cpu.cores.minimum = 4", "cpu.cores.maximum = 8"),
        ("cpu.cores.minimum = 4", "cpu.cores.minimum = 4"),
        (WINDOWS + 'version = ">=10.0.19045,<10.0.26200"', WINDOWS + 'version = ">=10.0.22000"'),
        ('computer.chassis = "desktop"', 'computer.chassis = { none_of = ["laptop"] }'),
    ],
)
def test_neither_goes_beyond_the_other(first: str, second: str) -> None:
    """Conditions that overlap, are the same, or cannot be compared keep the order they are written in."""
    assert tightness([each.requirement for each in _requirements(first, second)]) == [0, 0]


_BOUNDS = st.builds(
    lambda operator, parts: f"{operator}{'.'.join(map(str, parts))}",
    st.sampled_from([">=", "<=", ">", "<", "==", "!="]),
    st.lists(st.integers(0, 3), min_size=1, max_size=3),
)
_VERSIONS = st.lists(st.integers(0, 4), min_size=1, max_size=4).map(lambda parts: ".".join(map(str, parts)))


@given(st.lists(_BOUNDS, min_size=1, max_size=2), st.lists(_BOUNDS, min_size=1, max_size=2), _VERSIONS)
def test_a_version_in_the_inner_range_is_in_the_outer(
    inner: list[str], outer: list[str], version: str
) -> None:
    """Where one range is said to lie within another, no version is in the first and not in the second."""
    try:
        one, other = (versions.read_range(",".join(bounds)) for bounds in (inner, outer))
    except versions.RangeError:
        return  # no version at all
    if versions.within(one, other) and versions.contains(one, version).truth is Truth.TRUE:
        assert versions.contains(other, version).truth is Truth.TRUE


def test_the_tightest_condition_stands_first() -> None:
    """Of conditions that come to the same verdict, the tightest is shown and listed first."""
    texts = [f'memory.installed.minimum = "{size} GB"' for size in (8, 32, 16)]
    snapshot = snapshot_of({"memory.installed": value(64 * GB)})
    (finding,) = evaluate_all(ask([profile_of(text) for text in texts]), snapshot).findings
    assert finding.required == "at least 32 GB"
    assert [part.required for part in finding.parts] == ["at least 32 GB", "at least 16 GB", "at least 8 GB"]
