"""Holding a backup plan against its objectives: loss, restore, window, space, retention.

Recovery point and time objective as NIST SP 800-34 Rev. 1, section 3.2.1, defines them: the point in
time to which data can be recovered, and the longest time without the system.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from pcaudit.core.plan.horizon import Horizon
from pcaudit.core.plan.recovery import SOURCE
from pcaudit.core.plan.rotation import LONGEST
from pcaudit.core.plan.route import Route, Times, held
from pcaudit.core.plan.section import finding
from pcaudit.core.plan.size_words import size_text
from pcaudit.core.plan.transfer import show_time
from pcaudit.core.plan.volume import blank
from pcaudit.core.report import Finding, Verdict, any_of
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.backup import Backup
from pcaudit.core.worksheet.data import Data
from pcaudit.core.worksheet.term import Term

_BEST_FIRST: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.UNVERIFIED, Verdict.UNMET)
_NOT_KNOWN: Final = Fraction(10**18)
_YEAR: Final = 366  # most days from one yearly copy to the next
_HOLDS: Final = (Verdict.MET, Verdict.MARGINAL)


def time_words(times: Times, measured: bool) -> str:
    """A time for people: the cautious estimate and the lower bound, or what was measured."""
    if times.least is None:
        return "not known"
    least = show_time(times.least, down=True)
    if times.first is None:
        return f"at least {least}"
    if measured:
        return f"{show_time(times.first)} at the measured rate"
    return f"{show_time(times.first)} by a cautious estimate, at least {least}"


def later_words(limit: Fraction | int, times: Times) -> str:
    """From when a time that holds at first no longer does; empty where it holds to the end.

    Args:
        limit: Seconds.
        times: What it takes.
    """
    if times.first is None or times.end is None or not times.first <= limit < times.end:
        return ""
    assert times.grows is not None
    day = times.grows.longer_from(limit).isoformat()
    return f"; longer than {show_time(limit, down=True)} from {day} on"


def _is_measured(route: Route) -> bool:
    return route.rates is not None and route.rates.measured


def shortest_first(times: Times) -> tuple[Fraction, Fraction]:
    """Sorts times: by the cautious one, then by the least, what is not known last."""
    first = _NOT_KNOWN if times.first is None else times.first
    return first, _NOT_KNOWN if times.least is None else times.least


# -- loss and restore


class Judged(NamedTuple):
    """One destination held against an objective; ``line`` is its own where that leaves it open."""

    route: Route
    times: Times
    verdict: Verdict
    why: str
    line: int = 0


class _Objective(NamedTuple):
    """RPO or RTO, and after what it is asked."""

    key: str
    after: str
    title: str
    because: str
    remedy: str


_RPO: Final = _Objective(
    "rpo",
    "",
    "Worst loss when the PC fails",
    f"Data acquired after the last whole copy began is lost ({SOURCE}).",
    "Copy more often or through a faster link, or agree on a longer RPO",
)
_RTO: Final = _Objective(
    "rto",
    "",
    "Restore when the PC fails",
    f"Until it is restored the instrument stands still; reinstalling comes on top ({SOURCE}).",
    "Use a faster link or differential copies, or agree on a longer RTO",
)
_RPO_SITE: Final = _RPO._replace(after="_site", title="Worst loss when the site is lost")
_RTO_SITE: Final = _RTO._replace(after="_site", title="Restore when the site is lost")


def objective_findings(backup: Backup, routes: tuple[Route, ...]) -> tuple[Finding, ...]:
    """Worst loss against the RPO and restore against the RTO: when the PC fails, and with its site.

    A restore is judged only where the loss holds or may hold, if it does anywhere; where it only may,
    the restore is not met either: with the blank filled in that destination may be out. The loss of
    the site is advised: objectives are agreed for the loss of the PC.
    """
    away = tuple(one for one in routes if one.destination.offsite is not False)
    found = []
    for candidates, rpo, rto in ((routes, _RPO, _RTO), (away, _RPO_SITE, _RTO_SITE)):
        losses = [_judged(backup.rpo, one, one.loss, bool(rpo.after)) for one in candidates]
        found.append(_objective(backup, rpo, losses))
        holding = [one for one in losses if one.verdict is not Verdict.UNMET] or losses
        found.append(_objective(backup, rto, [_restore(backup, one, bool(rto.after)) for one in holding]))
    return tuple(found)


def _restore(backup: Backup, loss: Judged, away: bool) -> Judged:
    """The restore from a destination, as far as its loss is known to hold."""
    judged = _judged(backup.rto, loss.route, loss.route.restore, away)
    if loss.verdict is not Verdict.UNVERIFIED or judged.verdict not in _HOLDS:
        return judged
    why = loss.why or blank("backup.rpo")
    unsure = f"whether the loss from {loss.route.name} holds is not known: {why}"
    return judged._replace(verdict=Verdict.UNVERIFIED, why=unsure, line=loss.line)


def _judged(limit: Fraction | None, route: Route, times: Times, away: bool) -> Judged:
    unsure, line = "", route.line
    if route.copy.counts is None:
        unsure = route.copy.why
    elif away and route.destination.offsite is None:
        unsure, line = blank("offsite", route.name), route.destination.line
    if limit is None:
        return Judged(route, times, Verdict.UNVERIFIED, "")
    verdict, why = held(limit, times, route.missing)
    if unsure and verdict is not Verdict.UNMET:
        return Judged(route, times, Verdict.UNVERIFIED, unsure, line)
    return Judged(route, times, verdict, why, line if verdict is Verdict.UNVERIFIED else 0)


def _rank(judged: Judged) -> tuple[int, Fraction, Fraction]:
    return _BEST_FIRST.index(judged.verdict), *shortest_first(judged.times)


def _objective(backup: Backup, asked: _Objective, judged: list[Judged]) -> Finding:
    limit: Fraction | None = getattr(backup, asked.key)
    line = backup.line_of(asked.key)
    best = min(judged, key=_rank, default=None)
    verdict, found, why = Verdict.UNMET, _none_left(asked), ""
    if not backup.destinations:
        verdict, found, why = Verdict.UNVERIFIED, "not known", blank("backup.destinations")
    elif best is not None:
        verdict = any_of(one.verdict for one in judged)
        later = "" if limit is None else later_words(limit, best.times)
        found = f"{time_words(best.times, _is_measured(best.route))}, from {best.route.name}{later}"
        why = best.why if verdict is Verdict.UNVERIFIED else ""
        line = best.line or line
    if limit is None:
        verdict, why = Verdict.UNVERIFIED, blank(f"backup.{asked.key}")
    if asked.after and verdict is Verdict.UNMET:
        verdict = Verdict.MARGINAL
    return finding(
        "backup",
        asked.key + asked.after,
        asked.title,
        verdict,
        required="not said" if limit is None else f"at most {show_time(limit, down=True)}",
        found=found,
        file=backup.file,
        line=line,
        because=asked.because,
        remedy="" if verdict is Verdict.MET else _remedy(asked, verdict, best),
        owner="lab" if limit is None else "IT",
        why=why,
        binding=not asked.after,
    )


def _none_left(asked: _Objective) -> str:
    """What is found where no destination takes part."""
    return f"no {'off-site ' if asked.after else ''}destination counts as a copy"


def _remedy(asked: _Objective, verdict: Verdict, best: Judged | None) -> str:
    if verdict is Verdict.UNVERIFIED:
        return "Fill in what is blank, or time a copy, and plan again."
    if best is None:
        return "Add a destination that counts as a copy; for the loss of the site, one off-site."
    longest = best.times.end or best.times.first or best.times.least
    at_least = f" (at least {show_time(longest)})" if longest else ""
    return f"{asked.remedy}{at_least}."


# -- windows


def window_findings(backup: Backup, routes: tuple[Route, ...]) -> tuple[Finding, ...]:
    """Whether the longest copy to each destination fits the window."""
    return tuple(_window(backup, route) for route in routes)


def _window(backup: Backup, route: Route) -> Finding:
    window, later, line = backup.window, "", backup.line_of("window")
    if window is None:
        verdict, why, required = Verdict.UNVERIFIED, blank("backup.window"), "not said"
    else:
        verdict, why = held(window.seconds, route.job, route.missing)
        line = (verdict is Verdict.UNVERIFIED and route.line) or line
        later = later_words(window.seconds, route.job)
        required = f"at most {show_time(window.seconds)}, {window.shown()}"
    remedy = "Widen the window, use a faster link, or make fulls less often."
    if verdict is Verdict.UNVERIFIED:
        remedy = "Fill in what is blank, or time a copy, and plan again."
    return finding(
        "backup",
        f"window[{route.destination.id}]",
        f"Longest copy to {route.name} in its window",
        verdict,
        required=required,
        found=time_words(route.job, _is_measured(route)) + later,
        file=backup.file,
        line=line,
        because="A copy that still runs when acquisition begins slows it, and may miss files in use.",
        remedy="" if verdict is Verdict.MET else remedy,
        owner="IT",
        why=why,
    )


# -- space


def space_findings(
    backup: Backup, data: Data, routes: tuple[Route, ...], ahead: Horizon
) -> tuple[Finding, ...]:
    """Whether each destination holds the rotation."""
    least = ahead.least(data)
    return tuple(_space(backup, route, ahead, least) for route in routes)


def full_day(route: Route, ahead: Horizon) -> int | None:
    """The last day on which the rotation fits, at most the last one looked at; -1 for none."""
    capacity = route.destination.capacity
    if route.space is None or capacity is None:
        return None
    return route.space.last_day(capacity, ahead.far())


def _space(backup: Backup, route: Route, ahead: Horizon, least: str) -> Finding:
    capacity, last = route.destination.capacity, full_day(route, ahead)
    verdict, why = Verdict.UNVERIFIED, "; ".join(route.missing_space)
    found = "not known" if capacity is None else f"{size_text(capacity, down=True)}"
    required = f"room for all copies {least}"
    if route.space is not None:
        year = size_text(route.space.at(ahead.first))
        required = f"at least {year} {least}"
        if ahead.end is not None and ahead.longer():
            required += f", better {size_text(route.space.at(ahead.end))} for the retention"
    if last is not None:
        verdict, why = _room(last, ahead)
        if verdict in (Verdict.UNMET, Verdict.MARGINAL):
            full = (
                "too small for the first copies"
                if last < 0
                else f"enough until {ahead.day(last).isoformat()}"
            )
            found = f"{found}, {full}"
    return finding(
        "backup",
        f"space[{route.destination.id}]",
        f"Space at {route.name}",
        verdict,
        required=required,
        found=found,
        file=backup.file,
        line=route.destination.line_of("capacity"),
        because="A copy that finds no space is not made, often without a word.",
        remedy="" if verdict is Verdict.MET else _space_remedy(verdict),
        owner="IT",
        why=why,
    )


def _room(last: int, ahead: Horizon) -> tuple[Verdict, str]:
    if last < ahead.first:
        return Verdict.UNMET, ""
    if ahead.end is None:
        return Verdict.UNVERIFIED, blank("data.retention")
    return (Verdict.MET if last >= ahead.end else Verdict.MARGINAL), ""


def _space_remedy(verdict: Verdict) -> str:
    if verdict is Verdict.UNVERIFIED:
        return "Fill in what is blank, and plan again."
    return "Provide more capacity by then, keep fewer copies, or move old data out of the fulls."


# -- retention


def retention_finding(
    backup: Backup, data: Data, routes: tuple[Route, ...], lasts: int | None, ahead: Horizon
) -> Finding:
    """Whether raw data can be restored as long as it must be kept.

    What is deleted from the PC is only in the oldest copies. So either these reach back as far as
    the retention, and data stays on the PC until the next of them, or nothing may be deleted. What
    is moved to an archive is moved between two such copies, and is in none that is kept for years:
    it lasts by the archive's own copies, which are none of this plan's.

    Args:
        backup: For the yearly and monthly copies.
        routes: To every destination that may count.
        data: For the retention.
        lasts: The most days after which data still fits on the PC; None where that is not known.
        ahead: How far ahead is looked.
    """
    names = [f"data.{key}" for key in ("retention",) if data.retention is None]
    names += [f"backup.{key}" for key in ("monthly", "yearly") if getattr(backup, key) is None]
    names += ["backup.destinations"] * (not backup.destinations)
    verdict, why, found = Verdict.UNVERIFIED, "; ".join(blank(name) for name in names), "not known"
    if not names and not routes:
        verdict, found = Verdict.UNMET, "no destination counts as a copy"
    elif not names:
        verdict, why, found = _reach(backup, visible(data.archive, 80), lasts, ahead)
    return finding(
        "backup",
        "retention",
        "Raw data restorable as long as it is kept",
        verdict,
        required=f"for {data.retention.shown()}" if data.retention else "as long as the retention",
        found=found,
        file=backup.file,
        line=backup.line_of("yearly"),
        because="What is deleted from the PC is only in the oldest copies.",
        remedy=""
        if verdict is Verdict.MET
        else "Keep a yearly copy for each year of the retention, or move data to an archive.",
        owner="lab",
        why=why,
    )


def _reach(backup: Backup, archive: str, lasts: int | None, ahead: Horizon) -> tuple[Verdict, str, str]:
    assert backup.monthly is not None and backup.yearly is not None and ahead.end is not None
    back = Term(months=max(backup.monthly, backup.yearly * 12))
    found = f"copies reach back {back.shown()}" if back.months else "no copy is kept that long"
    reaches = back.after(ahead.start) >= ahead.day(ahead.end)
    if archive:
        moved = "what was moved away between two copies is" if reaches else "longer"
        return Verdict.MARGINAL, "", f"{found}; {moved} only in {archive}, which needs copies of its own"
    if lasts is None:
        return Verdict.UNVERIFIED, "whether the PC itself can hold all data that long is not known", found
    between = LONGEST["month"] if backup.monthly >= backup.yearly * 12 else _YEAR
    until = ahead.day(max(lasts, 0)).isoformat()
    if reaches and lasts < min(between, ahead.end):
        return Verdict.UNMET, "", f"{found}, and the PC has room until {until}, before the next of them"
    if reaches:
        return Verdict.MET, "", found
    if lasts < ahead.end:
        return Verdict.UNMET, "", f"{found}, and the PC has room until {until}"
    return Verdict.MARGINAL, "", f"{found}; longer only what is never deleted from the PC"
