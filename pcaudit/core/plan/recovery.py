"""Proving that a backup can be restored, and the sheet to restore by.

Recovery objectives as NIST SP 800-34 Rev. 1, section 3.2.1, has them: the recovery time objective is
shorter than the maximum tolerable downtime.
"""

from __future__ import annotations

from datetime import date
from typing import Final

from pcaudit.core.plan.section import Table, finding
from pcaudit.core.plan.transfer import show_time
from pcaudit.core.plan.volume import blank
from pcaudit.core.report import Finding, Verdict
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.backup import Backup
from pcaudit.core.worksheet.term import YEAR

SOURCE: Final = "NIST SP 800-34 Rev. 1, section 3.2.1"
"""Where the objectives are defined."""

_DATES: Final = 6
_TEST: Final = (
    "Restore the system image and one acquired run to another disk, and open the run in the program."
)


def restore_test_finding(backup: Backup, on: date, as_of: date) -> Finding:
    """Whether a restore was tried lately enough."""
    verdict, found, why = _restore_test(backup, on, as_of)
    every = backup.restore_test_every
    return finding(
        "backup",
        "restore_test",
        "Restore test",
        verdict,
        required=f"a restore was tried within {every.shown()}" if every else "a restore is tried regularly",
        found=found,
        file=backup.file,
        line=backup.line_of("last_restore_test"),
        because="A backup that was never restored is unproven.",
        remedy="" if verdict is Verdict.MET else f"{_TEST} Note the day as last_restore_test.",
        owner="IT",
        why=why,
    )


def _restore_test(backup: Backup, on: date, as_of: date) -> tuple[Verdict, str, str]:
    """Verdict, what was found, and why it cannot be told.

    Once a year at least: common practice, no source.
    """
    last, every = backup.last_restore_test, backup.restore_test_every
    found = f"last tried on {last.isoformat()}" if last else "not known"
    blanks = [
        blank(f"backup.{key}")
        for key in ("last_restore_test", "restore_test_every")
        if not getattr(backup, key)
    ]
    if last is None or every is None:
        return Verdict.UNVERIFIED, found, "; ".join(blanks)
    if last > as_of:
        return Verdict.UNVERIFIED, found, f"backup.last_restore_test lies after {as_of.isoformat()}"
    due = every.after(last)
    found = f"{found}, due again on {due.isoformat()}"
    if due < as_of:
        return Verdict.UNMET, found, ""
    if due < on:
        why = f"it falls due before {on.isoformat()}, the day judged for: repeat it by {due.isoformat()}"
        return Verdict.UNVERIFIED, found, why
    if due > YEAR.after(last):
        return Verdict.MARGINAL, f"{found}, less often than yearly", ""
    return Verdict.MET, found, ""


def restore_test_table(backup: Backup, as_of: date, start: date) -> Table | None:
    """The next restore tests; None where it is not said how often.

    Args:
        backup: For the last test, and how often.
        as_of: The day work counts from: a last test that lies after it is one that is planned.
        start: The day of the first run, on which the first test is due where none was noted.
    """
    every, last = backup.restore_test_every, backup.last_restore_test
    if every is None:
        return None
    done = last is not None and last <= as_of
    anchor = last or start
    days = sorted({every.after(anchor, times) for times in range(int(done), _DATES + int(done))})
    note = "" if done else f"None was done by {as_of.isoformat()}."
    return Table(
        "Restore tests",
        ("Due", "Done on", "By", "Opened in the program"),
        tuple((day.isoformat(), "", "", "") for day in days),
        tuple({"due": day.isoformat()} for day in days),
        f"{note} {_TEST}".strip(),
    )


def downtime_finding(backup: Backup) -> tuple[Finding, ...]:
    """Whether the recovery time objective leaves anything of the downtime tolerated; none where blank."""
    if backup.mtd is None:
        return ()
    rto = backup.rto
    verdict = Verdict.UNVERIFIED if rto is None else Verdict.MET if rto < backup.mtd else Verdict.UNMET
    return (
        finding(
            "backup",
            "mtd",
            "Recovery time objective and tolerable downtime",
            verdict,
            required=f"an RTO shorter than {show_time(backup.mtd, down=True)}",
            found="not known" if rto is None else show_time(rto),
            file=backup.file,
            line=backup.line_of("mtd"),
            because=f"Reinstalling, testing and deciding take time beside the restore itself ({SOURCE}).",
            remedy="" if verdict is Verdict.MET else "Agree on a shorter RTO, or on a longer downtime.",
            why=blank("backup.rto") if rto is None else "",
        ),
    )


def recovery_finding(backup: Backup, encrypted: bool) -> Finding:
    """Whether somebody else could restore the PC.

    Args:
        backup: For who, from what, and where keys are.
        encrypted: Whether a copy or the PC's own volume is encrypted, so that keys are needed.
    """
    needed = ("who", "medium", "keys") if encrypted else ("who", "medium")
    missing = [blank(f"backup.recovery.{key}") for key in needed if not getattr(backup.recovery, key)]
    return finding(
        "backup",
        "recovery",
        "Recovery sheet",
        Verdict.UNVERIFIED if missing else Verdict.MET,
        required="who restores, the boot medium" + (" and where the recovery keys are" if encrypted else ""),
        found="incomplete" if missing else "complete",
        file=backup.file,
        line=backup.line_of("recovery"),
        because="Whoever set it up may be away on the day.",
        remedy="Fill in what is blank; write where a key is kept, never the key." if missing else "",
        why="; ".join(missing),
    )


def recovery_table(backup: Backup, sources: tuple[tuple[str, str], ...], sets: str) -> Table:
    """The sheet to restore by, to be printed and kept apart from the PC.

    Args:
        backup: For who, from what, and where keys are.
        sources: Each destination to restore from, best first, and how long it takes.
        sets: What is read, in order.
    """
    who, medium, keys = (visible(text, 200) or "________" for text in backup.recovery)
    places = [f"{name}: {time}" for name, time in sources] or ["________"]
    from_ = [("4", f"Restore from, choice {number}", place) for number, place in enumerate(places, 1)]
    rows = (
        ("1", "Call", who),
        ("2", "Start the PC from", medium),
        ("3", "Fetch recovery keys from", keys),
        *from_,
        ("5", "Read, in this order", sets),
        ("6", "Open an acquired run; compare the instrument's settings", ""),
        ("7", "Note day, duration and what was lost", ""),
    )
    names = ("step", "what", "entry")
    data = tuple(dict(zip(names, row, strict=True)) for row in rows)
    note = "Print it and keep it where it can be reached when the PC cannot."
    return Table("Recovery sheet", ("Step", "What", "Entry"), rows, data, note)
