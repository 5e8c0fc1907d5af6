"""What a backup must hold, and how it grows."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Final, NamedTuple

from pcaudit.core.derive import Readings
from pcaudit.core.plan.growth import Growth
from pcaudit.core.plan.rotation import Change
from pcaudit.core.plan.volume import Volume, blank, find_volume
from pcaudit.core.snapshot import Form
from pcaudit.core.worksheet.backup import Backup
from pcaudit.core.worksheet.data import Data

_GROWTH_KEYS: Final = ("per_run", "runs_per_day", "days_per_week")


class Part(NamedTuple):
    """One part of what a backup must hold.

    Attributes:
        title: What it is.
        size: Bytes at the start; None where that is not known.
        basis: Where the size comes from; why it is not known, where it is not.
        inside: In what it is counted, where it is not counted here.
    """

    title: str
    size: int | None
    basis: str
    inside: str = ""


class Contents(NamedTuple):
    """What a backup must hold.

    Attributes:
        acquired: Acquired data.
        configuration: Methods, sequences, results database, licence files.
        image: Operating system, programs, settings.
        volume: The volume acquired data lies on.
        daily: Bytes of a day with runs; None where a key for it is blank.
        missing: Why the size of a full, or its growth, is not known; empty where it is.
        missing_change: Why the size of a copy between fulls is not known.
        full, change: As they are on the PC; None where they are not known.
        stored_full, stored_change: The same, with acquired data compressed.
    """

    acquired: Part
    configuration: Part
    image: Part
    volume: Volume
    daily: int | None
    missing: tuple[str, ...]
    missing_change: tuple[str, ...]
    full: Growth | None = None
    change: Change | None = None
    stored_full: Growth | None = None
    stored_change: Change | None = None

    @property
    def parts(self) -> tuple[Part, Part, Part]:
        """All parts."""
        return self.acquired, self.configuration, self.image


def daily_amount(data: Data) -> int | None:
    """Bytes of a day with runs, rounded up."""
    if data.per_run is None or data.runs_per_day is None:
        return None
    return ceil(data.per_run * data.runs_per_day)


def missing_growth(data: Data) -> tuple[str, ...]:
    """Why the growth is not known; empty where it is."""
    return tuple(blank(f"data.{key}") for key in _GROWTH_KEYS if getattr(data, key) is None)


def contents(backup: Backup, data: Data, readings: Readings | None) -> Contents:
    """Gather what a backup must hold."""
    volume = find_volume(data, readings)
    acquired = Part("Acquired data", volume.used, volume.why_used or f"space taken by {volume.source}")
    configuration = Part(
        "Methods, sequences, results database, licence files",
        data.configuration,
        "data.configuration" if data.configuration is not None else blank("data.configuration"),
    )
    image = _image(backup, volume, readings)
    missing = (
        *(part.basis for part in (acquired, configuration, image) if part.size is None),
        *missing_growth(data),
    )
    found = Contents(
        acquired, configuration, image, volume, daily_amount(data), missing, _missing_change(data)
    )
    return _with_sizes(found, data)


def _missing_change(data: Data) -> tuple[str, ...]:
    keys = ("configuration", "change_rate")
    return (*missing_growth(data), *(blank(f"data.{key}") for key in keys if getattr(data, key) is None))


def _image(backup: Backup, volume: Volume, readings: Readings | None) -> Part:
    title = "System image (operating system, programs, settings)"
    if backup.image is not None:
        return Part(title, backup.image, "backup.image")
    if volume.system and volume.source == "the snapshot" and volume.used is not None:
        basis = f"{volume.name} is the system volume: counted with the acquired data"
        return Part(title, 0, basis, "in the acquired data")
    used = None if readings is None else readings.get("storage.system_used")
    if used is not None and used.form is Form.KNOWN:
        return Part(title, used.value, "space taken on the system volume, by the snapshot")
    why = "there is no snapshot" if used is None else used.why or "the system volume was not read"
    return Part(title, None, f"{why}, and {blank('backup.image')}")


def _with_sizes(found: Contents, data: Data) -> Contents:
    """The same with everything that can be computed."""
    left = 1 - (data.compressibility or Fraction(0))
    days, daily = data.days_per_week, found.daily
    if days is None or daily is None:
        return found
    stored_daily = ceil(daily * left)
    if not found.missing:
        acquired, configuration, image = (part.size or 0 for part in found.parts)
        found = found._replace(
            full=Growth(acquired + configuration + image, daily, days),
            stored_full=Growth(ceil(acquired * left) + configuration + image, stored_daily, days),
        )
    if data.change_rate is not None and data.configuration is not None:
        rest = (days, data.change_rate, data.configuration)
        found = found._replace(change=Change(daily, *rest), stored_change=Change(stored_daily, *rest))
    return found
