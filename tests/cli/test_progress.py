"""The sign of life while a PC is probed."""

from __future__ import annotations

import io
import sys
import time

import pytest

from pcaudit.cli import progress
from pcaudit.cli.progress import probing
from tests.cli.terminal import at_a_terminal


class _Terminal(io.StringIO):
    """A terminal that keeps what it got."""

    def __init__(self, terminal: bool = True) -> None:
        super().__init__()
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal


def _shown(
    monkeypatch: pytest.MonkeyPatch,
    stream: _Terminal,
    seconds: float,
    quiet: bool = False,
    term: str = "xterm",
) -> str:
    monkeypatch.setattr(progress, "AFTER", 0.05)
    monkeypatch.setattr(progress, "_EVERY", 0.01)
    monkeypatch.setattr(sys, "stderr", stream)
    monkeypatch.setenv("TERM", term)
    with probing(quiet):
        time.sleep(seconds)
    return stream.getvalue()


def test_a_slow_probe_shows_that_something_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """After a moment a line says what is done, and it is taken back before anything else comes."""
    shown = _shown(monkeypatch, _Terminal(), 0.3)
    assert shown.startswith("\rreading this PC ... ")
    *_, blanks, rest = shown.split("\r")
    assert blanks.strip() == "" and len(blanks) >= len("reading this PC ... 0 s")
    assert rest == ""


def test_a_fast_probe_shows_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever does not wait sees nothing."""
    assert _shown(monkeypatch, _Terminal(), 0) == ""


@pytest.mark.parametrize(
    ("terminal", "quiet", "term"), [(False, False, "xterm"), (True, True, "xterm"), (True, False, "dumb")]
)
def test_nothing_is_shown_where_nobody_wants_it(
    monkeypatch: pytest.MonkeyPatch, terminal: bool, quiet: bool, term: str
) -> None:
    """Pipes, --quiet, and terminals that cannot take a line back get nothing, however long it takes."""
    assert _shown(monkeypatch, _Terminal(terminal), 0.2, quiet, term) == ""


def test_the_line_goes_when_probing_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error leaves no half line on the screen."""
    stream = _Terminal()
    monkeypatch.setattr(progress, "AFTER", 0.02)
    monkeypatch.setattr(sys, "stderr", stream)
    monkeypatch.setenv("TERM", "xterm")
    with pytest.raises(RuntimeError), probing(False):
        time.sleep(0.2)
        raise RuntimeError
    assert stream.getvalue().endswith(" \r")


def test_a_terminal_that_goes_away_ends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Probing goes on where nobody can be told of it."""
    stream = _Terminal()

    def fail(_text: str) -> int:
        raise OSError

    monkeypatch.setattr(stream, "write", fail)
    assert _shown(monkeypatch, stream, 0.2) == ""
    stream.close()
    monkeypatch.setattr(sys, "stderr", stream)
    with probing(False):
        pass


def test_no_error_stream_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program started without streams probes as well."""
    monkeypatch.setattr(sys, "stderr", None)
    with probing(False):
        pass


def test_the_result_at_a_terminal_has_no_trace_of_it() -> None:
    """On this PC the summary stands alone, or after the line that was taken back."""
    code, screen = at_a_terminal("probe", changes={"NO_COLOR": "1"})
    assert code == 0
    assert "Snapshot of" in screen.replace("\r", "\n").split("reading this PC")[-1]
