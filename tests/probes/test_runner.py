"""The runner: one probe's trouble costs that probe's readings only."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.snapshot import Form, Observation, Snapshot, absent, at_least, known, unknown
from pcaudit.probes.interface import Probe, Timing
from pcaudit.probes.runner import NOT_READ, run

_MODEL = "cpu.model"
_THREADS = "cpu.threads"
_GOOD = Probe("good", (_THREADS,), lambda: {_THREADS: known(4, "test")})


def _now() -> datetime:
    return datetime(2026, 11, 25, 10, 0, 0, 999, timezone(timedelta(hours=1)))


def _run(*probes: Probe) -> tuple[Snapshot, tuple[Timing, ...]]:
    return run(probes, "0.1.0", _now)


def _gives(answer: Any, *reads: str, deadline: float = 5.0) -> Probe:
    return Probe("odd", reads or (_MODEL,), lambda: answer, deadline)


def _raises(error: BaseException) -> Probe:
    def take() -> dict[str, Observation]:
        raise error

    return Probe("odd", (_MODEL,), take)


def test_good_answer_is_kept_as_given() -> None:
    """Every form of a good answer reaches the snapshot unchanged."""
    answer = {
        _MODEL: known("Example 5", "test"),
        "memory.installed": at_least(1 << 30, "test", "only usable memory is known"),
        "power.lid_action": absent("no lid"),
        "memory.ecc": unknown("needs administrator rights"),
    }
    snapshot, timings = _run(_gives(answer, *answer))
    assert {name: snapshot.readings[name] for name in answer} == answer
    assert timings[0].problem == ""


def test_every_observed_reading_stands_in_catalogue_order() -> None:
    """The snapshot holds each reading that is not derived, those nobody reads with a reason."""
    snapshot, _ = _run(_GOOD)
    assert list(snapshot.readings) == [name for name, record in CATALOGUE.items() if not record.derived]
    assert snapshot.readings[_MODEL] == unknown(NOT_READ)


def test_moment_is_utc_in_seconds() -> None:
    """The time of a snapshot is written in UTC whatever zone the clock has."""
    snapshot, _ = _run()
    assert snapshot.taken_at == "2026-11-25T09:00:00+00:00"
    assert snapshot.tool_version == "0.1.0"


@pytest.mark.parametrize(
    ("error", "why"),
    [
        (OSError("no such drive"), "the probe of odd failed: OSError: no such drive"),
        (PermissionError(13, "denied"), "needs administrator rights"),
        (SystemExit(3), "the probe of odd failed: SystemExit: 3"),
    ],
)
def test_probe_that_raises_costs_its_own_readings(error: BaseException, why: str) -> None:
    """Whatever a probe raises becomes the reason of its readings, and no other's."""
    snapshot, timings = _run(_raises(error), _GOOD)
    assert snapshot.readings[_MODEL] == unknown(why)
    assert snapshot.readings[_THREADS].value == 4
    assert [timing.problem for timing in timings] == [why, ""]


def test_probe_that_hangs_is_left_behind() -> None:
    """A stuck probe costs its deadline and its own readings; a late answer changes nothing."""
    release = threading.Event()

    def take() -> dict[str, Observation]:
        release.wait()
        return {_MODEL: known("too late", "test")}

    began = time.monotonic()
    snapshot, timings = _run(Probe("stuck", (_MODEL,), take, 0.1), _GOOD)
    took = time.monotonic() - began
    release.set()
    assert took < 2
    why = "the probe of stuck gave no answer within 0.1 s"
    assert snapshot.readings[_MODEL] == unknown(why)
    assert snapshot.readings[_THREADS].value == 4
    assert timings[0] == Timing("stuck", 0.1, why, ("cpu.model",))


@pytest.mark.parametrize("stuck", [1, 5])
def test_who_waits_behind_one_whose_time_is_up_is_asked(stuck: int) -> None:
    """A probe given up before anybody looked, as after a PC slept, keeps no other from being asked."""
    release = threading.Event()

    def take() -> dict[str, Observation]:
        release.wait()
        return {}

    probes = [Probe(f"stuck {number}", (_MODEL,), take, 0.001) for number in range(stuck)]
    taken: list[Snapshot] = []
    thread = threading.Thread(target=lambda: taken.append(_run(*probes, _GOOD)[0]), daemon=True)
    thread.start()
    thread.join(20)
    release.set()
    assert taken and taken[0].readings[_THREADS].value == 4


def test_deadlines_run_side_by_side() -> None:
    """Several stuck probes together cost the longest deadline, not the sum."""
    release = threading.Event()

    def take() -> dict[str, Observation]:
        release.wait()
        return {}

    began = time.monotonic()
    _run(*(Probe(f"stuck {n}", (_MODEL,), take, 0.3) for n in range(6)))
    took = time.monotonic() - began
    release.set()
    assert 0.3 <= took < 1.2


def test_process_ends_while_a_probe_is_stuck() -> None:
    """A stuck probe does not keep the program from ending."""
    program = (
        "import threading\n"
        "from datetime import datetime, timezone\n"
        "from pcaudit.probes.interface import Probe\n"
        "from pcaudit.probes.runner import run\n"
        "stuck = Probe('stuck', ('cpu.model',), threading.Event().wait, 0.1)\n"
        "run([stuck], '0', lambda: datetime.now(timezone.utc))\n"
        "print('done')\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, timeout=20, check=True)
    assert done.stdout.split() == [b"done"]


@pytest.mark.parametrize("answer", [None, 7, "text", ["cpu.model"]])
def test_answer_that_is_no_mapping_is_refused(answer: Any) -> None:
    """A probe that gives something else than readings gives nothing."""
    snapshot, timings = _run(_gives(answer))
    assert snapshot.readings[_MODEL].form is Form.UNKNOWN
    assert "no usable answer" in snapshot.readings[_MODEL].why
    assert timings[0].problem


@pytest.mark.parametrize(
    "rubbish",
    [
        "Example 5",
        None,
        known(5, "test"),
        known("", "test"),
        known(None, "test"),
        Observation(Form.KNOWN, "Example 5", 7),  # type: ignore[arg-type]
        Observation("known", "Example 5", "test"),  # type: ignore[arg-type]
        at_least(5, "test", "why"),
        absent(""),
    ],
)
def test_observation_that_is_rubbish_becomes_unknown(rubbish: Any) -> None:
    """A value of the wrong type, or no observation at all, makes that reading unknown with a reason."""
    snapshot, _ = _run(_gives({_MODEL: rubbish, _THREADS: known(4, "test")}, _MODEL, _THREADS))
    assert snapshot.readings[_MODEL].form is Form.UNKNOWN
    assert snapshot.readings[_MODEL].why
    assert snapshot.readings[_THREADS].value == 4


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True, "4"])
def test_number_that_is_none_becomes_unknown(value: Any) -> None:
    """Not-a-number, infinity, booleans and texts are no numbers, as values and as bounds."""
    clock = "cpu.max_clock"
    for given in (known(value, "test"), at_least(value, "test", "why")):
        snapshot, _ = _run(_gives({clock: given}, clock))
        assert snapshot.readings[clock].form is Form.UNKNOWN


@pytest.mark.parametrize("value", [1 << 70, 10**5000, -(10**5000)], ids=["long", "longer", "negative"])
def test_number_of_any_length_costs_its_own_reading_only(value: int) -> None:
    """A whole number too long for Python to write out makes its reading unknown, not the run fail."""
    clock = "cpu.max_clock"
    for given in (known(value, "test"), at_least(value, "test", "why")):
        snapshot, _ = _run(_gives({clock: given, _MODEL: given}, clock, _MODEL))
        assert snapshot.readings[clock].form is snapshot.readings[_MODEL].form is Form.UNKNOWN
        assert len(snapshot.readings[clock].why) < 200


def test_wrong_value_in_an_item_becomes_unknown_alone() -> None:
    """In a list only the key with the wrong value is lost, and keys nobody knows are dropped."""
    drives = "storage.drives"
    item = {"model": "EX 1", "size": -1, "media": "tape", "bus": "sata", "colour": "red"}
    snapshot, _ = _run(_gives({drives: known([item], "test", missing="x")}, drives))
    kept = {"model": "EX 1", "size": None, "media": None, "bus": "sata"}
    assert snapshot.readings[drives] == known([kept], "test", missing="x")


def test_readings_left_out_or_not_promised_are_named() -> None:
    """A promised reading that is missing is unknown, one that was not promised is not believed."""
    snapshot, timings = _run(_gives({_THREADS: known(4, "test")}))
    assert snapshot.readings[_MODEL] == unknown("the probe of odd left out cpu.model")
    assert snapshot.readings[_THREADS] == unknown(NOT_READ)
    assert timings[0].problem == "the probe of odd gave what it did not promise: cpu.threads"


@pytest.mark.parametrize("name", ["cpu.level", "cpu.colour"])
def test_derived_and_unknown_names_never_enter(name: str) -> None:
    """Derived readings and names outside the catalogue do not get into a snapshot."""
    snapshot, _ = _run(_gives({name: known("x86-64-v2", "test")}, name))
    assert name not in snapshot.readings


def test_first_promise_counts() -> None:
    """Where two probes promise one reading, the first one's answer stands."""
    probes: list[Callable[[], Probe]] = [
        lambda: _gives({_MODEL: known("first", "test")}),
        lambda: _gives({_MODEL: known("second", "test")}),
    ]
    snapshot, _ = _run(*(make() for make in probes))
    assert snapshot.readings[_MODEL].value == "first"
