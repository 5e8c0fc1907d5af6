"""Every part of a plan, made of one worksheet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pcaudit.core.choose import Asked
from pcaudit.core.derive import Readings
from pcaudit.core.finding import Arrangement, Outcome
from pcaudit.core.plan.activities import Timetable, whole_timetable
from pcaudit.core.plan.answered import Answered, days_apart
from pcaudit.core.plan.arrangements import judge_arrangements
from pcaudit.core.plan.backup import backup_sections
from pcaudit.core.plan.calendar import calendar_section
from pcaudit.core.plan.document import Plan
from pcaudit.core.plan.network import network_section
from pcaudit.core.plan.network_openings import Endpoint, endpoints_of
from pcaudit.core.plan.outcome import arrangements_outcome
from pcaudit.core.plan.place import place_sections
from pcaudit.core.plan.run_sheet import run_sheet_section
from pcaudit.core.plan.section import Section
from pcaudit.core.snapshot import Form, Snapshot, age_warnings
from pcaudit.core.worksheet.against import differences
from pcaudit.core.worksheet.sheet import Worksheet

_COMPUTER = ("host_name", "model", "serial_number")
_NO_PC = Snapshot("", "", {})


def timetable_of(answered: Answered, arrangements: Sequence[Arrangement]) -> Timetable | None:
    """The calendar of a worksheet; None where nobody said the installation day."""
    days = answered.days
    return whole_timetable(answered.worksheet, arrangements, days.working, days.needed, days.as_of)


def _endpoints(asked: Sequence[Asked]) -> tuple[Endpoint, ...]:
    return tuple(one for each in asked for one in endpoints_of(each.conditions))


def sections_of(
    answered: Answered,
    asked: Sequence[Asked],
    arrangements: Sequence[Arrangement],
    readings: Readings | None,
    on: date,
) -> tuple[Section, ...]:
    """Every part of the plan, in the order it is read.

    Args:
        answered: The worksheet and its days.
        asked: What is asked of profiles.
        arrangements: As judged.
        readings: Of the PC; None without a snapshot.
        on: Day judged for.
    """
    sheet, days = answered.worksheet, answered.days
    table = timetable_of(answered, arrangements)
    network = network_section(
        sheet.network,
        sheet.people,
        readings,
        endpoints=_endpoints(asked),
        day=days.needed,
        as_of=days.as_of,
        file=sheet.path,
    )
    calendar = calendar_section(table, sheet.calendar, sheet.path, sheet.installation.line, answered.notes)
    return (
        *backup_sections(sheet.backup, sheet.data, readings, on, days.as_of, sheet.installation.day),
        *place_sections(sheet.place, readings, answered.electrical, on, days.as_of),
        network,
        calendar._replace(not_asked=(*calendar.not_asked, *_life_not_asked(sheet))),
        run_sheet_section(table, sheet, arrangements, sheet.path),
    )


def _outcome(arrangements: Sequence[Arrangement], parts: Sequence[Section], may_be_ready: bool) -> Outcome:
    """As everything comes to together; nothing is ready that was not asked."""
    found = arrangements_outcome(arrangements, parts)
    asked = any(one.verdict is not None for one in arrangements)
    asked = asked or any(one.binding for part in parts for one in part.findings)
    return Outcome.INCONCLUSIVE if found is Outcome.READY and not (asked and may_be_ready) else found


def _not_held(worksheet: Worksheet, arrangements: Sequence[Arrangement]) -> tuple[str, ...]:
    """A warning of answers that were held against nothing, as no profile that asks them was used."""
    judged = {one.id for one in arrangements}
    number = sum(name not in judged for name in worksheet.arrangements.by_id)
    if not number:
        return ()
    why = "no profile is named" if not worksheet.use.profiles else "no profile asks for them"
    answers = "1 answer is" if number == 1 else f"{number} answers are"
    return (f"{why}: {answers} not held against anything; name the profiles in [use]",)


def _life_not_asked(worksheet: Worksheet) -> tuple[str, ...]:
    """Without a service life nobody can tell whether what expires lasts as long as the instrument."""
    expiring = any(one.expires is not None for one in worksheet.arrangements.by_id.values())
    if not expiring or worksheet.installation.service_life is not None:
        return ()
    return ("whether what expires must be renewed: write `service_life` into [installation]",)


def make_plan(
    answered: Answered, asked: Sequence[Asked], snapshot: Snapshot | None, *, on: date, tool_version: str
) -> tuple[Plan, Timetable | None]:
    """Make the plan of a worksheet.

    Args:
        answered: The worksheet and its days.
        asked: What is asked of the profiles it names.
        snapshot: Of the PC; None where there is none yet.
        on: Day judged for.
        tool_version: Version of pcaudit.

    Returns:
        The plan, and its calendar; None for it where nobody said the installation day.
    """
    sheet, days = answered.worksheet, answered.days
    readings = Readings(snapshot or _NO_PC)
    arrangements = judge_arrangements(asked, readings, sheet, days)
    parts = sections_of(answered, asked, arrangements, readings if snapshot else None, on)
    seen = {key: snapshot.get(f"computer.{key}") for key in _COMPUTER} if snapshot else {}
    aged = age_warnings(snapshot, days.as_of) if snapshot else ()
    not_held = _not_held(sheet, arrangements)
    plan = Plan(
        title=sheet.title,
        path=sheet.path,
        sha256=sheet.sha256,
        on=on,
        as_of=days.as_of,
        tool_version=tool_version,
        outcome=_outcome(arrangements, parts, days.needed is not None and not not_held),
        arrangements=arrangements,
        sections=parts,
        warnings=(*not_held, *days_apart(answered), *aged, *differences(sheet, asked)),
        computer={key: one.value if one.form is Form.KNOWN else None for key, one in seen.items()},
        taken_at=snapshot.taken_at if snapshot else "",
        day_known=days.needed is not None,
    )
    return plan, timetable_of(answered, arrangements)
