"""Questions that fill a worksheet: which follow from an answer, and which answers will do."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final, NamedTuple

from pcaudit.core.measured import QUANTITIES
from pcaudit.core.places import Path
from pcaudit.core.plan.in_hand import CREDENTIAL, EXPIRING
from pcaudit.core.profile import WantedArrangement
from pcaudit.core.units import UnitError
from pcaudit.core.worksheet.arrangements import IN_HAND, NOT_NEEDED, REQUESTED, STATES
from pcaudit.core.worksheet.installation import read_installation
from pcaudit.core.worksheet.reader import Reader
from pcaudit.core.worksheet.secrets import resembles
from pcaudit.errors import Place


class Question(NamedTuple):
    """One key to be asked.

    Attributes:
        key: As the worksheet writes it.
        ask: The question.
        is_day: It is answered with a day.
        never: "never" answers it too.
    """

    key: str
    ask: str
    is_day: bool = False
    never: bool = False


ABOUT: Final = (
    Question("day", "Installation day, as 2027-03-15", is_day=True),
    Question("site", "Building and room"),
    Question("service_life", 'Service life of the instrument, as "10 years"'),
)
"""What is asked of the installation."""

_HOLDER: Final = Question("holder", "Who has it")
_DEPUTY: Final = Question("deputy", "Who else can reach it")
_KEPT: Final = Question("kept", "Where it is kept (never the secret itself)")
_EXPIRES: Final = Question("expires", "Last day it is valid, or never", is_day=True, never=True)
_REQUESTED: Final = (
    Question("requested", "Day it was asked for", is_day=True),
    Question("expected", "Day it was promised for", is_day=True),
)
_NOT_NEEDED: Final = (Question("because", "Why it is not needed"), Question("by", "Who says so"))

STATE: Final = f"State: {', '.join(STATES)}"
"""How the state of an arrangement is asked."""


def state_of(text: str) -> str | None:
    """The state a person means, by its first letters too; None where it is none."""
    folded = " ".join(text.casefold().split())
    if not folded:
        return ""
    return next((state for state in STATES if state.startswith(folded)), None)


def questions(one: WantedArrangement, state: str) -> Iterator[Question]:
    """What is asked further of an arrangement in a state."""
    if state == NOT_NEEDED:
        yield from _NOT_NEEDED
    elif state == REQUESTED:
        yield from _REQUESTED
    elif state == IN_HAND:
        yield _HOLDER
        if one.kind == CREDENTIAL:
            yield _DEPUTY
        yield _KEPT
        if one.kind in EXPIRING:
            yield _EXPIRES
        if one.measured:
            example = QUANTITIES[one.measured.quantity].example.strip('"')
            yield Question("measured", f"Measured {one.measured.quantity}, as {example}")


def refusal(question: Question, text: str, one: WantedArrangement | None = None) -> str:
    """Why an answer will not do; empty where it will. What resembles a secret is not repeated."""
    secret = resembles(text)
    if secret:
        return f"this resembles {secret.what}, and a worksheet holds no secret"
    if question.is_day and not (question.never and text.casefold() == "never"):
        return "" if _is_day(text) else f"{text!r:.40} is no day: write it as 2027-03-15"
    if question.key == "measured" and one is not None and one.measured is not None:
        try:
            QUANTITIES[one.measured.quantity].read(text)
        except UnitError as error:
            return f"{error}: {error.hint}"
    if question.key == "service_life":
        return _wrong_life(text)
    return ""


def _is_day(text: str) -> bool:
    try:
        # Python reads 20270315 and 2027-W11-1 too, which people mistype and TOML does not take.
        return len(text) == 10 and "W" not in text and bool(date.fromisoformat(text))
    except ValueError:
        return False


def _wrong_life(text: str) -> str:
    def nowhere(_path: Path) -> Place:
        return Place("")

    reader = Reader("", nowhere)
    read_installation(reader, {"installation": {"service_life": text}})
    return "; ".join(f"{one.message}: {one.hint}" for one in reader.mistakes)
