"""The text report."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given, strategies as st
from rich.cells import cell_len

from pcaudit.core.profile import ProfileSource
from pcaudit.core.report import (
    Arrangement,
    BackupItem,
    BackupOutline,
    Finding,
    Outcome,
    Report,
    Verdict,
)
from pcaudit.render.console import render
from pcaudit.render.gauge import mark
from pcaudit.render.interface import TRUE_COLOUR, Screen
from pcaudit.render.layout import fold
from pcaudit.render.sections.actions import by_owner
from pcaudit.render.sections.head import counts_words, outcome_words, statement
from tests.render import golden
from tests.render.samples import ACCEPTANCE, FINDINGS, finding, part, report

# ECMA-48: CSI sequences; the only ones painting uses are SGR ("m").
_SGR = re.compile(r"\x1b\[[0-9;]*m")


@pytest.mark.parametrize("name", golden.SCREENS)
def test_whole_report(name: str) -> None:
    """The whole report looks as it was last looked at and found good."""
    expected = golden.path(name).read_text(encoding="utf-8")
    assert render(golden.golden_report(), golden.SCREENS[name]) == expected


def _hostile(value: Any, text: str) -> Any:
    """The same record with ``text`` in every field that holds a text."""
    if isinstance(value, str):
        return text
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return type(value)(*(_hostile(part_, text) for part_ in value))
    if isinstance(value, tuple):
        return tuple(_hostile(part_, text) for part_ in value)
    if isinstance(value, dict):
        return {key: _hostile(part_, text) for key, part_ in value.items() if isinstance(part_, str | None)}
    return value


@given(
    text=st.text(st.characters(), min_size=1, max_size=40), width=st.integers(20, 160), drawn=st.booleans()
)
def test_no_text_is_obeyed_and_no_line_too_wide(text: str, width: int, drawn: bool) -> None:
    """Whatever text stands in whatever field, only painting uses escape codes, and lines fit."""
    shown = render(_hostile(golden.golden_report(), text), Screen(width, TRUE_COLOUR, drawn))
    for line in _SGR.sub("", shown).split("\n"):
        assert not any(character < " " or "\x7f" <= character <= "\x9f" for character in line)
        assert not any("\u202a" <= character <= "\u202e" for character in line)
        assert cell_len(line) <= max(width, 40)


def test_hostile_text_is_shown() -> None:
    """Markup, emoji codes, MAC addresses and escape codes are shown letter by letter."""
    shown = " ".join(render(golden.golden_report(), Screen(140)).split())
    for piece in ("[red]markup[/red] [/b] :smile: 00:00:5e:00:53:ab", "\\x1b[31mred", "\\u202egnp.exe"):
        assert piece in shown


def test_long_text_is_cut_and_says_so() -> None:
    """A text of 10 000 characters does not drown the report, and what is left out is counted."""
    shown = render(golden.golden_report(), Screen(80))
    assert shown.count("A") < 2000
    assert "(9426 more characters)" in " ".join(shown.split())


def test_nothing_is_cropped_at_80_columns() -> None:
    """Every word of every finding stands in the report, however narrow its column."""
    shown = re.sub(r"\s", "", render(report(), Screen(80)))
    for entry in FINDINGS:
        for text in (entry.remedy, entry.because):
            assert text.replace(" ", "") in shown
    words = set(re.split(r"[\s;:]+", render(report(), Screen(80))))
    assert {word for entry in FINDINGS for word in entry.found.split()} <= words


@pytest.mark.parametrize("width", [80, 140])
def test_verdict_stands_first_and_in_full(width: int) -> None:
    """In the table of all conditions each verdict begins its line with mark and word."""
    table = render(report(), Screen(width)).partition("Every condition")[2]
    for verdict in Verdict:
        word = verdict.value.removesuffix(" apply")  # the one word that folds
        start = f"{mark(verdict, drawn=False)}  {word}"
        assert any(line.startswith(start) for line in table.splitlines())


def test_no_escape_codes_without_colours() -> None:
    """For a screen without colours nothing is painted."""
    assert "\x1b" not in render(report(), Screen(80, 0))


def test_colour_is_never_alone() -> None:
    """Taking the painting away leaves the report a pipe would get."""
    assert _SGR.sub("", render(report(), Screen(80, TRUE_COLOUR))) == render(report(), Screen(80, 0))


def test_sixteen_colours_use_none_of_them() -> None:
    """Where only 16 colours are shown, bold and faint stand in, since the nearest may be red."""
    codes = set(_SGR.findall(render(report(), Screen(80, 16))))
    assert codes == {"\x1b[1m", "\x1b[2m", "\x1b[0m"}


def test_ascii_screens_get_ascii() -> None:
    """A report of ASCII texts stays ASCII on a screen that is not known to show more."""
    assert render(report(), Screen(80, 0, unicode=False)).isascii()


@pytest.mark.parametrize(
    ("verdicts", "words"),
    [
        ((Verdict.MET,), "ready"),
        ((Verdict.MET, Verdict.ACCEPTED), "ready, with 1 concession"),
        ((Verdict.ACCEPTED, Verdict.ACCEPTED), "ready, with 2 concessions"),
        ((Verdict.ACCEPTED, Verdict.UNMET), "not ready"),
        ((Verdict.ACCEPTED, Verdict.UNVERIFIED), "inconclusive"),
    ],
)
def test_outcome_in_words(verdicts: tuple[Verdict, ...], words: str) -> None:
    """The outcome names concessions where the PC is ready by them, and comes first."""
    made = report(tuple(finding(f"cpu.r{n}", verdict) for n, verdict in enumerate(verdicts)))
    assert outcome_words(made) == words
    assert render(made).startswith(f"{words.upper()}: bench-pc-07\n")


def test_arrangements_can_keep_a_ready_pc_from_ready() -> None:
    """The first line is the worse outcome, and the two are told apart below."""
    made = report((finding("cpu.cores", Verdict.MET),), arrangements_outcome=Outcome.INCONCLUSIVE)
    shown = render(made)
    assert shown.startswith("INCONCLUSIVE: ")
    assert "PC                ready: " in shown
    assert "Arrangements      inconclusive: 1 not asked, 1 in hand" in shown
    assert statement(made).startswith("These readings, taken then, meet this profile.")


@pytest.mark.parametrize(
    ("verdict", "start"),
    [
        (Verdict.MET, "These readings, taken then, meet this profile."),
        (Verdict.UNMET, "These readings, taken then, do not meet this profile."),
        (Verdict.UNVERIFIED, "These readings, taken then, do not show whether this PC meets this profile."),
        (Verdict.ACCEPTED, "These readings, taken then, meet this profile, with what was conceded."),
    ],
)
def test_statement(verdict: Verdict, start: str) -> None:
    """What the outcome means is said of these readings, and never as a guarantee."""
    text = statement(report((finding("cpu.cores", verdict),)))
    assert text == f"{start} This is no guarantee of operation, safety or compliance."


def test_counts() -> None:
    """Findings are counted by verdict, worst first, and what does not bind is told apart."""
    verdicts = [Verdict.MET] * 3 + [Verdict.UNMET] * 2 + [Verdict.NOT_APPLICABLE] * 2
    findings = [finding(f"cpu.r{n}", verdict) for n, verdict in enumerate(verdicts)]
    findings.append(finding("cpu.extra", Verdict.UNMET, binding=False))
    assert counts_words(report(tuple(findings))) == "3 unmet (2 binding), 3 met, 2 do not apply"
    assert counts_words(report(())) == "no conditions"


def test_owners_in_order_and_blocking_first() -> None:
    """Work is grouped by owner in the agreed order; within a group, what blocks comes first."""
    findings = (
        finding("a.one", Verdict.UNMET, owner="workshop"),
        finding("a.two", Verdict.MARGINAL, owner="it"),
        finding("a.three", Verdict.UNMET, owner="IT", binding=False),
        finding("a.four", Verdict.UNVERIFIED, owner="IT"),
        finding("a.five", Verdict.UNMET, owner="lab"),
        finding("a.six", Verdict.MET, owner="purchasing"),
        finding("a.seven", Verdict.UNMET, owner=" "),
    )
    groups = {owner: [entry.id for entry in group] for owner, group in by_owner(findings).items()}
    assert list(groups) == ["lab", "IT", "workshop", "no owner named"]
    assert groups["IT"] == ["a.four", "a.three", "a.two"]


def test_nothing_to_do() -> None:
    """A PC that meets everything gets no work."""
    assert "Nothing is left to do on the PC." in render(report((finding("cpu.cores", Verdict.MET),)))


def test_arrangements_have_blanks_and_secrets_come_first() -> None:
    """Licences come before places, unanswered fields are blanks, and no secret is asked for."""
    shown = render(report()).partition("Credentials and licences")[2]
    assert shown.index("Licence certificate") < shown.index("Patched network port")
    assert "Never write the secret itself here" in shown
    assert re.search(r"held by _+ +kept at _+ +expires _+", shown)
    assert re.search(r"held by R\. Example +kept at safe in room", shown)


def test_a_number_stays_with_its_unit() -> None:
    """A column's edge never comes between a number and its unit."""
    assert fold("at least 20 GB (36 GB recommended)", 18) == ["at least 20 GB", "(36 GB", "recommended)"]


def test_no_arrangements() -> None:
    """A profile without arrangements is said to have none."""
    shown = render(report(arrangements=()))
    assert "Arrangements      none in the profile" in shown
    assert "names no licence" in shown


def test_size_of_a_backup_item_is_never_made_up() -> None:
    """An item whose size is not known says so."""
    line = next(line for line in render(report()).splitlines() if line.startswith("Acquired data"))
    assert line.split("  ")[-1].strip() == "the profile names no data"
    assert "size unknown" in line


def test_what_was_not_asked_comes_before_the_work() -> None:
    """Questions left open stand before everything that was answered."""
    shown = render(report())
    assert shown.index("Not asked") < shown.index("What to do") < shown.index("Every condition")


def test_every_condition_on_a_reading_is_shown() -> None:
    """Where several profiles ask for the same reading, each has its line, place and verdict."""
    parts = (part("at least 20 GB", Verdict.UNMET, 9), part("at least 4 GB", Verdict.MET, 0, binding=False))
    shown = render(report((finding("memory.installed", Verdict.UNMET, parts=parts),)), Screen(140))
    assert re.search(r"= \| {3}unmet +- base\.toml:9 +at least 20 GB", shown)
    assert re.search(r"=\|=> {2}met +- base\.toml \(advised\) +at least 4 GB", shown)


def test_groups_outside_the_catalogue_are_kept() -> None:
    """A finding of a group this version does not know is shown under that group's own name."""
    shown = render(report((finding("bench.depth", Verdict.UNMET, title="Depth"),)))
    assert "\nbench\n= |   unmet       Depth" in shown


def test_every_field_is_shown_somewhere() -> None:
    """No text of a finding, an arrangement or the backup outline is lost on a wide page."""
    shown = re.sub(r"\s", "", render(golden.golden_report(), Screen(160)))
    records: tuple[Any, ...] = (*FINDINGS, *report().arrangements, *report().backup.items)
    for record in records:
        for field, value in record._asdict().items():
            if isinstance(value, str) and field not in ("id", "group", "digest"):
                assert re.sub(r"\s", "", value)[:12] in shown, (field, value)


def test_records_are_those_the_hostile_test_walks() -> None:
    """The walk that fills every field reaches each kind of record a report holds."""
    filled = _hostile(golden.golden_report(), "x")
    assert isinstance(filled, Report)
    assert filled.profiles == (ProfileSource("x", "x", "x", "x"),)
    assert isinstance(filled.backup, BackupOutline)
    assert filled.backup.items[0] == BackupItem("x", 256 * 10**9, "x")
    assert isinstance(filled.arrangements[0], Arrangement)
    assert filled.findings[1].parts[0].required == "x"
    assert filled.snapshot.taken_at == "x"


def _shown(*findings: Finding) -> str:
    return " ".join(render(report(findings), Screen(140)).split())


_ACCEPTED = (
    "unmet without the concession by A. Example until 2027-06-30: "
    "replaced in the summer of 2027 with the instrument"
)


def test_an_accepted_finding_says_who_accepted_what() -> None:
    """The verdict it would have, who accepted it, until when and why stand under the finding."""
    shown = _shown(finding("cpu.cores", Verdict.ACCEPTED, acceptance=ACCEPTANCE))
    assert shown.count(_ACCEPTED) == 1
    assert "ready, with 1 concession" in shown.casefold()


def test_an_accepted_condition_among_several_says_so_once() -> None:
    """Of several conditions on a reading, the one that is accepted says by whom, and no other."""
    parts = (
        part("at least 8", Verdict.ACCEPTED, 3, acceptance=ACCEPTANCE),
        part("at least 2", Verdict.MET, 9),
    )
    assert (
        _shown(finding("cpu.cores", Verdict.ACCEPTED, parts=parts, acceptance=ACCEPTANCE)).count(_ACCEPTED)
        == 1
    )


@pytest.mark.parametrize("verdict", Verdict)
def test_what_can_be_conceded_shows_its_digest(verdict: Verdict) -> None:
    """Id and digest, which a concession quotes, stand with what is unmet or unverified only."""
    shown = _shown(finding("cpu.cores", verdict, acceptance=ACCEPTANCE))
    can_be = verdict in (Verdict.UNMET, Verdict.UNVERIFIED)
    assert ("id cpu.cores, digest 0123456789abcdef" in shown) is can_be


def test_what_no_concession_can_name_shows_no_digest() -> None:
    """A finding without a digest has no line for one."""
    assert "digest" not in _shown(finding("cpu.cores", Verdict.UNMET)._replace(digest=""))
