"""Alternatives that ask for items which serve one table only."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, product
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import Finding, Outcome, Verdict, outcome_of
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED, profile_of, snapshot_of, unknown, value

WIRED = {"name": "e1", "medium": "wired"}
STATIC = {**WIRED, "name": "e2", "addressing": "static"}
AIR = {"name": "w1", "medium": "wireless"}

TWO_CARDS = """
[[network.any_of]]
title = "two cards"
[[network.any_of.adapters]]
id = "instrument"
medium = "wired"
[[network.any_of.adapters]]
id = "site"
medium = "wired"
"""
SITE = '[[network.adapters]]\nid = "site-port"\nmedium = "wired"\n'
EITHER = '[[network.any_of]]\n[[network.any_of.adapters]]\nid = "i"\nmedium = "{}"\n'


def _findings(texts: Sequence[str], readings: dict[str, Any]) -> tuple[Finding, ...]:
    profiles = [
        profile_of(text)._replace(path=f"{name}.toml") for text, name in zip(texts, "abc", strict=False)
    ]
    return evaluate_all(ask(profiles), snapshot_of(readings)).findings


def _verdicts(texts: Sequence[str], adapters: list[Any], **more: Any) -> list[Verdict]:
    findings = _findings(texts, {"network.adapters": value(adapters, **more)})
    return [one.verdict for one in findings]


@pytest.mark.parametrize(
    ("adapters", "verdict"),
    [
        ([WIRED], UNMET),
        ([WIRED, AIR], UNMET),
        ([WIRED, STATIC], MET),
        ([WIRED, {"name": "x"}], UNVERIFIED),
    ],
)
def test_tables_of_one_alternative_claim_from_each_other(adapters: list[Any], verdict: Verdict) -> None:
    """One card is not two cards, inside an alternative as outside."""
    assert _verdicts([TWO_CARDS], adapters) == [verdict]


def test_an_alternative_may_share_where_it_says_so() -> None:
    """The words own = false lift the claim inside an alternative too."""
    assert _verdicts([TWO_CARDS.replace('id = "site"', 'id = "site"\nown = false')], [WIRED]) == [MET]


@pytest.mark.parametrize(("cards", "verdict"), [(2, UNMET), (3, MET)])
def test_an_alternative_has_what_other_tables_leave(cards: int, verdict: Verdict) -> None:
    """Tables outside alternatives are served first, wherever they are written."""
    for text in (SITE + TWO_CARDS, TWO_CARDS + SITE):
        found = {
            one.id: one.verdict for one in _findings([text], {"network.adapters": value([WIRED] * cards)})
        }
        assert found == {"network.adapters[site-port]": MET, "network.any_of": verdict}


def test_the_alternative_that_is_left_with_enough_is_taken() -> None:
    """Where one alternative finds its item claimed, another one will do."""
    text = SITE + EITHER.format("wired") + EITHER.format("wireless")
    assert _verdicts([text], [WIRED, AIR]) == [MET, MET]


def test_a_table_that_may_not_be_asked_leaves_an_alternative_open() -> None:
    """Whether a claim is made at all may not be known."""
    text = SITE + 'when = { "os.type" = "windows" }\n' + EITHER.format("wired")
    found = _findings([text], {"network.adapters": value([WIRED]), "os.type": unknown()})
    assert [one.verdict for one in found] == [MET, UNVERIFIED]
    assert found[1].why


def test_unseen_items_leave_an_alternative_open() -> None:
    """A list that may hold more cards does not prove that there is one only."""
    assert _verdicts([TWO_CARDS], [WIRED], complete=False, why="a bus not read") == [UNVERIFIED]


def test_two_products_do_not_share_a_card_by_their_alternatives() -> None:
    """Alternatives of several products claim from each other."""
    wired = EITHER.format("wired")
    assert _findings([wired, wired], {"network.adapters": value([WIRED])})[0].verdict is UNMET
    assert _findings([wired, wired], {"network.adapters": value([WIRED, WIRED])})[0].verdict is MET


def test_an_earlier_alternative_makes_room_for_a_later_one() -> None:
    """Of two alternatives that are met the one is taken that leaves what the next product needs."""
    first = EITHER.format("wired") + EITHER.format("wireless")
    assert _verdicts([first, EITHER.format("wired")], [WIRED, AIR]) == [MET]


def test_an_open_alternative_may_take_a_card() -> None:
    """Where it is not known which card an earlier one takes, a later one is not met for sure."""
    first = EITHER.format("wired").replace("medium", 'addressing = "static"\nmedium')
    parts = _findings([first, EITHER.format("wired")], {"network.adapters": value([WIRED])})[0].parts
    assert [one.verdict for one in parts] == [UNVERIFIED, UNVERIFIED]


def test_an_alternative_that_falls_short_of_advice_is_taken_where_it_must() -> None:
    """Advice of an earlier product does not cost a later one what it requires."""
    first = EITHER.format("wired") + EITHER.format("wireless").replace(
        'medium = "wireless"', 'medium = "wireless"\nmtu = { minimum = 1500, recommended = 9000 }'
    )
    parts = _findings(
        [first, EITHER.format("wired")], {"network.adapters": value([WIRED, {**AIR, "mtu": 1500}])}
    )[0].parts
    assert [one.verdict for one in parts] == [MARGINAL, MET]


@pytest.mark.parametrize(("cards", "verdict"), [(2, MARGINAL), (3, MET)])
def test_a_recommendation_is_not_met_with_what_an_alternative_requires(cards: int, verdict: Verdict) -> None:
    """A card that an alternative needs is not counted as the second one a table recommends."""
    text = SITE + "count = { minimum = 1, recommended = 2 }\n" + EITHER.format("wired")
    assert _verdicts([text], [WIRED] * cards) == [verdict, MET]


# -- against all ways of giving cards to tables

MEDIA = ("wired", "wireless")
Alternatives = list[list[str]]


def _text(rows: list[str], alternatives: Alternatives) -> str:
    tables = [f'[[network.adapters]]\nid = "r{i}"\nmedium = "{m}"\n' for i, m in enumerate(rows)]
    for one in alternatives:
        tables.append("[[network.any_of]]\n")
        tables += [f'[[network.any_of.adapters]]\nid = "a{i}"\nmedium = "{m}"\n' for i, m in enumerate(one)]
    return "".join(tables)


def _fits(wanted: list[str], cards: list[str]) -> bool:
    return all(wanted.count(medium) <= cards.count(medium) for medium in MEDIA)


def _outcome(profiles: list[tuple[list[str], Alternatives]], cards: list[str | None]) -> Outcome:
    adapters = [{"name": f"n{i}", **({"medium": m} if m else {})} for i, m in enumerate(cards)]
    texts = [_text(*one) for one in profiles]
    return outcome_of(_findings(texts, {"network.adapters": value(adapters)}))


_PROFILES = st.lists(
    st.tuples(
        st.lists(st.sampled_from(MEDIA), min_size=1, max_size=2),
        st.lists(st.lists(st.sampled_from(MEDIA), min_size=1, max_size=2), max_size=2),
    ),
    min_size=1,
    max_size=2,
)


@given(_PROFILES, st.lists(st.sampled_from((*MEDIA, *MEDIA, None)), max_size=5))
def test_ready_only_where_every_table_can_have_its_card(
    profiles: list[tuple[list[str], Alternatives]], cards: list[str | None]
) -> None:
    """Held against every choice of alternatives, for all that an unknown medium can be."""
    rows = [medium for own, _ in profiles for medium in own]
    ways = list(product(*(alternatives for _, alternatives in profiles if alternatives)))
    cases = list(product(*([one] if one else [*MEDIA, "virtual"] for one in cards)))
    possible = [any(_fits([*rows, *chain(*way)], list(case)) for way in ways) for case in cases]
    outcome = _outcome(profiles, cards)
    if outcome is Outcome.READY:
        assert all(possible)
    if outcome is Outcome.NOT_READY:
        assert not any(possible)
    if None not in cards:
        assert outcome is (Outcome.READY if possible[0] else Outcome.NOT_READY)


# -- screens

SCREEN = '[[display.screens]]\nid = "{}"\nwidth = {{ minimum = 1920 }}\n'


def test_products_share_a_screen_and_tables_of_one_product_do_not() -> None:
    """Two programs on a PC need no second screen; two screens asked by one program are two."""
    readings = {"display.screens": value([{"width": 1920}])}
    assert [one.verdict for one in _findings([SCREEN.format("a"), SCREEN.format("a")], readings)] == [
        MET,
        MET,
    ]
    two = SCREEN.format("a") + SCREEN.format("b")
    assert [one.verdict for one in _findings([two], readings)] == [MET, UNMET]
