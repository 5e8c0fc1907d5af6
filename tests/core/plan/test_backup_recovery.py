"""Proving that a backup can be restored."""

from __future__ import annotations

from datetime import date

import pytest

from pcaudit.core.derive import Readings
from pcaudit.core.plan.recovery import recovery_finding, restore_test_finding, restore_test_table
from pcaudit.core.report import Verdict
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED, snapshot_of, value
from tests.core.plan.backup_plans import (
    BACKUP,
    DATA,
    DISK,
    SERVER,
    WHOLE,
    changed,
    finding_of,
    plan_of,
    rows_of,
)
from tests.core.worksheet.backup_sheets import backup_of

ON = date(2027, 3, 15)


@pytest.mark.parametrize(
    ("last", "as_of", "verdict"),
    [
        ("2027-02-01", ON, MET),
        ("2026-12-15", ON, MET),  # due on the day itself
        ("2026-12-14", ON, UNMET),
        ("2026-12-14", date(2027, 3, 1), UNVERIFIED),  # falls due before the day judged for
        ("2027-03-16", ON, UNVERIFIED),  # has not happened yet
        ("", ON, UNVERIFIED),
    ],
)
def test_a_restore_was_tried_lately(last: str, as_of: date, verdict: Verdict) -> None:
    """Late is unmet, late by the day judged for is open, and what lies ahead proves nothing."""
    backup = backup_of(changed(BACKUP, last_restore_test=last))
    finding = restore_test_finding(backup, ON, as_of)
    assert finding.verdict is verdict
    assert bool(finding.why) == (verdict is UNVERIFIED)
    assert bool(finding.remedy) == (verdict is not MET)


@pytest.mark.parametrize(
    ("every", "verdict"), [("1 year", MET), ("13 months", MARGINAL), ("5 years", MARGINAL)]
)
def test_a_restore_that_is_tried_rarely_is_marginal(every: str, verdict: Verdict) -> None:
    """Less often than yearly is said, though it is as often as the lab asks."""
    finding = restore_test_finding(backup_of(changed(BACKUP, restore_test_every=f'"{every}"')), ON, ON)
    assert finding.verdict is verdict
    assert ("less often than yearly" in finding.found) is (verdict is MARGINAL)


def test_restore_tests_follow_the_calendar() -> None:
    """Each month from 31 January is the last day of February, then 31 March: no day is lost."""
    backup = backup_of(changed(BACKUP, last_restore_test="2027-01-31", restore_test_every='"1 month"'))
    table = restore_test_table(backup, ON, ON)
    assert table is not None
    assert [row[0] for row in table.rows][:4] == ["2027-02-28", "2027-03-31", "2027-04-30", "2027-05-31"]
    assert [one["due"] for one in table.data] == [row[0] for row in table.rows]


@pytest.mark.parametrize(("last", "first"), [("", "2027-03-15"), ("2027-03-20", "2027-03-20")])
def test_the_first_restore_test_is_due_with_the_first_run(last: str, first: str) -> None:
    """Where none was done yet the first is due on the first day, or on the day that is planned."""
    as_of = date(2026, 11, 25)
    table = restore_test_table(backup_of(changed(BACKUP, last_restore_test=last)), as_of, ON)
    assert table is not None
    assert [row[0] for row in table.rows][:2] == [first, first.replace("-03-", "-06-")]
    assert "None was done by 2026-11-25." in table.note


def test_without_an_interval_no_calendar_is_made_up() -> None:
    """Where it is not said how often, no dates are given."""
    assert restore_test_table(backup_of(changed(BACKUP, restore_test_every="")), ON, ON) is None


def test_keys_are_asked_for_only_where_something_is_encrypted() -> None:
    """Who and medium are always needed; where keys are kept, where a copy or the PC is encrypted."""
    backup = backup_of(changed(BACKUP, recovery='{ who = "R. Amsel", medium = "stick" }'))
    assert recovery_finding(backup, encrypted=False).verdict is MET
    finding = recovery_finding(backup, encrypted=True)
    assert finding.verdict is UNVERIFIED
    assert finding.why == "`backup.recovery.keys` is blank in the worksheet"


@pytest.mark.parametrize(("encrypted", "verdict"), [(True, UNVERIFIED), (False, MET)])
def test_an_encrypted_pc_needs_its_keys(encrypted: bool, verdict: Verdict) -> None:
    """The snapshot shows that the system volume is encrypted, though no copy is."""
    text = changed(DATA + BACKUP + SERVER, encrypted="false", recovery='{ who = "A", medium = "stick" }')
    readings = Readings(snapshot_of({"storage.system_encrypted": value(encrypted)}))
    assert finding_of(plan_of(text, readings), "recovery").verdict is verdict


def test_the_recovery_sheet_has_every_step() -> None:
    """Who, medium, keys, each destination from the fastest, and what is read in which order."""
    rows = rows_of(plan_of(WHOLE), "Recovery sheet")
    entries = {what: entry for _, what, entry in rows}
    assert entries["Call"] == "R. Amsel"
    assert entries["Start the PC from"] == "stick in the safe"
    assert entries["Fetch recovery keys from"] == "safe in room 201"
    assert entries["Restore from, choice 1"].startswith("disk: ")
    assert entries["Restore from, choice 3"]
    assert "(6 at most)" in entries["Read, in this order"]


def test_blanks_of_the_recovery_sheet_are_lines_to_fill_in() -> None:
    """What is not known is left to be written by hand."""
    rows = rows_of(plan_of("[backup]\n"), "Recovery sheet")
    assert [row[2] for row in rows[:5]] == ["________"] * 5


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (DATA + BACKUP + DISK, "the newest full copy, system image first"),
        (DATA + changed(BACKUP, scheme='"differential"') + SERVER, "the newest differential copy"),
    ],
)
def test_the_order_follows_the_scheme(text: str, words: str) -> None:
    """Fulls alone need nothing more, differential copies only the newest."""
    rows = rows_of(plan_of(text), "Recovery sheet")
    assert next(row[2] for row in rows if row[1] == "Read, in this order").endswith(words)
