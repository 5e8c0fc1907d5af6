"""What a probe is: a function that asks the OS about some readings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from pcaudit.core.snapshot import Observation

Observations = Mapping[str, Observation]


class Probe(NamedTuple):
    """One probe.

    Attributes:
        name: For messages and timings.
        reads: Names of the readings it gives; where it raises, hangs or leaves one out, the
            runner makes that reading unknown and says why.
        take: Asks the OS. May raise anything; has ``deadline`` seconds.
        deadline: Seconds after which the runner stops waiting.
    """

    name: str
    reads: tuple[str, ...]
    take: Callable[[], Observations]
    deadline: float = 5.0


class Timing(NamedTuple):
    """How long one probe took.

    Attributes:
        name: Of the probe.
        seconds: From its start to its answer; probes run side by side, so these do not add up.
        problem: What went wrong with it, if anything.
        reads: Names of the readings it gave.
    """

    name: str
    seconds: float
    problem: str = ""
    reads: tuple[str, ...] = ()
