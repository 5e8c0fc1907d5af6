"""Conditions that no PC could meet together."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.choose import ask
from pcaudit.core.contradictions import contradictions
from pcaudit.core.evaluate import evaluate
from pcaudit.errors import Mistake
from tests.core.builders import MET, profile_of, snapshot_of, value


def _found(first: str, second: str) -> list[Mistake]:
    return contradictions(ask([profile_of(first), profile_of(second)]))


LINUX = '[os]\ntype = "linux"\nproduct = "Debian GNU/Linux"\n'


@pytest.mark.parametrize(
    ("first", "second", "contradict"),
    [
        ("cpu.cores.minimum = 8", "cpu.cores.maximum = 4", True),
        ("cpu.cores.minimum = 4", "cpu.cores.maximum = 4", False),
        ("cpu.cores.equal = 4", "cpu.cores.equal = 8", True),
        ("cpu.cores.equal = 4", "cpu.cores.minimum = 8", True),
        ("cpu.cores = { minimum = 8, advised = true }", "cpu.cores.maximum = 4", False),
        ("cpu.cores = { minimum = 2, recommended = 8 }", "cpu.cores.maximum = 4", False),
        ('power.sleep_after = "never"', 'power.sleep_after = { maximum = "1 h" }', True),
        ('power.sleep_after = "never"', 'power.sleep_after = { minimum = "1 h" }', False),
        ("os.clock_synchronised = true", "os.clock_synchronised = false", True),
        ('computer.model = "A"', 'computer.model = "a"', False),
        ('computer.model = ["A", "B"]', 'computer.model = { none_of = ["a", "b"] }', True),
        ('computer.model = ["A", "B"]', 'computer.model = { none_of = ["a"] }', False),
        (
            'computer.model = { one_of = ["A", "B"], none_of = ["A"] }',
            'computer.model = { none_of = ["B"] }',
            True,
        ),
        ('computer.model = ["A", "B"]', 'computer.model = { matches = "C*" }', True),
        ('computer.model = { matches = "A*" }', 'computer.model = { none_of = ["AB"] }', False),
        ('os.type = "linux"', 'os.type = { none_of = ["windows"] }', False),
        ('os.type = "linux"', 'os.type = "windows"', True),
        ('network.name_servers.includes = ["A"]', 'network.name_servers.excludes = ["a"]', True),
        ('network.name_servers.includes_any = ["a", "b"]', 'network.name_servers.excludes = ["a"]', False),
        (
            'network.name_servers.includes_any = ["a", "b"]',
            'network.name_servers.excludes = ["a", "b"]',
            True,
        ),
        (LINUX + 'version = ">=12"', LINUX + 'version = "<12"', True),
        (LINUX + 'version = ">=12"', LINUX + 'version = "<13"', False),
        (LINUX + 'version = ["<9", ">=12"]', LINUX + 'version = ">=9,<12"', True),
        # A PC without a lid would meet both, but no setting of a lid does.
        ('power.lid_action = "nothing"', 'power.lid_action = "sleep"', True),
        (
            'cpu.cores = { minimum = 8, when = { "os.type" = "windows" } }',
            "cpu.cores.maximum = 4",
            False,
        ),
    ],
)
def test_what_no_pc_could_meet_is_reported(first: str, second: str, contradict: bool) -> None:
    """Two conditions on one reading contradict each other in either order, or in neither."""
    assert bool(_found(first, second)) is contradict
    assert bool(_found(second, first)) is contradict


def test_both_places_are_named() -> None:
    """A contradiction names the line of both conditions."""
    (mistake,) = _found("cpu.cores.minimum = 8", "\n\ncpu.cores.maximum = 4")
    assert "p.toml:3" in mistake.message
    assert mistake.place is not None
    assert mistake.place.line == 5


def test_a_parameters_value_counts() -> None:
    """What is asked per parameter is counted in before conditions are compared."""
    text = "parameters.n = { default = 1 }\ncpu.cores = { minimum = 2, per = { n = 2 } }\n"
    profiles = [profile_of(text), profile_of("cpu.cores.maximum = 4")]
    assert not contradictions(ask(profiles))
    assert contradictions(ask(profiles, (), {"n": "2"}))


_bounds = st.fixed_dictionaries({}, optional={"minimum": st.integers(1, 5), "maximum": st.integers(1, 5)})
_cores = st.one_of(st.builds(lambda n: {"equal": n}, st.integers(1, 5)), _bounds.filter(bool)).filter(
    lambda one: one.get("minimum", 0) <= one.get("maximum", 9)
)


def _written(one: dict[str, int]) -> str:
    return "[cpu.cores]\n" + "".join(f"{key} = {number}\n" for key, number in one.items())


def _all_met(first: str, second: str, readings: dict[str, object]) -> bool:
    snapshot = snapshot_of({name: value(seen) for name, seen in readings.items()})
    return all(f.verdict is MET for text in (first, second) for f in evaluate(profile_of(text), snapshot))


@given(_cores, _cores)
def test_a_contradiction_of_numbers_is_one_without_a_witness(
    first: dict[str, int], second: dict[str, int]
) -> None:
    """Two bounds contradict each other if and only if no number meets both."""
    one, other = _written(first), _written(second)
    witness = any(_all_met(one, other, {"cpu.cores": n}) for n in range(1, 8))
    assert bool(_found(one, other)) is not witness


_ranges = st.lists(
    st.builds("{}{}".format, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), st.integers(1, 3)),
    min_size=1,
    max_size=2,
).map(",".join)


@given(_ranges, _ranges)
def test_a_contradiction_of_versions_is_one_without_a_witness(first: str, second: str) -> None:
    """Two version ranges contradict each other if and only if no version lies in both."""
    try:
        one, other = (profile_of(f'{LINUX}version = "{text}"') for text in (first, second))
    except Exception as error:  # a range that is empty by itself is refused
        assert "p.toml" in str(error)
        return
    texts = [f'{LINUX}version = "{text}"' for text in (first, second)]
    known = {"os.type": "linux", "os.product": "Debian GNU/Linux"}
    versions = [f"{major}.{minor}" for major in range(5) for minor in range(3)]
    witness = any(_all_met(texts[0], texts[1], {**known, "os.version": seen}) for seen in versions)
    assert bool(contradictions(ask([one, other]))) is not witness
