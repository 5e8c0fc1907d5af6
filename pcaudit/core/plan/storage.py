"""When acquired data fills its volume, and what capacity would last as long as data must be kept."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from math import ceil
from typing import Final, NamedTuple

from pcaudit.core.derive import Readings
from pcaudit.core.plan.contents import daily_amount, missing_growth
from pcaudit.core.plan.growth import Growth
from pcaudit.core.plan.horizon import Horizon, horizon
from pcaudit.core.plan.section import Curve, Figure, Section, finding
from pcaudit.core.plan.size_words import size_text
from pcaudit.core.plan.volume import Volume, blank, find_volume
from pcaudit.core.report import Finding, Verdict
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.data import Data

_NAME: Final = "storage"
_TITLE: Final = "Storage forecast"
_POINTS: Final = 40
_VERY_LONG: Final = 100 * 366
_WEEK: Final = 7
_NOTE: Final = (
    "Counted as if nothing were deleted or moved away, and as if the days with runs came first in each week."
)


class _Known(NamedTuple):
    """Everything the forecast needs.

    Attributes:
        growth: Of what lies on the volume.
        size: Bytes of the volume.
        share: Share of it that is the reserve.
        limit: Most bytes on it that leave the reserve free.
        last: The most days after which they still do.
    """

    growth: Growth
    size: int
    share: Fraction
    limit: int
    last: int

    def capacity(self, days: int) -> int:
        """Size of a volume on which everything fits beside its reserve after so many days."""
        return ceil(self.growth.at(days) / (1 - self.share))


def storage_section(
    data: Data, readings: Readings | None, on: date, as_of: date, begins: date | None = None
) -> Section:
    """Forecast when the data volume reaches its reserve.

    Args:
        data: What the worksheet says of the data.
        readings: Of the PC; None without a snapshot.
        on: The day judged for.
        as_of: The day work counts from.
        begins: The day of the first run; without it ``as_of``.
    """
    if not data.asked:
        return Section(_NAME, _TITLE, not_asked=("[data]: what is acquired, and how long it is kept",))
    volume = find_volume(data, readings)
    missing = _missing(data, volume)
    ahead = horizon(data, on, as_of, begins)
    known = None if missing else _known(data, volume)
    return Section(
        _NAME,
        _TITLE,
        findings=(_finding(data, volume, known, ahead, missing),),
        figures=(*_growth_figures(data, ahead), *(_volume_figures(known, ahead) if known else ())),
        curves=(_curve(volume, known, ahead),) if known else (),
        notes=(_NOTE, f"Data is counted as growing from {ahead.start.isoformat()}.", *_notes(data, volume)),
    )


def _missing(data: Data, volume: Volume) -> tuple[str, ...]:
    reserve = "" if data.reserve is not None else blank("data.reserve")
    reasons = (*missing_growth(data), volume.why, reserve)
    return tuple(reason for reason in reasons if reason)


def _known(data: Data, volume: Volume) -> _Known:
    daily, days, share = daily_amount(data), data.days_per_week, data.reserve
    used, free, size = volume.used, volume.free, volume.size
    assert daily is not None and days is not None and share is not None
    assert used is not None and free is not None and size is not None
    growth = Growth(used, daily, days)
    limit = used + free - ceil(size * share)
    return _Known(growth, size, share, limit, growth.last_day(limit))


def lasts(data: Data, volume: Volume) -> int | None:
    """The most days after which data still fits beside the reserve; None where that is not known."""
    return None if _missing(data, volume) else _known(data, volume).last


def _notes(data: Data, volume: Volume) -> tuple[str, ...]:
    notes = []
    if data.used is not None and volume.source == "the snapshot":
        notes.append("The space taken is the snapshot's; data.used was not needed.")
    if data.capacity is not None and volume.sized:
        notes.append("The size of the volume is the snapshot's; data.capacity was not needed.")
    return tuple(notes)


def percent(share: Fraction) -> str:
    """A share for a person: ``"15 %"``."""
    return f"{float(share * 100):g} %"


# -- findings


def _verdict(known: _Known, ahead: Horizon, archive: str) -> tuple[Verdict, str]:
    least = min(_WEEK, ahead.first) if archive else ahead.first
    if known.last < least:
        return Verdict.UNMET, ""
    if known.last < ahead.first:
        return Verdict.MARGINAL, ""
    if ahead.end is None:
        return Verdict.UNVERIFIED, blank("data.retention")
    return (Verdict.MET if known.last >= ahead.end else Verdict.MARGINAL), ""


def _found(known: _Known, ahead: Horizon) -> str:
    if known.last < 0:
        return "the reserve is taken before the first run"
    if ahead.end is not None and known.last >= ahead.end:
        return f"data fits beyond {ahead.day(ahead.end).isoformat()}"
    if known.last > _VERY_LONG:
        return "data fits for more than 100 years"
    return f"data fits until {ahead.day(known.last).isoformat()}, then takes the reserve"


def _finding(
    data: Data, volume: Volume, known: _Known | None, ahead: Horizon, missing: tuple[str, ...]
) -> Finding:
    archive = visible(data.archive, 80)
    verdict, why = _verdict(known, ahead, archive) if known else (Verdict.UNVERIFIED, "; ".join(missing))
    reserve = "a reserve" if data.reserve is None else f"a reserve of {percent(data.reserve)}"
    least = "for a week" if archive else ahead.least(data)
    more = archive or ahead.longer()
    kept = f", better for {data.retention.shown()}" if data.retention and more else ""
    return finding(
        _NAME,
        "reserve",
        f"Room on {volume.name} for acquired data",
        verdict,
        required=f"{reserve} stays free {least}{kept}",
        found=_found(known, ahead) if known else "not known",
        file=data.file,
        line=data.line_of("reserve"),
        because="A run that finds no space is lost.",
        remedy=_remedy(verdict, known, ahead, archive) if known else _fill_in(volume),
        owner="IT",
        why=why,
    )


def _fill_in(volume: Volume) -> str:
    if volume.misnamed:
        return "Write `volume` in [data] as the snapshot has it, or fill in what the worksheet leaves blank."
    given = "" if volume.snapshot else ", or give a snapshot of the PC"
    return f"Fill in what the worksheet leaves blank{given}."


def _remedy(verdict: Verdict, known: _Known, ahead: Horizon, archive: str) -> str:
    if verdict is Verdict.MET:
        return ""
    if verdict is Verdict.UNVERIFIED:
        return "Fill in what the worksheet leaves blank."
    by = ahead.day(max(known.last, 0)).isoformat()
    larger = ""
    if ahead.end is not None:
        larger = f", or fit a volume of at least {size_text(known.capacity(ahead.end))}"
    to = f"to {archive}" if archive else "elsewhere (write where as `archive`)"
    return f"By {by}, move data that is in two copies {to}{larger}."


# -- figures


def _growth_figures(data: Data, ahead: Horizon) -> tuple[Figure, ...]:
    daily = daily_amount(data)
    if daily is None or data.days_per_week is None or data.per_run is None or data.runs_per_day is None:
        return ()
    growth = Growth(0, daily, data.days_per_week)
    runs, days = f"{float(data.runs_per_day):g}", f"{float(data.days_per_week):g}"
    figures = [
        Figure(
            "storage.daily",
            "Data of a day with runs",
            daily,
            "bytes",
            size_text(daily),
            "per run x runs per day",
            (("per run", size_text(data.per_run)), ("runs per day", runs)),
        ),
        Figure(
            "storage.weekly",
            "Data of a week",
            growth.weekly(),
            "bytes",
            size_text(growth.weekly()),
            "per run x runs per day x days per week",
            (("per run", size_text(data.per_run)), ("runs per day", runs), ("days per week", days)),
        ),
    ]
    if ahead.end is not None and data.retention is not None:
        total = growth.at(ahead.end)
        weeks, rest = divmod(ahead.end, 7)
        inputs = (
            ("day", size_text(daily)),
            ("weeks", str(weeks)),
            ("days per week", days),
            ("rest", f"{rest} days"),
        )
        figures.append(
            Figure(
                "storage.retention",
                f"Data acquired within the retention of {data.retention.shown()}",
                total,
                "bytes",
                size_text(total),
                "day x (weeks x days per week + least of rest and days per week)",
                inputs,
            )
        )
    return tuple(figures)


def _lasts(known: _Known, ahead: Horizon) -> str:
    if known.last < 0:
        return "not at all"
    if known.last > _VERY_LONG:
        return "more than 100 years"
    return f"{known.last} days, until {ahead.day(known.last).isoformat()}"


def _volume_figures(known: _Known, ahead: Horizon) -> tuple[Figure, ...]:
    room = known.limit - known.growth.base
    figures = [
        Figure(
            "storage.lasts",
            "How long data fits beside the reserve",
            known.last if known.last >= 0 else 0,
            "d",
            _lasts(known, ahead),
            "weeks = (free - reserve x size) / week, whole; then days with runs as they fit",
            (
                ("free - reserve x size", size_text(room, down=True) if room >= 0 else "less than nothing"),
                ("reserve", percent(known.share)),
                ("size", size_text(known.size, down=True)),
                ("week", size_text(known.growth.weekly())),
            ),
        )
    ]
    if ahead.end is not None:
        needed = known.capacity(ahead.end)
        figures.append(
            Figure(
                "storage.capacity",
                "Volume that would last the retention",
                needed,
                "bytes",
                size_text(needed),
                "(used + acquired within the retention) / (1 - reserve)",
                (
                    ("used", size_text(known.growth.base)),
                    (
                        "acquired within the retention",
                        size_text(known.growth.at(ahead.end) - known.growth.base),
                    ),
                    ("reserve", percent(known.share)),
                ),
                note="nothing is deleted or moved away",
            )
        )
    return tuple(figures)


def _curve(volume: Volume, known: _Known, ahead: Horizon) -> Curve:
    far = ahead.far()
    step = max(-(-far // _POINTS), 1)
    days = [*range(0, far, step), far]
    return Curve(
        f"Space taken on {volume.name}",
        "bytes",
        tuple((ahead.day(day).isoformat(), float(known.growth.at(day))) for day in days),
        (("reserve reached", float(known.limit)), ("size of the volume", float(known.size))),
    )
