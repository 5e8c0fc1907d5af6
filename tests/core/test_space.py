"""Space on volumes that several products ask for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import Finding, Outcome, Verdict, outcome_of
from tests.core.builders import MET, UNMET, UNVERIFIED, at_least, profile_of, snapshot_of, unknown, value

G = 10**9
"""SI: the gigabyte that storage is sold in."""

SYSTEM = 'storage.system_free = {{ minimum = "{} GB"{} }}\n'
VOLUME = '[[storage.volumes]]\nid = "v"\nfree = {{ minimum = "{} GB" }}\n{}'
EITHER = (
    '[[storage.any_of]]\nsystem_free = {{ minimum = "{} GB" }}\n'
    '[[storage.any_of]]\nsystem_free = {{ minimum = "{} GB" }}\nsystem_media = "ssd"\n'
)
DATA = "system = false\n"


def _volume(mount: str, free: int | None, system: bool | None = False) -> dict[str, Any]:
    return {"mount": mount, "system": system, **({} if free is None else {"free": free * G})}


def _findings(texts: Sequence[str], readings: dict[str, Any]) -> tuple[Finding, ...]:
    profiles = [
        profile_of(text)._replace(path=f"{name}.toml") for text, name in zip(texts, "abc", strict=False)
    ]
    return evaluate_all(ask(profiles), snapshot_of(readings)).findings


def _last(texts: Sequence[str], free: Any, *volumes: Any, **more: Any) -> Finding:
    readings = {"storage.volumes": value(list(volumes), **more), "storage.system_free": free}
    readings |= {"storage.system_media": value("ssd"), "os.type": unknown()}
    return _findings(texts, readings)[-1]


TWO = [VOLUME.format(60, DATA), VOLUME.format(50, DATA)]


@pytest.mark.parametrize(
    ("volumes", "verdict"),
    [
        ([_volume("D", 109)], UNMET),
        ([_volume("D", 110)], MET),
        ([_volume("D", 60), _volume("E", 50)], MET),
        ([_volume("D", 50), _volume("E", 60)], MET),
        ([_volume("D", 70), _volume("E", 49)], UNMET),
        ([_volume("D", 70), _volume("E", None)], UNVERIFIED),
    ],
)
def test_each_product_has_room_on_some_volume(volumes: list[Any], verdict: Verdict) -> None:
    """One volume that has room for either of two products is not enough for both."""
    found = _last(TWO, unknown(), *volumes)
    assert found.verdict is verdict
    assert ("a/storage.volumes[v] (60 GB)" in found.why) is (verdict is not MET)


def test_volumes_that_were_not_seen_may_have_room() -> None:
    """A list that may hold more volumes does not prove that there is no room."""
    found = _last(TWO, unknown(), _volume("D", 100), complete=False, why="a drive not read")
    assert found.verdict is UNVERIFIED


def test_one_product_asks_a_volume_twice_for_the_same_space() -> None:
    """Within a product amounts are not added up, neither alone nor beside another product."""
    twice = VOLUME.format(60, DATA) + VOLUME.format(50, DATA).replace('"v"', '"w"')
    assert _last([twice], unknown(), _volume("D", 60)).verdict is MET
    assert _last([twice, VOLUME.format(10, DATA)], unknown(), _volume("D", 70)).verdict is MET
    assert _last([twice, VOLUME.format(10, DATA)], unknown(), _volume("D", 69)).verdict is UNMET


def test_a_count_of_volumes_needs_space_on_each() -> None:
    """Two volumes with space for one product leave what is left of each to another."""
    texts = [VOLUME.format(50, DATA + "count = { minimum = 2 }\n"), VOLUME.format(20, DATA)]
    assert _last(texts, unknown(), _volume("D", 60), _volume("E", 70)).verdict is MET
    assert _last(texts, unknown(), _volume("D", 69), _volume("E", 60)).verdict is UNMET


@pytest.mark.parametrize(("free", "verdict"), [(100, UNMET), (110, MET)])
@pytest.mark.parametrize(
    "first", [SYSTEM.format(60, ""), EITHER.format(70, 60), VOLUME.format(60, "system = true\n")]
)
@pytest.mark.parametrize("second", [EITHER.format(60, 50), VOLUME.format(50, "system = true\n")])
def test_the_system_volume_is_one_volume_however_it_is_asked(
    first: str, second: str, free: int, verdict: Verdict
) -> None:
    """Its free space is added up as a reading, as an item of the list and inside alternatives."""
    readings = {"storage.volumes": value([_volume("C", free, True), _volume("D", 900)])}
    readings |= {"storage.system_free": value(free * G), "storage.system_media": value("ssd")}
    outcome = outcome_of(_findings([first, second], readings))
    assert outcome is (Outcome.READY if verdict is MET else Outcome.NOT_READY)


def test_space_that_a_product_shares_is_left_out() -> None:
    """With adds = false an amount takes nothing from another product."""
    texts = [SYSTEM.format(60, ", adds = false"), VOLUME.format(50, "system = true\n")]
    assert _last(texts, value(60 * G), _volume("C", 60, True)).verdict is MET


def test_which_volume_holds_the_system_may_not_be_known() -> None:
    """Where a volume may be the system's, space on it is not met for sure beside what is asked of that."""
    texts = [SYSTEM.format(60, ""), VOLUME.format(50, "")]
    assert _last(texts, value(80 * G), _volume("C", 80, None)).verdict is UNVERIFIED
    assert _last(texts, value(80 * G), _volume("C", 120, None)).verdict is UNVERIFIED
    assert _last(texts, value(120 * G), _volume("C", 120, None)).verdict is MET


def test_a_lower_bound_of_space_disproves_nothing() -> None:
    """Where there is at least so much free, more than that is not known to be too much."""
    texts = [SYSTEM.format(60, ""), EITHER.format(70, 50)]
    assert _last(texts, at_least(100 * G), complete=True).verdict is UNVERIFIED


def test_a_product_that_may_not_ask_leaves_room_open() -> None:
    """Where it is not known whether a product asks at all, the other one is unverified."""
    texts = [VOLUME.format(60, DATA + 'when = { "os.type" = "windows" }\n'), VOLUME.format(50, DATA)]
    assert _last(texts, unknown(), _volume("D", 100)).verdict is UNVERIFIED


@pytest.mark.parametrize("of_option", ["", 'when = { "os.type" = "windows" }\n'])
def test_an_option_that_may_not_be_asked_leaves_its_base_asked(of_option: str) -> None:
    """What a base asks of a volume counts, whatever an option under the same id is limited to."""
    option = '[[options.x.storage.volumes]]\nid = "v"\nsize = { minimum = "1 GB" }\n' + of_option
    profiles = [
        profile_of(VOLUME.format(60, DATA)),
        profile_of(VOLUME.format(50, DATA).replace('"v"', '"w"') + option.replace('"v"', '"w"')),
    ]
    volumes = [{**_volume("D", 100), "size": 200 * G}]
    readings = {"storage.volumes": value(volumes), "os.type": unknown()}
    found = evaluate_all(ask(profiles, ("x",)), snapshot_of(readings)).findings[-1]
    assert found.parts[0].verdict is UNMET


def test_an_alternative_that_asks_no_space_is_free_to_be_taken() -> None:
    """Where another alternative is met without space, none is needed."""
    second = EITHER.format(50, 50) + '[[storage.any_of]]\nsystem_media = "ssd"\n'
    assert _last([SYSTEM.format(60, ""), second], value(60 * G)).verdict is MET


def test_an_alternative_not_known_to_do_may_still_do() -> None:
    """An alternative that cannot be verified is not counted as having no room."""
    second = EITHER.format(50, 50) + "[[storage.any_of]]\nsystem_encrypted = true\n"
    assert _last([SYSTEM.format(60, ""), second], value(60 * G)).verdict is UNVERIFIED


# -- against all ways of giving volumes to products

_AMOUNTS = st.integers(1, 6)
_PRODUCT = st.lists(_AMOUNTS, min_size=1, max_size=2)


def _ways(amounts: Sequence[int], volumes: int) -> Iterator[dict[int, int]]:
    for places in product(range(volumes), repeat=len(amounts)):
        taken: dict[int, int] = {}
        for place, amount in zip(places, amounts, strict=True):
            taken[place] = max(taken.get(place, 0), amount)
        yield taken


@given(st.lists(_PRODUCT, min_size=1, max_size=3), st.lists(st.integers(0, 12), min_size=1, max_size=3))
def test_ready_exactly_where_everything_has_room(products: list[list[int]], free: list[int]) -> None:
    """Held against every way to put what products need on volumes."""
    texts = [
        "".join(
            VOLUME.format(amount, DATA).replace('"v"', f'"v{index}"') for index, amount in enumerate(amounts)
        )
        for amounts in products
    ]
    readings = {"storage.volumes": value([_volume(f"V{i}", one) for i, one in enumerate(free)])}
    possible = any(
        all(sum(one.get(i, 0) for one in way) <= room for i, room in enumerate(free))
        for way in product(*(list(_ways(amounts, len(free))) for amounts in products))
    )
    outcome = outcome_of(_findings(texts, readings))
    assert outcome is (Outcome.READY if possible else Outcome.NOT_READY)
