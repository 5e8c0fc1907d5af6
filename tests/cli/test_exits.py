"""Exit codes, and which stream says what."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from pathlib import Path

import pytest

from pcaudit.cli import main
from tests.cli.program import (
    BLIND,
    FIT,
    LINUX,
    PROGRAM,
    SMALL,
    TIRED,
    TOP,
    WORKSTATION,
    environ,
    heed_interrupts,
    pcaudit,
    refused,
)


@pytest.mark.parametrize(
    ("profile", "snapshot", "code", "outcome"),
    [
        (WORKSTATION, FIT, 0, "READY: CDS-0007"),
        (SMALL, LINUX, 0, "READY: balance-2"),
        (WORKSTATION, TIRED, 3, "NOT READY: LAB2-ALTPLATZ-03"),
        (WORKSTATION, BLIND, 4, "INCONCLUSIVE: CDS-0012"),
    ],
)
def test_the_exit_code_is_the_outcome(profile: str, snapshot: str, code: int, outcome: str) -> None:
    """Ready ends with 0, not ready with 3, inconclusive with 4; the first line says the same."""
    done = pcaudit("assess", profile, snapshot)
    assert (done.code, done.err) == (code, "")
    assert done.out.splitlines()[0] == outcome


@pytest.mark.parametrize(
    "arguments", [("--version",), ("--help",), ("assess", "--help"), ("readings",), ("probe", "--help")]
)
def test_what_is_asked_for_goes_to_standard_output(arguments: tuple[str, ...]) -> None:
    """Help, version and lists are results: exit 0, nothing on standard error."""
    done = pcaudit(*arguments)
    assert (done.code, done.err) == (0, "")
    assert done.out.strip()


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (("frobnicate",), "frobnicate"),
        (("assess",), "PROFILE"),
        (("assess", WORKSTATION, FIT, "extra"), "extra"),
        (("assess", WORKSTATION, "--nonsense"), "--nonsense"),
        (("profile", "validate"), "PROFILE"),
    ],
)
def test_wrong_use_of_the_command_line(arguments: tuple[str, ...], word: str) -> None:
    """A command line that cannot be understood is exit 2, and says on standard error what is wrong."""
    done = pcaudit(*arguments)
    assert (done.code, done.out) == (2, "")
    assert word in done.err and "Traceback" not in done.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--format", "xml"), ("'xml'", "formats: text, json")),
        (("--on", "2026-02-30"), ("--on '2026-02-30' is no day", "2026-11-25")),
        (("--on", "20261207"), ("'20261207' is no day",)),
        (("--on", "2026-W49-1"), ("'2026-W49-1' is no day",)),
        (("--as-of", "tomorrow"), ("--as-of 'tomorrow' is no day",)),
        (("--on", ""), ("--on '' is no day",)),
        (("--output", ""), ("file name is empty",)),
    ],
)
def test_options_that_mean_nothing(arguments: tuple[str, ...], words: tuple[str, ...]) -> None:
    """An option's value that means nothing is refused with what would be right."""
    refused(pcaudit("assess", WORKSTATION, FIT, *arguments), *words)


def test_an_empty_snapshot_name_does_not_probe_this_pc() -> None:
    """An empty name, from a variable nobody set, is refused: this PC is not the one meant."""
    refused(pcaudit("assess", WORKSTATION, ""), "file name is empty")


def test_swapped_arguments_are_told() -> None:
    """A snapshot where the profile belongs is refused with the order of the two."""
    refused(pcaudit("assess", FIT, WORKSTATION), "is JSON", "pcaudit assess PROFILE SNAPSHOT")


def test_standard_input_serves_one_file() -> None:
    """Profile and snapshot cannot both come from standard input."""
    refused(pcaudit("assess", "-", "-"), "standard input cannot be several files")


@pytest.mark.parametrize(
    ("name", "words"),
    [("memory.instaled", "`memory.installed`"), ("x", "pcaudit readings"), ("", "pcaudit readings")],
)
def test_a_reading_that_does_not_exist(name: str, words: str) -> None:
    """An unknown reading is refused, with the closest one or where all are listed."""
    refused(pcaudit("readings", name), f"no reading '{name}'", words)


def test_a_fault_of_the_tool_is_never_an_outcome(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """A fault of the program itself is exit 1 and one line that says how to report it."""

    def broken(*_arguments: object, **_options: object) -> None:
        raise ZeroDivisionError("one\n\x1b[31mtwo")

    monkeypatch.setattr("pcaudit.app.assess", broken)
    code = main.run(["assess", WORKSTATION, FIT])
    out, err = capfd.readouterr()
    assert (code, out) == (1, "")
    assert err.count("\n") == 1 and "\x1b" not in err
    assert "fault of its own, not of this PC" in err and "Please report this line" in err
    assert "ZeroDivisionError" in err and "test_exits.py:" in err


@pytest.mark.parametrize("command", ["probe", "readings", "profile"])
def test_every_command_turns_faults_into_one_line(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], command: str
) -> None:
    """Whichever command has the fault, the exit code is 1 and no trace is shown."""

    def broken(*_arguments: object) -> None:
        raise RecursionError

    for name in ("take_snapshot", "load_snapshot", "load_profile"):
        monkeypatch.setattr(f"pcaudit.app.{name}", broken)
    arguments = {"probe": [], "readings": ["--snapshot", FIT], "profile": ["validate", SMALL]}[command]
    assert main.run([command, *arguments]) == 1
    out, err = capfd.readouterr()
    assert out == "" and err.count("\n") == 1 and "Please report this line" in err


def test_an_interruption_is_130(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    """Ctrl-C while a command works ends it with 130 and says nothing."""

    def interrupted(*_arguments: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("pcaudit.app.take_snapshot", interrupted)
    assert main.run(["probe"]) == 130
    assert capfd.readouterr() == ("", "")


@pytest.mark.skipif(os.name == "nt", reason="needs POSIX signals")
def test_ctrl_c_ends_the_real_program(tmp_path: Path) -> None:
    """Ctrl-C ends the program while it waits for a pipe: 130 (128 + SIGINT), and not a word."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    process = subprocess.Popen(
        [*PROGRAM, "assess", str(pipe), FIT],
        cwd=TOP,
        env=environ(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=heed_interrupts,
    )
    descriptor = _writer(str(pipe))
    try:
        _waiting(process.pid)
        process.send_signal(signal.SIGINT)
        assert process.communicate(timeout=60) == (b"", b"")
        assert process.returncode == 130
    finally:
        os.close(descriptor)


def _waiting(pid: int) -> None:
    """Return when a process has slept for a while: an interrupted import may say a word of its own."""
    asleep = 0
    until = time.monotonic() + 30
    while asleep < 4 and time.monotonic() < until:
        time.sleep(0.05)
        state = Path(f"/proc/{pid}/stat")
        asleep = asleep + 1 if not state.exists() or " S " in state.read_text() else 0


def _writer(pipe: str) -> int:
    """Open a pipe for writing as soon as the program reads from it."""
    until = time.monotonic() + 30
    while True:
        try:
            return os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
        except OSError:  # nobody reads yet
            if time.monotonic() > until:
                raise
        time.sleep(0.01)
