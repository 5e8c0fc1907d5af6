"""The plan for backup and recovery, and the storage forecast beside it."""

from __future__ import annotations

from datetime import date
from typing import Final

from pcaudit.core.derive import Readings
from pcaudit.core.plan.backup_figures import figures
from pcaudit.core.plan.backup_findings import (
    objective_findings,
    retention_finding,
    shortest_first,
    space_findings,
    time_words,
    window_findings,
)
from pcaudit.core.plan.backup_tables import (
    contents_table,
    copies_table,
    copy_notes,
    kept_table,
    loss_table,
    schedule_table,
    space_curves,
    space_table,
)
from pcaudit.core.plan.contents import Contents, contents
from pcaudit.core.plan.copies import Copy, copies, copy_findings
from pcaudit.core.plan.horizon import Horizon, horizon
from pcaudit.core.plan.recovery import (
    downtime_finding,
    recovery_finding,
    recovery_table,
    restore_test_finding,
    restore_test_table,
)
from pcaudit.core.plan.route import Route, route
from pcaudit.core.plan.section import Section, Table
from pcaudit.core.plan.storage import lasts, storage_section
from pcaudit.core.plan.volume import blank
from pcaudit.core.report import Finding
from pcaudit.core.snapshot import Form
from pcaudit.core.worksheet.backup import Backup
from pcaudit.core.worksheet.data import Data

_NAME: Final = "backup"
_TITLE: Final = "Backup and recovery"
_CAUTIONS: Final = (
    "RAID, synchronised folders and snapshots are no copies.",
    "A backup that was never restored is unproven.",
    "Keep recovery keys apart from the PC and from the copies; write down where, never the key.",
    "Stop acquisition, or use the program's own export, while its database is copied.",
)
_NOTES: Final = (
    "Every full holds acquired data, configuration and the system image.",
    "Configuration and system image are taken as constant, and nothing as deleted.",
    "Copies of one night share the PC's port: where their times together exceed the window, spread them.",
)
_OPTIONAL: Final = ("rpo", "rto", "window", "scheme", "full_every", "daily", "weekly", "monthly", "yearly")


def backup_sections(
    backup: Backup,
    data: Data,
    readings: Readings | None,
    on: date,
    as_of: date,
    begins: date | None = None,
) -> tuple[Section, ...]:
    """Plan backup and recovery, and forecast the data volume.

    Args:
        backup: What the worksheet says of backup.
        data: What it says of the data.
        readings: Of the PC; None without a snapshot.
        on: The day judged for.
        as_of: The day work counts from.
        begins: The day of the first run, such as the installation day; without it data counts as
            growing from ``as_of``.

    Returns:
        The sections "backup" and "storage".
    """
    storage = storage_section(data, readings, on, as_of, begins)
    if not backup.asked:
        asked = "[backup]: destinations, objectives and what is kept"
        return Section(_NAME, _TITLE, not_asked=(asked,)), storage
    return _backup(backup, data, readings, horizon(data, on, as_of, begins), on, as_of), storage


def _backup(
    backup: Backup, data: Data, readings: Readings | None, ahead: Horizon, on: date, as_of: date
) -> Section:
    held = contents(backup, data, readings)
    found = copies(backup, held.stored_full.base if held.stored_full else None)
    room = lasts(data, held.volume)
    routes = tuple(route(backup, held, copy, ahead) for copy in found if copy.counts is not False)
    return Section(
        _NAME,
        _TITLE,
        findings=(
            *objective_findings(backup, routes),
            *copy_findings(backup, found),
            *space_findings(backup, data, routes, ahead),
            *window_findings(backup, routes),
            retention_finding(backup, data, routes, room, ahead),
            *_recovery(backup, readings, on, as_of),
        ),
        figures=figures(data, held, routes, ahead),
        tables=_tables(backup, held, found, routes, ahead, as_of),
        curves=space_curves(routes, ahead),
        notes=(*copy_notes(found), *_NOTES, *_volume_note(room, ahead), *_chain_note(backup, routes)),
        cautions=_CAUTIONS,
        not_asked=_not_asked(backup),
    )


def _recovery(backup: Backup, readings: Readings | None, on: date, as_of: date) -> tuple[Finding, ...]:
    own = None if readings is None else readings.get("storage.system_encrypted")
    encrypted = any(one.encrypted for one in backup.destinations) or (
        own is not None and own.form is Form.KNOWN and own.value is True
    )
    return (
        restore_test_finding(backup, on, as_of),
        *downtime_finding(backup),
        recovery_finding(backup, encrypted),
    )


def _tables(
    backup: Backup,
    held: Contents,
    found: tuple[Copy, ...],
    routes: tuple[Route, ...],
    ahead: Horizon,
    as_of: date,
) -> tuple[Table, ...]:
    tests = restore_test_table(backup, as_of, ahead.start)
    of_routes = (
        schedule_table(backup, held, routes, ahead),
        kept_table(backup),
        space_table(routes, ahead),
        loss_table(routes),
    )
    return (
        contents_table(held),
        *((copies_table(found),) if found else ()),
        *(of_routes if routes else (kept_table(backup),)),
        *((tests,) if tests else ()),
        recovery_table(backup, _sources(routes), _order(backup, routes)),
    )


def _sources(routes: tuple[Route, ...]) -> tuple[tuple[str, str], ...]:
    """Destinations to restore from, the fastest known first."""
    counted = (one for one in routes if one.copy.counts)
    known = sorted(counted, key=lambda one: shortest_first(one.restore))
    return tuple(
        (one.name, time_words(one.restore, one.rates is not None and one.rates.measured)) for one in known
    )


def _order(backup: Backup, routes: tuple[Route, ...]) -> str:
    """What a restore reads, in order, at most."""
    sets = [one.of for one in routes if one.of is not None and one.copy.counts]
    most = max((of.sets_to_restore for of in sets), default=0)
    if not most:
        return "________"
    if most == 1:
        return "the newest full copy, system image first"
    if backup.scheme == "differential":
        return "the newest full copy, system image first; then the newest differential copy"
    return (
        "the newest full copy, system image first; then every incremental copy since, oldest first "
        f"({most - 1} at most)"
    )


def _volume_note(room: int | None, ahead: Horizon) -> tuple[str, ...]:
    """Said where the PC cannot hold what the copies are worked out for."""
    if room is None or room >= ahead.far():
        return ()
    until = ahead.day(max(room, 0)).isoformat()
    later = "Later sizes and times are those with a volume that is large enough"
    moved = "data that is moved away instead needs copies of its own"
    return (f"The PC has room until {until}. {later}; {moved}.",)


def _chain_note(backup: Backup, routes: tuple[Route, ...]) -> tuple[str, ...]:
    """Said where fewer copies are asked for than a chain has."""
    longest = max((one.of.partials for one in routes if one.of and one.of.chained), default=0)
    if backup.daily is None or backup.daily >= longest:
        return ()
    asked = f"daily = {backup.daily} asks for fewer copies than the {longest} built on each full"
    return (f"{asked}: the chain is kept whole all the same, since the newest copy needs it.",)


def _not_asked(backup: Backup) -> tuple[str, ...]:
    blanks = [f"backup.{key}" for key in _OPTIONAL if getattr(backup, key) in (None, "")]
    if not backup.destinations:
        blanks.append("backup.destinations")
    return tuple(blank(key) for key in blanks)
