"""Fresh worksheets: they validate, and so do their examples."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from typing import Any, Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.choose import Asked, ask
from pcaudit.core.finding import Verdict
from pcaudit.core.plan.answered import Answered
from pcaudit.core.plan.arrangements import Days
from pcaudit.core.plan.calendar import working_days
from pcaudit.core.plan.whole import make_plan
from pcaudit.core.worksheet.against import answer_mistakes
from pcaudit.core.worksheet.blank import Filled, blank_worksheet, keys_for, quoted, to_answer
from pcaudit.core.worksheet.sheet import SECTIONS
from tests.core.plan.sites import shipped
from tests.core.worksheet.sheets import judged, profile, read, secrets, wanting

ROOM: Final = wanting("place", "room", "Room", 'quantity = "temperature"\nmaximum = "25 °C"')
OPTION: Final = (
    "[options.mass-detector.cpu.cores]\nminimum = 8\n[parameters]\ninstruments = { default = 1 }\n"
)


def _asked() -> tuple[Asked, ...]:
    text = wanting(name="licence") + wanting("credential", "admin", "Administrator") + ROOM
    return ask([profile(text, more=OPTION)])


def _blank(**filled: Any) -> str:
    return blank_worksheet(_asked(), Filled(["p.toml"], **filled))


def test_a_fresh_worksheet_validates() -> None:
    """It has no mistake, resembles no secret, and answers what the profile asks with blanks."""
    text = _blank()
    worksheet = read(text)
    assert secrets(text) == []
    assert answer_mistakes(worksheet, _asked()) == []
    assert list(worksheet.arrangements.by_id) == ["licence", "admin", "room"]
    assert {one.state for one in worksheet.arrangements.by_id.values()} == {""}
    assert worksheet.use.profiles == ("p.toml",)
    assert worksheet.installation.day is None


def test_blanks_are_unanswered() -> None:
    """Nothing in a fresh worksheet counts as in hand."""
    body = _blank().partition("format = 1\n")[2].partition("\n")[2]
    found = judged(_asked(), re.sub(r"^title = .*$", "", body, count=1, flags=re.MULTILINE), day=None)
    assert {one.verdict for one in found} == {Verdict.UNVERIFIED}


def test_what_is_known_is_filled_in() -> None:
    """Choices, the day and answers stand in it, days without quotes."""
    worksheet = read(
        _blank(
            options=["mass-detector"],
            parameters={"instruments": "2"},
            day="2027-03-15",
            site='Building "C"\\4',
            answers={
                "licence": {"state": "in hand", "expires": "never"},
                "admin": {"requested": "2026-11-20"},
            },
        )
    )
    assert (worksheet.use.options, worksheet.use.parameters) == (("mass-detector",), {"instruments": "2"})
    assert str(worksheet.installation.day) == "2027-03-15"
    assert worksheet.installation.site == 'Building "C"\\4'
    assert worksheet.arrangements.by_id["licence"].never_expires
    assert str(worksheet.arrangements.by_id["admin"].requested) == "2026-11-20"


def test_every_section_has_an_example_that_validates() -> None:
    """With the # of every example taken away each section is there, and the whole has no mistake."""
    text = re.sub(r"^#(?=[^ \n])", "", _blank(), flags=re.MULTILINE)
    assert set(tomllib.loads(text)) >= set(SECTIONS)
    worksheet = read(text)
    assert "network-admin" in worksheet.people.by_id
    assert worksheet.arrangements.by_id["lifting-table"].own
    assert secrets(text) == []


def test_an_example_lacks_nothing_a_plan_asks_for() -> None:
    """Filled in as the examples are, no part is left out, none falls short and nothing asks for a key."""
    text = blank_worksheet(ask([profile("")]), Filled([], day="2027-03-15", service_life="10 years"))
    worksheet = read(re.sub(r"^#(?=[^ \n])", "", text, flags=re.MULTILINE))
    days = Days(date(2027, 3, 15), date(2027, 3, 1), working_days(worksheet.calendar))
    held = Answered(worksheet, days, shipped())
    plan, _ = make_plan(held, (), None, on=date(2027, 3, 15), tool_version="0")
    assert [line for section in plan.sections for line in section.not_asked] == []
    asks = re.compile(r"blank|not said|not entered|\benter\b|\bwrite `|not private|does not say|not known")
    assert [one for one in plan.every if asks.search(f"{one.found}; {one.why}")] == []
    assert not [one.id for one in plan.every if one.verdict is Verdict.UNMET]


def test_what_can_be_chosen_is_told() -> None:
    """An option that was not chosen and a parameter at its default stand in a comment."""
    assert "# option not chosen: mass-detector" in _blank()
    assert "# parameter at its default: instruments = 1" in _blank()


@pytest.mark.parametrize(
    ("name", "key", "there"),
    [
        ("licence", "deputy", False),
        ("admin", "deputy", True),
        ("room", "measured", True),
        ("admin", "measured", False),
    ],
)
def test_only_what_matters_is_asked(name: str, key: str, there: bool) -> None:
    """A deputy is asked of credentials, a measured value where the profile asks one."""
    assert (key in keys_for(to_answer(_asked())[name])) is there


def test_two_things_of_one_id_are_asked_apart() -> None:
    """Where two profiles use an id for different things, each is answered under its own name."""
    asked = ask([profile(wanting(title="A"), "a.toml"), profile(wanting(title="B"), "b.toml")])
    worksheet = read(blank_worksheet(asked, Filled(["a.toml", "b.toml"])))
    assert list(worksheet.arrangements.by_id) == ["a/it", "b/it"]


@given(st.text(st.characters(codec="utf-8")))
def test_any_text_can_be_quoted(text: str) -> None:
    """A text in quotes is read back as it was."""
    assert tomllib.loads(f"key = {quoted(text)}")["key"] == text


def test_words_of_a_profile_cannot_become_keys() -> None:
    """Lines and signs in a title stay in its comment."""
    lines = '"""A\n[arrangements.other]\nstate = \'in hand\' # = ]"""'
    text = f'[[arrangements]]\nid = "it"\nkind = "medium"\ntitle = {lines}\nbecause = {lines}\n'
    asked = ask([profile(text)])
    assert list(read(blank_worksheet(asked, Filled(["p.toml"]))).arrangements.by_id) == ["it"]
