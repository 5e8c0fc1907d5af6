"""Runs probes, each under its deadline, side by side where one is slow, and makes a snapshot of it all.

A probe that raises, hangs or answers rubbish costs its own readings only. Threads are daemon
threads started by hand: the executors of ``concurrent.futures`` wait at exit for a stuck one.
"""

from __future__ import annotations

import math
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from pcaudit.core.catalogue import CATALOGUE, Property, Reading, Type
from pcaudit.core.snapshot import Form, Observation, Snapshot, unknown, value_problem
from pcaudit.core.units import NEVER
from pcaudit.probes.interface import Observations, Probe, Timing

NOT_READ = "not read on this operating system by this version"
_PATIENCE = 0.1
"""Seconds a probe may keep those behind it waiting before they are asked beside it."""
_LONGEST_MESSAGE = 200
_NUMERIC = (Type.INTEGER, Type.NUMBER, Type.QUANTITY, Type.DURATION)


class _Run:
    """One probe. ``answer`` stays None until it has answered, ``began`` until it is asked."""

    def __init__(self, probe: Probe) -> None:
        self.probe = probe
        self.began: float | None = None
        self.answer: tuple[Any, str, float] | None = None

    def take(self) -> None:
        """Ask it, whatever comes of that."""
        # Its own clock starts here: a probe is not charged for those before it.
        self.began = began = time.monotonic()
        given: Any = None
        problem = ""
        try:
            given = self.probe.take()
        except BaseException as error:  # even SystemExit ends this probe only
            problem = _failure(self.probe, error)
        self.answer = (given, problem, time.monotonic() - began)

    def age(self) -> float:
        """Seconds since it was asked."""
        return 0.0 if self.began is None else time.monotonic() - self.began

    def over(self) -> bool:
        """Whether it has answered, or its time is up."""
        return self.answer is not None or self.age() >= self.probe.deadline

    def outcome(self) -> tuple[Any, str, float]:
        """What the probe gave, what went wrong, and the seconds it took."""
        deadline = self.probe.deadline
        answer = self.answer
        if answer is None or answer[2] > deadline:
            problem = f"the probe of {self.probe.name} gave no answer within {deadline:g} s"
            return None, problem, deadline
        return answer


class _Crew:
    """Threads that take one probe after the other, as many as it needs for none to wait long.

    Most probes answer within a few milliseconds, and a thread costs as much as such a probe: one does them
    all, unless one of them is slow.
    """

    def __init__(self, runs: Sequence[_Run]) -> None:
        self.runs = runs
        self.waiting = deque(runs)
        self.threads = 0
        self.moved = threading.Event()

    def _work(self) -> None:
        while self.waiting:
            try:
                run = self.waiting.popleft()
            except IndexError:  # another thread took the last one
                break
            run.take()
        self.moved.set()

    def _enlarge(self) -> None:
        """Twice as many threads, or one."""
        for _ in range(min(max(self.threads, 1), len(self.waiting))):
            thread = threading.Thread(target=self._work, name="probes", daemon=True)
            try:
                thread.start()
            except RuntimeError as error:  # the system gives no more threads
                self._do_without(error)
                return
            self.threads += 1

    def _do_without(self, error: RuntimeError) -> None:
        """Nobody may come to ask those that wait; whoever does finds none."""
        while self.waiting:
            run = self.waiting.popleft()
            run.answer = (None, _failure(run.probe, error), 0.0)

    def finish(self) -> None:
        """Have every probe asked, and wait until each has answered or its time is up."""
        self._enlarge()
        while left := [run for run in self.runs if not run.over()]:
            # One whose time is up holds its thread all the same, and nobody else comes for those behind it.
            if self.waiting and any(run.answer is None and run.age() >= _PATIENCE for run in self.runs):
                self._enlarge()
            until = min(run.probe.deadline - run.age() for run in left)
            self.moved.wait(min(until, _PATIENCE) if self.waiting else until)
            self.moved.clear()


def _failure(probe: Probe, error: BaseException) -> str:
    if isinstance(error, PermissionError):
        return "needs administrator rights"
    try:
        message = f"{type(error).__name__}: {error}"
    except Exception:  # an exception whose text raises
        message = type(error).__name__
    return f"the probe of {probe.name} failed: {message}"[:_LONGEST_MESSAGE]


def _problem(value: Any, spec: Property) -> str:
    if isinstance(value, float) and not math.isfinite(value):
        return f"{value} is no number"
    return value_problem(value, spec)


def _items(items: list[dict[str, Any]], record: Reading) -> list[dict[str, Any]]:
    """Items with the keys the catalogue knows; a value of the wrong type becomes unknown."""
    specs = record.items
    return [
        {
            key: None if value is None or _problem(value, specs[key]) else value
            for key, value in item.items()
            if key in specs
        }
        for item in items
    ]


def _known(given: Observation, record: Reading) -> Observation:
    problem = _problem(given.value, record.value)
    if problem:
        return unknown(f"what was read cannot be used: {problem}")
    if record.value.type is Type.LIST:
        return given._replace(value=_items(given.value, record))
    return given


def _bound(given: Observation, record: Reading) -> Observation:
    if record.value.type not in _NUMERIC or given.value == NEVER:
        return unknown("what was read cannot be used: it is no lower bound")
    problem = _problem(given.value, record.value)
    return unknown(f"what was read cannot be used: {problem}") if problem else given


def _checked(given: Any, record: Reading, probe: Probe) -> Observation:
    """The observation as it was given, or why it cannot be used."""
    if not isinstance(given, Observation):
        return unknown(f"the probe of {probe.name} gave no usable answer: {type(given).__name__}")
    parts: tuple[Any, ...] = (given.form, given.source, given.why)
    if not all(map(isinstance, parts, (Form, str, str))):
        return unknown(f"the probe of {probe.name} gave no usable answer: a malformed observation")
    if given.form is Form.KNOWN:
        return _known(given, record)
    if given.form is Form.AT_LEAST:
        return _bound(given, record)
    if not given.why:
        return unknown(f"the probe of {probe.name} gave no reason")
    return given


def _named(probe: Probe) -> Iterator[Reading]:
    for name in probe.reads:
        record = CATALOGUE.get(name)
        if record is not None and not record.derived:
            yield record


def _observations(probe: Probe, given: Any, problem: str) -> tuple[Observations, str]:
    """Every reading the probe promised, and what is wrong with its answer."""
    if not problem and not isinstance(given, Mapping):
        problem = f"the probe of {probe.name} gave no usable answer: {type(given).__name__}"
    if problem:
        return {record.name: unknown(problem) for record in _named(probe)}, problem
    out = {}
    for record in _named(probe):
        if record.name in given:
            out[record.name] = _checked(given[record.name], record, probe)
        else:
            problem = f"the probe of {probe.name} left out {record.name}"
            out[record.name] = unknown(problem)
    extra = sorted(str(name) for name in given if name not in out)
    if extra:
        problem = f"the probe of {probe.name} gave what it did not promise: {', '.join(extra)}"
    return out, problem[:_LONGEST_MESSAGE]


def run(
    probes: Sequence[Probe], tool_version: str, now: Callable[[], datetime]
) -> tuple[Snapshot, tuple[Timing, ...]]:
    """Take a snapshot.

    Args:
        probes: What to run. Where two promise the same reading, the first one's counts.
        tool_version: Version of pcaudit, for the snapshot.
        now: The present moment, with a time zone.

    Returns:
        The snapshot, in which every observed reading of the catalogue has an observation, in the
        catalogue's order; and the time each probe took. Hardly later than the longest deadline; a
        probe that is stuck then stays behind in its daemon thread.
    """
    taken_at = now().astimezone(UTC).isoformat(timespec="seconds")
    runs = [_Run(probe) for probe in probes]
    _Crew(runs).finish()
    found: dict[str, Observation] = {}
    timings = []
    for each in runs:
        given, problem, seconds = each.outcome()
        observations, problem = _observations(each.probe, given, problem)
        timings.append(Timing(each.probe.name, seconds, problem, tuple(observations)))
        for name, observation in observations.items():
            found.setdefault(name, observation)
    readings = {
        name: found.get(name) or unknown(NOT_READ) for name, record in CATALOGUE.items() if not record.derived
    }
    return Snapshot(taken_at, tool_version, readings), tuple(timings)
