"""The figures of a backup plan, each with its formula and inputs."""

from __future__ import annotations

from fractions import Fraction

from pcaudit.core.plan.contents import Contents
from pcaudit.core.plan.growth import run_days
from pcaudit.core.plan.horizon import Horizon
from pcaudit.core.plan.rotation import Change, Cycle, full_ages, partials_wanted
from pcaudit.core.plan.route import Route, job_bytes, restore_bytes
from pcaudit.core.plan.section import Figure
from pcaudit.core.plan.size_words import size_text
from pcaudit.core.plan.storage import percent
from pcaudit.core.plan.transfer import CAUTIOUS_SHARE, ETHERNET_SOURCE, Rates, seconds, show_time
from pcaudit.core.units import LINK, show
from pcaudit.core.worksheet.data import Data

_BOUND = "a lower bound: disks and protocols are slower"
_CAUTIOUS = "cautious (common practice, no source)"


def figures(data: Data, contents: Contents, routes: tuple[Route, ...], ahead: Horizon) -> tuple[Figure, ...]:
    """All figures: of the data, then of each destination."""
    found = [*_full(data, contents)]
    for route in routes:
        found += _changes(contents, route)
        found += _space(route, ahead)
        found += _times(contents, route, ahead)
        found += _loss(contents, route)
    return tuple(found)


def _full(data: Data, contents: Contents) -> list[Figure]:
    if contents.full is None or contents.stored_full is None:
        return []
    acquired, configuration, image = (part.inside or size_text(part.size or 0) for part in contents.parts)
    inputs = (("acquired", acquired), ("configuration", configuration), ("image", image))
    now = contents.full.base
    found = [
        Figure(
            "backup.full",
            "A full copy at the start",
            now,
            "bytes",
            size_text(now),
            "acquired + configuration + image",
            inputs,
            note="it grows with the acquired data; the rest is taken as constant",
        )
    ]
    if data.compressibility:
        stored = contents.stored_full.base
        saved = ("compressibility", percent(data.compressibility))
        found.append(
            Figure(
                "backup.full_stored",
                "The same, compressed",
                stored,
                "bytes",
                size_text(stored),
                "acquired x (1 - compressibility) + configuration + image",
                (*inputs, saved),
                note="only acquired data is counted as compressible",
            )
        )
    return found


def _changes(contents: Contents, route: Route) -> list[Figure]:
    of, change = route.of, contents.change
    if of is None or change is None or not of.partials:
        return []
    kind = "incremental" if of.chained else "differential"
    formula = "days with runs x day + least of (rate x days, 1) x configuration"
    if of.chained:
        formula = "days with runs x day + copies x least of (rate x interval, 1) x configuration"
    size = change.chain(of)
    return [
        Figure(
            f"backup.{route.destination.id}.changes",
            f"What a restore from {route.name} reads beside the full ({kind})",
            size,
            "bytes",
            size_text(size),
            formula,
            _change_inputs(change, of),
        )
    ]


def _change_inputs(change: Change, of: Cycle) -> tuple[tuple[str, str], ...]:
    days = of.partials * of.interval
    span = (("copies", str(of.partials)), ("interval", f"{of.interval} d"))
    return (
        ("days with runs", f"{float(run_days(days, change.days_per_week)):g} of {days}"),
        ("day", size_text(change.daily)),
        ("rate", percent(change.rate)),
        *(span if of.chained else (("days", str(days)),)),
        ("configuration", size_text(change.changing)),
    )


def _space(route: Route, ahead: Horizon) -> list[Figure]:
    space = route.space
    if space is None:
        return []
    days = ahead.far()
    fulls = [age for age in full_ages(space.of, space.kept) if age <= days]
    inputs = [
        ("fulls", str(len(fulls))),
        ("newest full", size_text(space.full.at(days))),
        ("oldest full", size_text(space.full.at(days - max(fulls)))),
    ]
    if space.of.partials:
        wanted = partials_wanted(space.of, space.kept)
        inputs += [("copies between fulls", f"{wanted} asked"), ("their size", size_text(space.partials()))]
    size = space.at(days)
    end = "the end of the retention" if ahead.end is not None else "a year"
    return [
        Figure(
            f"backup.{route.destination.id}.space",
            f"Space at {route.name} until {end}",
            size,
            "bytes",
            size_text(size),
            "sum over fulls of their size when made + copies between fulls, chains whole",
            tuple(inputs),
            note="just before the oldest copy is dropped, as compressed as the worksheet says",
        )
    ]


def _rate_inputs(route: Route, speeds: Rates) -> tuple[tuple[str, str], ...]:
    if speeds.measured:
        return (("rate", f"{show(float(speeds.fastest), LINK)}, measured"),)
    link = route.destination.link
    assert link is not None
    return (("line rate", show(float(link), LINK)), ("goodput", _share(speeds, route)))


def _share(speeds: Rates, route: Route) -> str:
    if speeds.share == 1:
        return "1: an interface, not Ethernet"
    tag = ", 802.1Q tag" if route.destination.vlan else ""
    share = float(speeds.share * 100)
    return f"{share:.2f} % (MTU {route.destination.mtu}{tag})"


def _times(contents: Contents, route: Route, ahead: Horizon) -> list[Figure]:
    of, speeds = route.of, route.rates
    if of is None or speeds is None or route.job.least is None:
        return []
    found = []
    for name, title, amount in (
        ("transfer", f"Longest copy to {route.name}", job_bytes),
        ("restore", f"Restore from {route.name}", restore_bytes),
    ):
        size = amount(contents, of, ahead.first, not speeds.measured)
        rate = "rate" if speeds.measured else "(line rate x goodput)"
        time = seconds(size, speeds.fastest)
        found.append(
            Figure(
                f"backup.{route.destination.id}.{name}",
                f"{title}, {'at the measured rate' if speeds.measured else 'at least'}",
                float(time),
                "s",
                show_time(time, down=not speeds.measured),
                f"size x 8 / {rate}",
                (("size", size_text(size)), *_rate_inputs(route, speeds)),
                note="within the first year" if speeds.measured else f"within the first year; {_BOUND}",
                source="" if speeds.share == 1 else ETHERNET_SOURCE,
            )
        )
        if speeds.cautious is None or speeds.measured:
            continue
        size = amount(contents, of, ahead.first, False)
        time = seconds(size, speeds.cautious)
        share = f"{float(CAUTIOUS_SHARE):g}"
        found.append(
            Figure(
                f"backup.{route.destination.id}.{name}_cautious",
                f"{title}, cautious",
                float(time),
                "s",
                show_time(time),
                f"size x 8 / least of ({share} x line rate x goodput, 400 Mbit/s)",
                (("size, uncompressed", size_text(size)), *_rate_inputs(route, speeds)),
                note=f"within the first year; {_CAUTIOUS}",
            )
        )
    return found


def _loss(contents: Contents, route: Route) -> list[Figure]:
    of, loss = route.of, route.loss
    if of is None or loss.least is None:
        return []
    time = loss.first if loss.first is not None else loss.least
    job = time - of.interval * 86400
    found = [
        Figure(
            f"backup.{route.destination.id}.loss",
            f"Worst loss with {route.name}",
            float(time),
            "s",
            show_time(time),
            "interval + longest copy",
            (("interval", f"{of.interval} d"), ("longest copy", show_time(job) if job else "not known")),
            note="data acquired just after a copy began is safe once the next one has ended",
        )
    ]
    growth = contents.full
    if growth is not None:
        runs = run_days(of.interval, growth.days_per_week)
        size = -(-Fraction(runs) * growth.daily // 1)
        found.append(
            Figure(
                f"backup.{route.destination.id}.loss_data",
                f"Data acquired between two copies to {route.name}",
                int(size),
                "bytes",
                size_text(int(size)),
                "days with runs within the interval x day",
                (("days with runs", f"{float(runs):g} of {of.interval}"), ("day", size_text(growth.daily))),
                note="days without runs lose nothing; what is acquired while the copy runs comes on top",
            )
        )
    return found
