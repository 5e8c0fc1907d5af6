"""What is left to do: by owner, what blocks first, what must be ordered before what is only set."""

from __future__ import annotations

import pytest

from pcaudit.core.actions import blocks, by_lead_time, by_owner, effort_words, kinds_words, lead_days
from pcaudit.core.report import Effort, Finding, Verdict
from tests.render.samples import ARRANGEMENTS, finding

PURCHASE = Effort(("purchase", "another PC"), "purchase")
PARTS = Effort(("purchase",), "parts")
SETTING = Effort(("administrator",), "free", undo=True)


def _one(
    name: str, verdict: Verdict, effort: Effort | None = None, binding: bool = True, owner: str = "IT"
) -> Finding:
    return finding(name, verdict, binding=binding, owner=owner)._replace(effort=effort)


def test_what_blocks_comes_first_and_of_that_what_must_be_ordered() -> None:
    """Another PC before parts before a setting, as each takes longer to come; advice last."""
    findings = [
        _one("advised-purchase", Verdict.UNMET, PURCHASE, binding=False),
        _one("marginal", Verdict.MARGINAL, SETTING),
        _one("own-words", Verdict.UNMET),
        _one("setting", Verdict.UNMET, SETTING),
        _one("open", Verdict.UNVERIFIED, Effort()),
        _one("parts", Verdict.UNMET, PARTS),
        _one("another-pc", Verdict.UNMET, PURCHASE),
        _one("met", Verdict.MET),
    ]
    assert [one.id for one in by_owner(findings)["IT"]] == [
        *("another-pc", "parts", "own-words", "setting", "open", "advised-purchase", "marginal"),
    ]


def test_owners_come_in_their_order_and_are_known_in_any_case() -> None:
    """Lab, IT, purchasing, facilities, installer, then others; nobody named is said so."""
    owners = ("Somebody", "installer", "it", " IT ", "LAB", " ")
    findings = [_one(str(n), Verdict.UNMET, owner=owner) for n, owner in enumerate(owners)]
    grouped = {owner: len(group) for owner, group in by_owner(findings).items()}
    assert list(grouped.items()) == [
        ("lab", 1),
        ("IT", 2),
        ("installer", 1),
        ("Somebody", 1),
        ("no owner named", 1),
    ]


@pytest.mark.parametrize("verdict", list(Verdict))
def test_only_binding_shortfalls_block(verdict: Verdict) -> None:
    """Unmet and unverified keep a PC from being ready where they bind; nothing else does."""
    assert blocks(_one("x", verdict)) == (verdict in (Verdict.UNMET, Verdict.UNVERIFIED))
    assert not blocks(_one("x", verdict, binding=False))


def test_what_is_to_find_out_is_counted_apart_from_what_falls_short() -> None:
    """A heading tells what is unmet from what nobody knows, and both from what is only advised."""
    findings = [
        *(_one(name, Verdict.UNMET) for name in "abc"),
        *(_one(name, Verdict.UNVERIFIED) for name in "de"),
        _one("f", Verdict.MARGINAL),
        _one("g", Verdict.UNMET, binding=False),
        _one("h", Verdict.UNVERIFIED, binding=False),
    ]
    assert kinds_words(findings) == "3 unmet, 2 to find out, 3 advised"
    assert kinds_words(findings[3:5]) == "2 to find out"
    assert kinds_words(findings[5:6]) == "1 advised"


@pytest.mark.parametrize(
    ("effort", "words"),
    [
        (None, ""),
        (Effort(), ""),
        (SETTING, "administrator"),
        (
            Effort(("administrator", "restart"), "free", undo=False),
            "administrator, restart; cannot be undone",
        ),
        (Effort((), "free", undo=False), "cannot be undone"),
        (PURCHASE, "purchase, another PC"),
    ],
)
def test_effort_in_words(effort: Effort | None, words: str) -> None:
    """What is needed is listed; that something cannot be undone is said, that it can is in the text."""
    assert effort_words(effort) == words


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("10 working days", 14),
        ("1 working day", 1.4),
        ("3 days", 3),
        ("1 day", 1),
        ("2 weeks", 14),
        ("1 month", 30),
        ("", 0),
        ("soon", 0),
        ("3 blinks", 0),
        ("\u0663 days", 0),  # an Arabic digit, which no profile may write
    ],
)
def test_lead_times_in_days(text: str, days: float) -> None:
    """Working days count as seven fifths of a day; what is no lead time counts as none."""
    assert lead_days(text) == pytest.approx(days)


def test_arrangements_that_take_longest_come_first() -> None:
    """What must be begun first stands first; what has no lead time keeps the profile's order."""
    given = [
        ARRANGEMENTS[0]._replace(id=name, lead_time=lead)
        for name, lead in (("a", ""), ("b", "2 days"), ("c", "2 weeks"), ("d", ""), ("e", "10 working days"))
    ]
    assert [one.id for one in by_lead_time(given)] == ["c", "e", "b", "a", "d"]
