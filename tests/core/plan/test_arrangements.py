"""Arrangements with a worksheet's answers, held against the days on which they matter."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core import snapshot as s
from pcaudit.core.choose import ask
from pcaudit.core.finding import Arrangement, Outcome, Verdict
from pcaudit.core.plan.outcome import arrangements_outcome
from tests.core.worksheet.sheets import EARLY, MONDAY, judged, profile, wanting

MET, MARGINAL, UNMET = Verdict.MET, Verdict.MARGINAL, Verdict.UNMET
OPEN, NOT_APPLICABLE = Verdict.UNVERIFIED, Verdict.NOT_APPLICABLE

TEN: Final = 'lead_time = "10 working days"'


def _one(
    answer: str,
    kind: str = "medium",
    more: str = TEN,
    as_of: date = EARLY,
    day: date | None = MONDAY,
    around: str = "",
) -> Arrangement:
    (found,) = judged(
        wanting(kind, more=more), f"{around}\n[arrangements.it]\n{answer}", day=day, as_of=as_of
    )
    return found


# Monday 15 March 2027 less one working day is Friday the 12th; ten working days before that the 26th of
# February, counted by hand on a calendar.
@pytest.mark.parametrize(
    ("answer", "as_of", "verdict", "is_open", "says"),
    [
        ('state = "in hand"', EARLY, MET, False, ""),
        ('state = "In  Hand"', EARLY, MET, False, ""),
        ("", EARLY, OPEN, False, "does not say"),
        ('state = ""', EARLY, OPEN, False, "does not say"),
        ('state = "missing"', EARLY, OPEN, True, "begin by 2027-02-26 (lab)"),
        ('state = "missing"', date(2027, 2, 26), OPEN, True, "begin by 2027-02-26"),
        ('state = "missing"', date(2027, 2, 27), UNMET, False, "should have been begun by 2027-02-26"),
        ('state = "missing"', MONDAY, UNMET, False, "begun by"),
        ('state = "missing"', date(2028, 1, 1), UNMET, False, "begun by"),
        ('state = "requested"\nrequested = 2026-12-01', EARLY, OPEN, True, "due by 2027-03-12"),
        ('state = "requested"\nrequested = 2027-02-26', date(2027, 3, 12), OPEN, True, "due by"),
        ('state = "requested"\nrequested = 2027-02-26', date(2027, 3, 13), UNMET, False, "not there yet"),
        ('state = "requested"\nrequested = 2027-02-26', MONDAY, UNMET, False, "not there yet"),
        (
            'state = "requested"\nrequested = 2027-02-27',
            date(2027, 3, 1),
            UNMET,
            False,
            "had to be by 2027-02-26",
        ),
        ('state = "requested"', EARLY, OPEN, True, "due by"),
        ('state = "requested"', date(2027, 3, 1), OPEN, False, "when it was requested is not said"),
        (
            'state = "requested"\nrequested = 2026-12-01\nexpected = 2027-03-12',
            EARLY,
            OPEN,
            True,
            "promised for 2027-03-12",
        ),
        (
            'state = "requested"\nrequested = 2026-12-01\nexpected = 2027-03-13',
            EARLY,
            UNMET,
            False,
            "promised for 2027-03-13, and needed by 2027-03-12",
        ),
        (
            'state = "requested"\nrequested = 2026-12-01\nexpected = 2026-12-18',
            EARLY,
            OPEN,
            True,
            "promised for 2026-12-18",
        ),
        ('state = "requested"\nrequested = 2027-01-11', EARLY, OPEN, True, "to be requested on 2027-01-11"),
        ('state = "requested"\nrequested = 2027-03-01', EARLY, UNMET, False, "to be requested on 2027-03-01"),
        (
            'state = "not needed"\nbecause = "trial version"\nby = "R. Amsel"',
            EARLY,
            NOT_APPLICABLE,
            False,
            "trial",
        ),
    ],
)
def test_states_and_days(answer: str, as_of: date, verdict: Verdict, is_open: bool, says: str) -> None:
    """What is missing or requested is open while it can be in time, and unmet from the day after."""
    found = _one(answer, as_of=as_of)
    assert (found.verdict, found.open) == (verdict, is_open), found
    assert says in found.why
    assert (found.due, found.latest_start) == ("2027-03-12", "2027-02-26")


@pytest.mark.parametrize(
    ("answer", "as_of", "is_open", "says"),
    [
        ("requested = 2026-12-21", EARLY, True, "due by"),  # today
        ("requested = 2026-12-22", EARLY, True, "to be requested on 2026-12-22"),
        ("requested = 2027-02-26", EARLY, True, "to be requested on 2027-02-26"),
        ("requested = 2026-12-01\nexpected = 2026-12-21", EARLY, True, "due by"),
        ("requested = 2026-12-01\nexpected = 2026-12-20", EARLY, True, "promised for 2026-12-20, and due"),
        ("", date(2027, 2, 26), True, "due by"),
        ("", date(2027, 2, 27), False, "when it was requested is not said"),
        ("expected = 2027-03-10", date(2027, 2, 27), True, "promised for 2027-03-10"),
    ],
)
def test_a_day_counts_itself(answer: str, as_of: date, is_open: bool, says: str) -> None:
    """What is asked for, promised or to be begun on a day is in time on that day."""
    found = _one(f'state = "requested"\n{answer}', as_of=as_of)
    assert (found.verdict, found.open) == (OPEN, is_open)
    assert says in found.why


@pytest.mark.parametrize(
    ("as_of", "state", "verdict"),
    [
        (date(2027, 3, 14), "requested", OPEN),
        (MONDAY, "requested", OPEN),
        (date(2027, 3, 16), "requested", UNMET),
        (MONDAY, "missing", UNMET),
        (MONDAY, "in hand", MET),
        (MONDAY, "not needed", NOT_APPLICABLE),
        (date(2027, 3, 14), "", OPEN),
        (MONDAY, "", OPEN),
    ],
)
def test_on_the_installation_day_only_what_is_in_hand_is_met(
    as_of: date, state: str, verdict: Verdict
) -> None:
    """What is needed on the day may come on it where it was requested, and is unmet where it was not."""
    reason = 'because = "none used"\nby = "R. Amsel"\nrequested = 2026-12-01'
    found = _one(f'state = "{state}"\n{reason}', more='needed = "on the day"', as_of=as_of)
    assert found.verdict is verdict


def test_what_is_needed_before_the_day_does_not_come_on_it() -> None:
    """Only what may come on the day itself is waited for on it, and never met by waiting."""
    answer = 'state = "requested"\nrequested = 2026-12-01'
    assert _one(answer, as_of=MONDAY).verdict is UNMET
    found = _one(answer, more='needed = "on the day"', as_of=MONDAY)
    assert (found.verdict, found.open, found.why) == (OPEN, True, "due by 2027-03-15 (lab)")


def test_what_takes_no_known_time_is_missing_on_the_day() -> None:
    """On the day itself it is called needed, not late to begin."""
    found = _one('state = "missing"', more='needed = "on the day"', as_of=MONDAY)
    assert found.why == "needed by 2027-03-15, and is missing on 2027-03-15"


@pytest.mark.parametrize(
    ("expected", "as_of", "verdict", "says"),
    [
        ("", date(2027, 3, 3), UNMET, "requested on 2027-03-02, and had to be by 2027-02-26"),
        (
            "expected = 2027-03-05",
            date(2027, 3, 3),
            OPEN,
            "promised for 2027-03-05, though it usually takes 10 working days: ask again (lab)",
        ),
        ("expected = 2027-03-12", date(2027, 3, 12), OPEN, "promised for 2027-03-12, though"),
        ("expected = 2027-03-05", date(2027, 3, 8), OPEN, "promised for 2027-03-05, and due by 2027-03-12"),
        ("expected = 2027-03-15", date(2027, 3, 3), UNMET, "promised for 2027-03-15, and needed by"),
        ("expected = 2027-03-05", date(2027, 3, 13), UNMET, "not there yet"),
    ],
)
def test_a_promise_in_time_outweighs_the_lead_time(
    expected: str, as_of: date, verdict: Verdict, says: str
) -> None:
    """What was requested late is open while somebody promised it in time, and asked for again."""
    found = _one(f'state = "requested"\nrequested = 2027-03-02\n{expected}', as_of=as_of)
    assert (found.verdict, found.open) == (verdict, verdict is OPEN)
    assert says in found.why


def test_without_a_lead_time_there_is_time_until_it_is_needed() -> None:
    """An arrangement of unknown lead time is open until the last working day before the day."""
    assert _one('state = "missing"', more="", as_of=date(2027, 3, 12)).open
    assert _one('state = "missing"', more="", as_of=date(2027, 3, 13)).verdict is UNMET


def test_the_worksheet_overrides_lead_time_owner_and_time() -> None:
    """Lead time, owner and time of need in the worksheet stand in the place of the profile's."""
    answer = 'state = "missing"\nlead_time = "2 weeks"\nowner = "it-desk"\nneeded = "on the day"'
    found = _one(answer, around='[people.it-desk]\nname = "Q. Specht"\nrole = "IT"')
    assert (found.lead_time, found.owner, found.needed) == ("2 weeks", "Q. Specht (IT)", "on the day")
    assert (found.due, found.latest_start) == ("2027-03-15", "2027-03-01")


@pytest.mark.parametrize(
    ("answer", "state", "remedy"),
    [
        ('state = "missing"', "missing", "Request it"),
        ('state = "requested"', "requested", "See that it comes"),
        ('state = "in hand"', "in hand", ""),
        ("", "not answered", "Answer it"),
        (
            'state = "requested"\nrequested = 2026-12-01\nexpected = 2027-04-01',
            "requested",
            "Ask for it to come",
        ),
    ],
)
def test_what_to_do_follows_from_the_state(answer: str, state: str, remedy: str) -> None:
    """State and remedy stand with the verdict; what the profile says to do goes before it."""
    found = _one(answer)
    assert found.state == state
    assert found.remedy.startswith(remedy) and bool(found.remedy) == bool(remedy)
    assert _one(answer, more=f'{TEN}\nremedy = "ask the desk"').remedy == "ask the desk"


def test_holidays_move_the_latest_start() -> None:
    """A holiday between start and day is one more day to begin earlier."""
    (found,) = judged(
        wanting("medium", more=TEN),
        '[arrangements.it]\nstate = "missing"',
        holidays=frozenset({date(2027, 3, 3)}),
    )
    assert found.latest_start == "2027-02-25"


@pytest.mark.parametrize("state", ["missing", "requested"])
def test_without_an_installation_day_nothing_is_late(state: str) -> None:
    """Where no day is said, what is not in hand cannot be called late, nor in time."""
    found = _one(f'state = "{state}"', day=None)
    assert (found.verdict, found.open, found.latest_start) == (OPEN, False, "")
    assert "write `day`" in found.why


LIFE: Final = '[installation]\nday = 2027-03-15\nservice_life = "10 years"\n'


@pytest.mark.parametrize(
    ("kind", "expires", "verdict", "says"),
    [
        ("licence", "2027-03-14", UNMET, "expires on 2027-03-14, before 2027-03-15"),
        ("licence", "2027-03-15", MARGINAL, "within the service life"),
        ("licence", "2037-03-13", MARGINAL, "within the service life"),
        ("licence", "2037-03-14", MET, ""),  # 10 years of 365.25 days after 2027-03-15, rounded down
        ("licence", '"never"', MET, ""),
        ("licence", '""', OPEN, "whether it is valid on the day is not said"),
        ("certificate", '""', OPEN, "is not said"),
        ("support contract", '""', OPEN, "is not said"),
        ("medium", '""', MET, ""),
        ("credential", "2027-03-14", UNMET, "expires"),
    ],
)
def test_what_is_in_hand_must_be_valid_on_the_day(
    kind: str, expires: str, verdict: Verdict, says: str
) -> None:
    """Expired before the day is unmet, within the service life marginal, and not said unverified."""
    answer = f'state = "in hand"\nholder = "A"\ndeputy = "B"\nexpires = {expires}'
    found = _one(answer, kind, around=LIFE)
    assert found.verdict is verdict, found
    assert says in found.why


@pytest.mark.parametrize(
    ("expires", "verdict"),
    [("2027-03-15", MARGINAL), ("2028-03-14", MARGINAL), ("2028-03-15", MET), ("2040-01-01", MET)],
)
def test_without_a_service_life_a_year_counts(expires: str, verdict: Verdict) -> None:
    """What expires on the day or within a year of it is to be renewed, however long the instrument lasts."""
    found = _one(f'state = "in hand"\nexpires = {expires}', "licence")
    assert found.verdict is verdict
    assert verdict is MET or "`service_life`" in found.why


@pytest.mark.parametrize(
    ("expires", "as_of", "day", "verdict"),
    [
        # The day is past: valid on it, and expired when somebody looks again.
        ("2027-10-01", date(2027, 10, 1), MONDAY, MARGINAL),
        ("2027-10-01", date(2027, 10, 2), MONDAY, UNMET),
        ("2037-10-01", date(2037, 10, 2), MONDAY, UNMET),
        ("2027-10-01", date(2027, 10, 2), None, UNMET),
    ],
)
def test_what_expired_since_the_day_is_unmet(
    expires: str, as_of: date, day: date | None, verdict: Verdict
) -> None:
    """Looked at after the day, what has expired by then is not in hand any more."""
    around = LIFE if day else ""
    answer = f'state = "in hand"\nexpires = {expires}'
    found = _one(answer, "licence", around=around, as_of=as_of, day=day)
    assert found.verdict is verdict
    assert ("expired on" in found.why) is (verdict is UNMET)


@pytest.mark.parametrize(
    ("answer", "verdict", "says"),
    [
        ('state = "in hand"\nrequested = 2026-12-21', MET, ""),
        ('state = "in hand"\nrequested = 2026-12-22', OPEN, "to be requested only on 2026-12-22"),
        ('state = "in hand"\nexpected = 2027-03-15', MET, ""),
        ('state = "in hand"\nexpected = 2027-03-16', OPEN, "promised only for 2027-03-16"),
        ('state = "requested"\nexpires = 2027-03-14', UNMET, "expires on 2027-03-14, before 2027-03-15"),
        ('state = "requested"\nexpires = 2027-03-15', OPEN, "due by"),
    ],
)
def test_days_that_contradict_the_state_are_told(answer: str, verdict: Verdict, says: str) -> None:
    """What came before it was asked for, or expires before it is needed, is not taken as it stands."""
    found = _one(answer)
    assert found.verdict is verdict
    assert says in found.why


def test_expiry_without_a_day_is_not_known() -> None:
    """Whether something is valid on a day that nobody said cannot be known."""
    found = _one('state = "in hand"\nexpires = 2030-01-01', "licence", day=None)
    assert found.verdict is OPEN


ROOM: Final = 'quantity = "temperature"\nminimum = "18 °C"\nmaximum = "25 °C"'


@pytest.mark.parametrize(
    ("answer", "verdict", "says"),
    [
        ('state = "in hand"\nmeasured = "22 °C"', MET, ""),
        ('measured = "22 °C"', MET, ""),
        (
            'state = "in hand"\nmeasured = "26 °C"',
            UNMET,
            "measured 26 °C, asked at least 18 °C, at most 25 °C",
        ),
        (  # rounded it would read as the limit it falls short of
            'state = "in hand"\nmeasured = "17.96 °C"',
            UNMET,
            "measured 17.96 °C, about 18 °C, asked at least 18 °C",
        ),
        ('state = "in hand"\nmeasured = "90 °F"', UNMET, "measured 90 °F, about 32.2 °C, asked at least"),
        ('state = "in hand"', OPEN, "is not measured"),
        ('state = "missing"\nmeasured = "22 °C"', OPEN, "begin by"),
        ('state = "in hand"\nmeasured = "71.6 F"', MET, ""),
    ],
)
def test_a_measured_value_is_judged_like_a_reading(answer: str, verdict: Verdict, says: str) -> None:
    """Inside the bounds is met, outside unmet, not measured unverified."""
    found = _one(answer, "place", more=ROOM)
    assert found.verdict is verdict
    assert says in found.why
    assert found.required == "at least 18 °C, at most 25 °C"


PEOPLE: Final = (
    '[people.amsel]\nname = "R. Amsel"\naway = [{ from = 2027-03-15, to = 2027-03-19 }]\n'
    '[people.specht]\nname = "Q. Specht"\naway = [{ from = 2027-03-01, to = 2027-03-14 }]\n'
    '[people.star]\nname = "T. Star"\naway = [{ from = 2027-03-08, to = 2027-03-15 }]\n'
)


@pytest.mark.parametrize(
    ("kind", "answer", "verdict", "says"),
    [
        ("person", 'holder = "specht"', MET, ""),
        ("person", 'holder = "amsel"', UNMET, "R. Amsel is away from 2027-03-15 to 2027-03-19"),
        ("person", 'holder = "star"', UNMET, "away"),
        ("person", 'holder = "amsel"\ndeputy = "star"', UNMET, "nobody else"),
        ("person", 'holder = "amsel"\ndeputy = "specht"', MARGINAL, "Q. Specht must be there instead"),
        ("person", 'holder = "specht"\ndeputy = "amsel"', MET, ""),
        ("person", "", OPEN, "who is there on the day is not said"),
        ("person", 'holder = "the installer"', MET, ""),
        ("credential", 'holder = "amsel"\ndeputy = "star"', UNMET, "away"),
        ("credential", "", OPEN, "who is there on the day"),
        ("medium", 'holder = "amsel"', MARGINAL, "away"),
        ("medium", "", MET, ""),
    ],
)
def test_whoever_is_needed_on_the_day_is_there(kind: str, answer: str, verdict: Verdict, says: str) -> None:
    """Somebody who is away on the day cannot be there; a deputy can."""
    more = 'needed = "on the day"'
    found = _one(f'state = "in hand"\n{answer}', kind, more, around=PEOPLE)
    assert found.verdict is verdict, found
    assert says in found.why


@pytest.mark.parametrize("named", ["R. Amsel", "r.  amsel", "AMSEL", "R. Amsel (chief)", "amsel"])
def test_whoever_is_named_by_name_is_that_person(named: str) -> None:
    """An absence is found under the id, the name, and the name with the role."""
    around = PEOPLE.replace('name = "R. Amsel"', 'name = "R. Amsel"\nrole = "chief"')
    answer = f'state = "in hand"\nholder = "{named}"'
    found = _one(answer, "person", 'needed = "on the day"', around=around)
    assert found.verdict is UNMET
    assert "R. Amsel (chief) is away" in found.why
    deputy = f'state = "in hand"\nholder = "star"\ndeputy = "{named}"'
    assert _one(deputy, "person", 'needed = "on the day"', around=around).verdict is UNMET
    owned = _one(f'state = "missing"\nowner = "{named}"', around=around)
    assert owned.owner == "R. Amsel (chief)"


@pytest.mark.parametrize(
    ("holder", "verdict"),
    [
        ("R. Amsel and Q. Specht", OPEN),
        ("the chief, r. amsel", OPEN),
        ("Q. Specht and others", MET),
        ("Mr. Amselmann", MET),
        ("R. Amsel, ext. 4711", UNMET),
    ],
)
def test_a_text_with_the_name_of_somebody_away_is_not_met(holder: str, verdict: Verdict) -> None:
    """Whether the person named in a longer text is the one who is away must be said."""
    around = PEOPLE.replace('name = "R. Amsel"', 'name = "R. Amsel"\ncontact = "ext. 4711"')
    found = _one(f'state = "in hand"\nholder = "{holder}"', "person", 'needed = "on the day"', around=around)
    assert found.verdict is verdict
    assert ("write `amsel`" in found.why) is (verdict is OPEN)


@pytest.mark.parametrize("word", ["none", "None", "-", "?", "—", "nobody", "n/a", "keine", "Niemand", "TBD"])
def test_a_word_for_nobody_is_a_blank(word: str) -> None:
    """Who writes that there is no deputy, or no holder, named nobody."""
    alone = _one(f'state = "in hand"\nholder = "A"\ndeputy = "{word}"', "credential")
    assert (alone.verdict, alone.deputy) == (MARGINAL, "")
    nobody = _one(f'state = "in hand"\nholder = "{word}"', "person", 'needed = "on the day"')
    assert (nobody.verdict, nobody.holder) == (OPEN, "")


def test_an_absence_matters_only_on_the_day() -> None:
    """What is needed before the day does not need its holder on it."""
    assert _one('state = "in hand"\nholder = "amsel"', "medium", around=PEOPLE).verdict is MET


def test_whether_somebody_is_away_on_an_unknown_day_is_not_known() -> None:
    """Without a day an absence may cover it."""
    found = _one(
        'state = "in hand"\nholder = "amsel"', "person", 'needed = "on the day"', day=None, around=PEOPLE
    )
    assert found.verdict is OPEN
    on_the_day = 'needed = "on the day"'
    for kind, holder in (("person", "the installer"), ("medium", "amsel")):
        answer = f'state = "in hand"\nholder = "{holder}"'
        assert _one(answer, kind, on_the_day, day=None, around=PEOPLE).verdict is MET


@pytest.mark.parametrize(
    ("answer", "verdict"),
    [
        ('holder = "A"\ndeputy = "B"', MET),
        ('holder = "A"', MARGINAL),
        ('deputy = "A"', MARGINAL),
        ("", MARGINAL),
        ('holder = "A"\ndeputy = " a "', MARGINAL),
        ('holder = "amsel"\ndeputy = "R. Amsel"', MARGINAL),
        ('holder = "amsel"\ndeputy = "specht"', MET),
    ],
)
def test_two_persons_can_reach_a_credential(answer: str, verdict: Verdict) -> None:
    """A credential that one person alone can reach is marginal, under whatever name that person stands."""
    found = _one(f'state = "in hand"\n{answer}', "credential", around=PEOPLE)
    assert found.verdict is verdict
    assert verdict is MET or "second one" in found.why


def test_the_worst_of_several_reasons_counts_and_is_told() -> None:
    """An expired credential that one person holds is unmet, and the expiry is what is told."""
    found = _one('state = "in hand"\nholder = "A"\nexpires = 2027-01-01', "credential")
    assert found.verdict is UNMET
    assert "expires" in found.why and "second one" not in found.why


# -- which are wanted


def test_what_is_limited_to_other_pcs_does_not_apply() -> None:
    """An arrangement whose `when` is unmet is left out, whatever the worksheet says of it."""
    more = 'when = { "os.type" = "windows" }'
    (found,) = judged(
        wanting(more=more),
        '[arrangements.it]\nstate = "missing"',
        seen={"os.type": s.known("linux", "kernel")},
    )
    assert (found.verdict, found.state) == (NOT_APPLICABLE, "does not apply")


@pytest.mark.parametrize(
    ("state", "verdict"), [("missing", Verdict.UNVERIFIED), ("in hand", MET), ("", Verdict.UNVERIFIED)]
)
def test_where_the_limit_is_not_known_only_what_is_in_hand_is_met(state: str, verdict: Verdict) -> None:
    """Whether it is needed is not known, so that it is not late; in hand is met anyway."""
    more = 'when = { "os.type" = "windows" }'
    (found,) = judged(
        wanting("medium", more=more),
        f'[arrangements.it]\nstate = "{state}"',
        as_of=MONDAY,
        seen={"os.type": s.unknown("not read")},
    )
    assert found.verdict is verdict
    assert verdict is MET or "whether it is needed cannot be known" in found.why


def test_the_labs_own_arrangements_count_too() -> None:
    """What the lab adds with kind and title is judged like what a profile asks."""
    own = '[arrangements.crane]\nkind = "supply"\ntitle = "A lifting table"\nstate = "missing"\n'
    (asked, added) = judged(wanting("medium"), f'{own}[arrangements.it]\nstate = "in hand"', as_of=MONDAY)
    assert (asked.verdict, added.verdict) == (MET, UNMET)
    assert (added.profile, added.title) == ("w.toml", "A lifting table")


def test_an_answer_with_words_of_its_own_is_still_one_answer() -> None:
    """Kind and title beside an id that a profile asks add no second arrangement."""
    words = 'kind = "supply"\ntitle = "Other"\nstate = "in hand"'
    (found,) = judged(wanting("medium"), f"[arrangements.it]\n{words}")
    assert (found.title, found.kind, found.verdict) == ("It", "medium", MET)


def test_one_id_of_two_profiles_for_different_things_needs_two_answers() -> None:
    """An answer that could mean either of two things counts for neither; one for each does."""
    asked = ask(
        [profile(wanting(title="Licence A"), "a.toml"), profile(wanting(title="Licence B"), "b.toml")]
    )
    state = 'state = "in hand"\nexpires = "never"\n'
    both = judged(asked, f"[arrangements.it]\n{state}")
    assert [(one.id, one.verdict) for one in both] == [("a/it", OPEN), ("b/it", OPEN)]
    assert '[arrangements."a/it"] and [arrangements."b/it"]' in both[0].why
    blank = judged(asked, "")
    assert '[arrangements."a/it"]' in blank[0].why
    assert "[arrangements.it]" in _one("").why
    first = judged(asked, f'[arrangements."a/it"]\n{state}')
    assert [one.verdict for one in first] == [MET, OPEN]


def test_files_of_one_name_are_told_apart() -> None:
    """Two profiles of the same file name in different folders need two answers too."""
    asked = ask([profile(wanting(title="A"), "x/p.toml"), profile(wanting(title="B"), "y/p.toml")])
    assert [one.id for one in judged(asked, "")] == ["p/it", "p-2/it"]


def test_one_thing_that_two_profiles_ask_is_answered_once() -> None:
    """The same id, kind and title in two profiles is one thing."""
    asked = ask([profile(wanting("medium"), "a.toml"), profile(wanting("medium"), "b.toml")])
    assert {one.verdict for one in judged(asked, '[arrangements.it]\nstate = "in hand"')} == {MET}


@pytest.mark.parametrize("turned", [False, True])
def test_of_one_thing_that_two_profiles_ask_the_strictest_counts(turned: bool) -> None:
    """It stands in the report once, with the longer lead time, and not as what does not apply."""
    asked = [
        profile(wanting("medium", more='lead_time = "3 working days"'), "a.toml"),
        profile(wanting("medium", more='lead_time = "60 working days"'), "b.toml"),
        profile(wanting("medium", more='when = { "os.type" = "windows" }'), "c.toml"),
    ]
    asked = asked[::-1] if turned else asked
    seen = {"os.type": s.known("linux", "kernel")}
    (found,) = judged(ask(asked), '[arrangements.it]\nstate = "missing"', seen=seen)
    assert (found.verdict, found.lead_time) == (UNMET, "60 working days")
    (early,) = judged(ask(asked), '[arrangements.it]\nstate = "missing"', seen=seen, as_of=date(2026, 9, 1))
    assert (early.open, early.lead_time) == (True, "60 working days")


def test_a_base_of_two_profiles_asks_once() -> None:
    """What two profiles take from one file stands in the report once."""
    one = profile(wanting("medium"))
    assert len(judged(ask([one, one]), "")) == 1


# -- the outcome


@pytest.mark.parametrize(
    ("verdicts", "expected"),
    [
        ((), Outcome.READY),
        ((None,), Outcome.READY),
        ((MET, MARGINAL, NOT_APPLICABLE), Outcome.READY),
        ((MET, OPEN), Outcome.INCONCLUSIVE),
        ((MET, OPEN, UNMET), Outcome.NOT_READY),
    ],
)
def test_the_outcome_is_the_worst(verdicts: tuple[Verdict | None, ...], expected: Outcome) -> None:
    """One unmet makes it not ready, else one open inconclusive."""
    (one,) = judged(wanting(), "")
    assert arrangements_outcome(one._replace(verdict=verdict) for verdict in verdicts) is expected


# -- properties

_DAYS = st.dates(date(2026, 6, 1), date(2028, 6, 1))
_BLANKS = ("state", "holder", "deputy", "kept", "requested", "expected", "measured", "lead_time", "owner")


@st.composite
def _answers(draw: st.DrawFn) -> dict[str, str]:
    """A consistent answer: keys and what stands behind them."""
    first, second = sorted((draw(_DAYS), draw(_DAYS)))
    whole = {
        "state": draw(st.sampled_from(('"in hand"', '"requested"', '"missing"'))),
        "holder": draw(st.sampled_from(('"amsel"', '"specht"', '"T. Star"'))),
        "deputy": draw(st.sampled_from(('"amsel"', '"specht"', '"T. Star"'))),
        "kept": '"safe"',
        "requested": first.isoformat(),
        "expected": second.isoformat(),
        "expires": draw(_DAYS).isoformat(),
        "measured": draw(st.sampled_from(('"17 °C"', '"22 °C"', '"30 °C"'))),
        "lead_time": draw(st.sampled_from(('"3 days"', '"60 working days"'))),
        "owner": '"IT"',
    }
    keep = draw(st.sets(st.sampled_from(tuple(whole))))
    return {key: value for key, value in whole.items() if key in keep}


def _outcome(kind: str, more: str, answer: dict[str, str], day: date | None, as_of: date) -> Outcome:
    lines = "\n".join(f"{key} = {value}" for key, value in answer.items())
    return arrangements_outcome([_one(lines, kind, more, as_of, day, PEOPLE)])


_KINDS = st.sampled_from(("licence", "certificate", "medium", "credential", "person", "support contract"))
_MORE = st.sampled_from(("", TEN, 'needed = "on the day"', ROOM, f'{ROOM}\nneeded = "on the day"'))


@given(_KINDS, _MORE, _answers(), _DAYS, _DAYS, st.data())
def test_more_blanks_never_make_it_ready(
    kind: str, more: str, answer: dict[str, str], day: date, as_of: date, data: st.DataObject
) -> None:
    """What is not ready with an answer is not ready with less of it either."""
    before = _outcome(kind, more, answer, day, as_of)
    blanks = (*_BLANKS, "expires") if kind in ("licence", "certificate", "support contract") else _BLANKS
    gone = data.draw(st.sets(st.sampled_from(blanks), min_size=1))
    fewer = {key: value for key, value in answer.items() if key not in gone}
    without_day = data.draw(st.booleans())
    after = _outcome(kind, more, fewer, None if without_day else day, as_of)
    assert before is Outcome.READY or after is not Outcome.READY


@given(_KINDS, _MORE, _answers(), _DAYS, _DAYS, st.integers(1, 200))
def test_time_never_mends_what_is_not_in_hand(
    kind: str, more: str, answer: dict[str, str], day: date, as_of: date, later: int
) -> None:
    """With the same worksheet, what was late stays late."""
    planned = {key: value for key, value in answer.items() if key not in ("requested", "expected")}
    before = _outcome(kind, more, planned, day, as_of)
    after = _outcome(kind, more, planned, day, as_of + timedelta(days=later))
    assert before is not Outcome.NOT_READY or after is Outcome.NOT_READY
    assert before is Outcome.READY or after is not Outcome.READY
