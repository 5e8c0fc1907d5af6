"""One PC of a survey: what it is, and what it comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.choose import Asked
from pcaudit.core.derive import Knowledge
from pcaudit.core.evaluate import Came
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, from_mapping, read_observation
from pcaudit.core.survey_verdicts import CODES, Verdicts
from pcaudit.core.units import NEVER

UNMET: Final = CODES[Came(Verdict.UNMET, True)]
UNVERIFIED: Final = CODES[Came(Verdict.UNVERIFIED, True)]

NEARLY: Final = 3
"""Most conditions a PC may fall short of for one change to be looked for that mends them all."""


class Place(NamedTuple):
    """Where a snapshot lies.

    Attributes:
        file: Its name for people, with the line where the file has several.
        path: Of the file.
        start, size: Bytes of its line; -1 where it is the whole file.
    """

    file: str
    path: str
    start: int = -1
    size: int = -1


class Pc(NamedTuple):
    """One snapshot, judged.

    Attributes:
        place: Where it lies.
        host_name, model, serial_number: None where not known.
        taken_at: When, RFC 3339.
        codes: Letters of its verdicts, as ``pcaudit.core.survey_verdicts`` has them.
        against: The same by the other profile; empty without one.
        what_if: The same with what is supposed; empty without that.
    """

    place: Place
    host_name: str | None
    model: str | None
    serial_number: str | None
    taken_at: str
    codes: str
    against: str = ""
    what_if: str = ""

    @property
    def near(self) -> bool:
        """Whether one change may do: it falls short of little, and nothing else is open."""
        return 0 < self.codes.count(UNMET) <= NEARLY and UNVERIFIED not in self.codes


class NotRead(NamedTuple):
    """A file, or a line of one, that could not be judged, and why."""

    file: str
    why: str


def supposed(readings: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """Readings as they would be after an upgrade.

    Args:
        readings: As the snapshot's JSON has them.
        values: What is supposed, by reading. An amount replaces only what is less, or not known.
    """
    changed = dict(readings)
    for name, value in values.items():
        seen = read_observation(readings.get(name), CATALOGUE[name])
        has_more = seen.form in (Form.KNOWN, Form.AT_LEAST) and _no_less(seen.value, value)
        if not has_more:
            changed[name] = {"value": value, "source": "what if"}
    return changed


def _no_less(value: Any, than: Any) -> bool:
    """Whether an amount is as much as another, ``never`` being longer than any; false for what is none."""
    numbers = [float("inf") if one == NEVER else one for one in (value, than)]
    if any(isinstance(one, bool) or not isinstance(one, int | float) for one in numbers):
        return False
    return bool(numbers[0] >= numbers[1])


class Surveyor:
    """Judges one snapshot after another.

    Args:
        asked: The profiles, with what was chosen of each.
        against: Another edition to hold the PCs against; None for none.
        values: What is supposed, by reading.
        knowledge: For what follows from observations.
    """

    def __init__(
        self,
        asked: Sequence[Asked],
        against: Sequence[Asked] | None,
        values: Mapping[str, Any],
        knowledge: Knowledge,
    ) -> None:
        self.asked = asked
        self.knowledge = knowledge
        self.verdicts = Verdicts(asked, knowledge)
        self._against = None if against is None else Verdicts(against, knowledge)
        self._values = values

    def judge(self, raw: Any, place: Place) -> Pc:
        """Judge one snapshot.

        Args:
            raw: Its parsed JSON.
            place: Where it lies.

        Raises:
            UsageError: It is no snapshot, or of a newer format.
        """
        readings: dict[str, Any] = raw.get("readings") if isinstance(raw, dict) else None  # type: ignore[assignment]
        bare = isinstance(readings, dict)
        head = from_mapping({**raw, "readings": {}} if bare else raw, place.file)
        version = head.tool_version
        codes = self.verdicts.of(readings, version)
        return Pc(
            place,
            _told(readings, "host_name"),
            _told(readings, "model"),
            _told(readings, "serial_number"),
            head.taken_at,
            codes,
            self._against.of(readings, version) if self._against else "",
            self.verdicts.of(supposed(readings, self._values), version) if self._values else "",
        )


def _told(readings: Mapping[str, Any], key: str) -> str | None:
    name = f"computer.{key}"
    if name not in readings:
        return None
    seen = read_observation(readings[name], CATALOGUE[name])
    return seen.value if seen.form is Form.KNOWN else None
