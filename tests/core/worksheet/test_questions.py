"""Questions that fill a worksheet, and the answers that will do."""

from __future__ import annotations

import pytest

from pcaudit.core.worksheet.arrangements import STATES
from pcaudit.core.worksheet.questions import ABOUT, Question, questions, refusal, state_of
from tests.core.worksheet.sheets import profile, wanting

ROOM = 'quantity = "temperature"\nmaximum = "25 °C"'


@pytest.mark.parametrize(
    ("text", "state"),
    [
        *((state, state) for state in STATES),
        ("", ""),
        ("i", "in hand"),
        ("R", "requested"),
        (" Not  needed ", "not needed"),
        ("x", None),
        ("in hand now", None),
    ],
)
def test_a_state_is_known_by_its_first_letters(text: str, state: str | None) -> None:
    """Enter is blank, a beginning is the state, anything else is asked again."""
    assert state_of(text) == state


@pytest.mark.parametrize(
    ("kind", "state", "keys"),
    [
        ("licence", "in hand", ["holder", "kept", "expires"]),
        ("credential", "in hand", ["holder", "deputy", "kept"]),
        ("medium", "in hand", ["holder", "kept"]),
        ("licence", "requested", ["requested", "expected"]),
        ("licence", "missing", []),
        ("licence", "", []),
        ("licence", "not needed", ["because", "by"]),
    ],
)
def test_what_is_asked_follows_from_the_state(kind: str, state: str, keys: list[str]) -> None:
    """Only what the verdict will rest on is asked."""
    (one,) = profile(wanting(kind)).arrangements
    assert [question.key for question in questions(one, state)] == keys


def test_what_is_measured_is_asked() -> None:
    """Where the profile asks a measured value the question names the quantity and shows one."""
    (one,) = profile(wanting("place", more=ROOM)).arrangements
    *_, last = questions(one, "in hand")
    assert last.ask == "Measured temperature, as 22 °C"
    assert refusal(last, "22 °C", one) == ""
    assert "not a temperature" in refusal(last, "22", one)


_DAY = Question("expires", "When", is_day=True, never=True)


@pytest.mark.parametrize(
    ("question", "text", "says"),
    [
        (_DAY, "2027-03-15", ""),
        (_DAY, "never", ""),
        (_DAY._replace(never=False), "never", "is no day"),
        (_DAY, "20270315", "is no day"),
        (_DAY, "2027-W11-1", "is no day"),
        (_DAY, "2027-02-30", "is no day"),
        (_DAY, "15.3.2027", "is no day"),
        (ABOUT[2], "10 years", ""),
        (ABOUT[2], "long", "is no service life"),
        (ABOUT[1], "Building C", ""),
        (Question("kept", "Where"), "password: hunter2", "resembles a password"),
        (Question("holder", "Who"), "ABCDE-12F45-GH1JK-67890-LMN0P", "resembles a key"),
    ],
)
def test_answers_that_will_not_do_are_asked_again(question: Question, text: str, says: str) -> None:
    """Days, amounts and secrets are checked at once, and a secret is not repeated."""
    found = refusal(question, text)
    assert says in found and bool(found) == bool(says)
    assert "hunter2" not in found and "ABCDE" not in found
