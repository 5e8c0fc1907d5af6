"""Reading worksheets: what they say, what they leave blank, and every mistake at its line."""

from __future__ import annotations

from datetime import date
from typing import Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.worksheet.arrangements import Answer
from pcaudit.core.worksheet.people import Away
from pcaudit.errors import MistakesError
from tests.core.worksheet.sheets import HEAD, read

FULL: Final = """\
note = "second try"

[installation]
day = 2027-03-15
site = "Building C"
service_life = "10 years"

[use]
profiles = ["../profiles/a.toml", "b.toml"]
options = ["mass-detector"]
parameters = { instruments = 2, flow = 0.5 }
concessions = "concessions.toml"

[people.network-admin]
name = "R. Amsel"
role = "network administrator"
contact = "ext. 4711"
away = [{ from = 2027-03-01, to = 2027-03-12 }]

[arrangements.licence]
state = "in hand"
holder = "network-admin"
deputy = "purchasing desk"
kept = "safe"
requested = 2026-11-20
expected = 2026-12-11
expires = 2028-12-31
measured = 3
reference = true
note = "order 4500123"
lead_time = "10 working days"
owner = "IT"
after = ["crane"]

[arrangements.crane]
kind = "supply"
title = "A crane"
needed = "on the day"
expires = "never"

[arrangements.help]
state = "not needed"
because = "none comes"
by = "network-admin"
"""


def test_a_worksheet_is_read() -> None:
    """Every key of the sections stands in its record, references and days too."""
    sheet = read(HEAD + FULL)
    assert sheet.installation == (True, date(2027, 3, 15), "Building C", 3652.5, 6)
    assert sheet.use.profiles == ("../profiles/a.toml", "b.toml")
    assert (sheet.use.options, sheet.use.concessions) == (("mass-detector",), "concessions.toml")
    assert sheet.use.parameters == {"instruments": "2", "flow": "0.5"}
    person = sheet.people.by_id["network-admin"]
    assert (person.shown, person.contact) == ("R. Amsel (network administrator)", "ext. 4711")
    assert person.away == (Away(date(2027, 3, 1), date(2027, 3, 12)),)
    assert sheet.arrangements.by_id["licence"] == Answer(
        id="licence",
        line=22,
        state="in hand",
        holder="network-admin",
        deputy="purchasing desk",
        kept="safe",
        requested=date(2026, 11, 20),
        expected=date(2026, 12, 11),
        expires=date(2028, 12, 31),
        measured="3",
        reference=True,
        note="order 4500123",
        lead_time="10 working days",
        owner="IT",
        after=("crane",),
    )
    crane = sheet.arrangements.by_id["crane"]
    assert crane.own and crane.never_expires and crane.needed == "on the day"
    assert sheet.arrangements.by_id["help"].by == "network-admin"


def test_what_is_promised_at_once_is_no_contradiction() -> None:
    """Something may be promised for the day it is asked for, and blanks stand beside each other."""
    both = "requested = 2027-01-01\nexpected = 2027-01-01\n"
    answer = read(f'{HEAD}[arrangements.a]\n{both}kind = ""\ntitle = ""\n').arrangements.by_id["a"]
    assert answer.requested == answer.expected
    assert not answer.own


def test_everything_may_be_left_out() -> None:
    """A worksheet of format and title alone validates, and is asked nothing."""
    sheet = read(HEAD)
    sections = (sheet.installation, sheet.use, sheet.people, sheet.arrangements, sheet.data, sheet.backup)
    assert not any(one.asked for one in (*sections, sheet.place, sheet.network, sheet.calendar, sheet.tasks))
    assert sheet.installation.day is None


@pytest.mark.parametrize("day", ["2027-03-01", "2027-03-12"])
def test_both_ends_of_an_absence_count(day: str) -> None:
    """Somebody is away on the first and the last day, and not on the days around them."""
    person = read(HEAD + FULL).people.by_id["network-admin"]
    assert person.away_on(date.fromisoformat(day))
    assert not person.away_on(date(2027, 2, 28)) and not person.away_on(date(2027, 3, 13))


@pytest.mark.parametrize(
    ("life", "days"), [("10 years", 3652.5), ("1 year", 365.25), ("6 months", 182.625), ("2 weeks", 14)]
)
def test_a_service_life_is_read(life: str, days: float) -> None:
    """Years have 365.25 days, the mean of the Julian calendar."""
    sheet = read(f'{HEAD}[installation]\nservice_life = "{life}"\n')
    assert sheet.installation.service_life == days


# What is wrong (below two lines of head), and the line, key and words it is told with.
MISTAKES: Final = [
    ("[instalation]\n", 3, "instalation", "unknown key `instalation`", "installation"),
    (
        "[installation]\nday = 2027-03-15T09:00:00\n",
        4,
        "installation.day",
        "without a time",
        "write the day alone: day = 2027-03-15",
    ),
    ('[installation]\nday = "2027-03-15"\n', 4, "installation.day", "`day` is a day", "without quotes"),
    ("[installation]\ndate = 2027-03-15\n", 4, "installation.date", "unknown key `date`", "day"),
    (
        '[installation]\nservice_life = "long"\n',
        4,
        "installation.service_life",
        "no service life",
        "10 years",
    ),
    (
        '[installation]\nservice_life = "101 years"\n',
        4,
        "installation.service_life",
        "no service life",
        "100",
    ),
    ('[installation]\nservice_life = "0 years"\n', 4, "installation.service_life", "no service life", ""),
    ("installation = 3\n", 3, "installation", "is a section", "[installation]"),
    ("[use]\nprofiles = [3]\n", 4, "use.profiles", "list of texts", ""),
    ('[use]\nparameters = { instruments = "2" }\n', 4, "use.parameters.instruments", "is a number", "= 2"),
    ("[use]\nparameters = { instruments = true }\n", 4, "use.parameters.instruments", "is a number", ""),
    ("[use]\nparameters = 2\n", 4, "use.parameters", "is a table", ""),
    ('[people.a]\nnmae = "A"\n', 4, "people.a.nmae", "unknown key", "name"),
    ('[people]\n"a b" = {}\n', 4, 'people."a b"', "cannot be an id", ""),
    ("[people.a]\naway = [{ from = 2027-03-02, to = 2027-03-01 }]\n", 4, "people.a.away[1].to", "before", ""),
    ("[people.a]\naway = [{ from = 2027-03-02 }]\n", 4, "people.a.away[1]", "has a day `to`", ""),
    ("[people.a]\naway = 2027-03-02\n", 4, "people.a.away", "list of tables", ""),
    ('[arrangements.a]\nstate = "ready"\n', 4, "arrangements.a.state", "'ready' is none", "in hand"),
    ('[arrangements.a]\nsate = "in hand"\n', 4, "arrangements.a.sate", "unknown key", "state"),
    ('[arrangements.a]\nexpires = "soon"\n', 4, "arrangements.a.expires", "is a day", "never"),
    ("[arrangements.a]\nexpires = 2028\n", 4, "arrangements.a.expires", "is a day", ""),
    ('[arrangements.a]\nlead_time = "soon"\n', 4, "arrangements.a.lead_time", "no lead time", "working days"),
    ("[arrangements.a]\nmeasured = true\n", 4, "arrangements.a.measured", "amount with its unit", ""),
    ("[arrangements.a]\nmeasured = 2.5\n", 4, "arrangements.a.measured", "amount with its unit", ""),
    ('[arrangements.a]\nreference = "yes"\n', 4, "arrangements.a.reference", "true or false", ""),
    (
        '[arrangements.a]\nstate = "not needed"\nby = "A"\n',
        4,
        "arrangements.a.state",
        "`because`",
        "because =",
    ),
    ('[arrangements.a]\nstate = "not needed"\nbecause = "A"\n', 4, "arrangements.a.state", "`by`", "by ="),
    (
        "[arrangements.a]\nrequested = 2027-01-02\nexpected = 2027-01-01\n",
        5,
        "arrangements.a.expected",
        "before it was requested",
        "",
    ),
    ('[arrangements.a]\nafter = ["a"]\n', 4, "arrangements.a.after", "after itself", ""),
    ('[arrangements.a]\nkind = "licence"\n', 4, "arrangements.a.kind", "only `kind`", "add title"),
    ('[arrangements.a]\ntitle = "A"\n', 4, "arrangements.a.title", "only `title`", "add kind"),
    ('[arrangements.a]\nkind = "wish"\ntitle = "A"\n', 4, "arrangements.a.kind", "none of what `kind`", ""),
    ('[arrangements]\n"a b/c d" = {}\n', 4, 'arrangements."a b/c d"', "cannot be an id", ""),
    ("[[arrangements]]\nid = 1\n", 3, "arrangements", "is a section", "[arrangements]"),
    (
        '[arrangements.a]\nholder = "network-admn"\n[people.network-admin]\n',
        4,
        "arrangements.a.holder",
        "nobody of [people]",
        "did you mean `network-admin`?",
    ),
]


@pytest.mark.parametrize(("text", "line", "key", "says", "right"), MISTAKES)
def test_a_mistake_is_told_at_its_line(text: str, line: int, key: str, says: str, right: str) -> None:
    """Each mistake names its line, its key, what is wrong and what would be right."""
    with pytest.raises(MistakesError) as caught:
        read(HEAD + text)
    told = [
        (one.key, one.place.line if one.place else 0, one.message, one.hint) for one in caught.value.mistakes
    ]
    assert any(one[:2] == (key, line) and says in one[2] and right in one[3] for one in told), told


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('title = "A"\n', "begins with its format"),
        ("format = 1\n", "has a title"),
        ('format = 0\ntitle = "A"\n', "number from 1 up"),
        ('format = true\ntitle = "A"\n', "number from 1 up"),
        ('format = 2\ntitle = "A"\n', "newer than this version"),
        ("format = 1\ntitle = 3\n", "`title` is a text"),
    ],
)
def test_the_head_is_needed(text: str, says: str) -> None:
    """Format and title stand in every worksheet, and a newer format is refused by name."""
    with pytest.raises(MistakesError) as caught:
        read(text)
    assert says in caught.value.mistakes[0].message


def test_all_mistakes_are_told_at_once_in_their_order() -> None:
    """Mistakes of several sections come together, by line."""
    text = HEAD + '[arrangements.a]\nstate = "x"\n[use]\noption = []\n[installation]\nday = 3\n'
    with pytest.raises(MistakesError) as caught:
        read(text)
    assert [one.place.line for one in caught.value.mistakes if one.place] == [4, 6, 8]


@pytest.mark.parametrize(("number", "told"), [(50, True), (51, False)])
def test_a_slip_is_looked_for_among_few_people(number: int, told: bool) -> None:
    """Comparing a name with more than fifty others would take minutes in a long worksheet."""
    people = "".join(f'[people.person-{one:03}]\nname = "P"\n' for one in range(number))
    text = f'{HEAD}[arrangements.a]\nholder = "person-0001"\n{people}'
    if told:
        with pytest.raises(MistakesError):
            read(text)
    else:
        assert read(text).arrangements.by_id["a"].holder == "person-0001"


def test_a_name_of_several_people_is_told() -> None:
    """Which of two namesakes is meant, and so whose absence counts, only the id says."""
    people = '[people.a]\nname = "R. Amsel"\n[people.b]\nname = "r. amsel"\n'
    with pytest.raises(MistakesError) as caught:
        read(f'{HEAD}[arrangements.x]\nholder = "R. Amsel"\n{people}')
    assert [(one.key, one.hint) for one in caught.value.mistakes] == [
        ("arrangements.x.holder", "write the id: `a` or `b`")
    ]
    assert read(f'{HEAD}[arrangements.x]\nholder = "b"\n{people}').arrangements.by_id["x"].holder == "b"


@pytest.mark.parametrize("holder", ["purchasing-desk", "the head of the lab", "network-admin", "it"])
def test_a_holder_may_be_any_text(holder: str) -> None:
    """Only what is nearly the id of a person is a slip."""
    text = f'{HEAD}[arrangements.a]\nholder = "{holder}"\n[people.network-admin]\nname = "R. Amsel"\n'
    assert read(text).arrangements.by_id["a"].holder == holder


_VALUES = st.sampled_from(
    (
        '""',
        '"x"',
        "3",
        "-1",
        "2.5",
        "true",
        "2027-03-15",
        "[]",
        '["x"]',
        "[{}]",
        "{}",
        '{ a = "b" }',
        "12:30:00",
    )
)
_KEYS = st.sampled_from(
    (
        *(
            "installation",
            "installation.day",
            "installation.service_life",
            "use",
            "use.profiles",
            "use.options",
        ),
        *("use.parameters", "people", "people.a", "people.a.away", "arrangements", "arrangements.a"),
        *(
            "arrangements.a.state",
            "arrangements.a.expires",
            "arrangements.a.measured",
            "arrangements.a.after",
        ),
        *("calendar", "data", "backup", "place", "network", "tasks", "note", "unknown"),
    )
)


@given(_KEYS, _VALUES)
def test_any_value_anywhere_is_read_or_told(key: str, value: str) -> None:
    """Whatever stands behind a key, the worksheet is read or every mistake has a place."""
    try:
        read(f"{HEAD}{key} = {value}\n")
    except MistakesError as error:
        assert all(one.place and one.place.line == 3 and one.message for one in error.mistakes)
