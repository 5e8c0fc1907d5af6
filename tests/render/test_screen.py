"""What a stream can show."""

from __future__ import annotations

import io

import pytest

from pcaudit.errors import UsageError
from pcaudit.render.interface import FORMATS, PLAIN, TRUE_COLOUR, renderer
from pcaudit.render.screen import screen_of
from tests.render.samples import report


class _Terminal(io.StringIO):
    """A terminal without a window whose size could be asked."""

    def __init__(self, encoding: str = "utf-8") -> None:
        super().__init__()
        self._encoding = encoding

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return self._encoding

    def isatty(self) -> bool:
        return True


def test_files_and_pipes_are_plain() -> None:
    """What is no terminal gets no colours, and 80 columns unless COLUMNS says otherwise."""
    assert screen_of(io.StringIO(), {"COLORTERM": "truecolor"}) == PLAIN
    assert screen_of(io.StringIO(), {"COLORTERM": "truecolor", "COLUMNS": "140"}) == PLAIN._replace(width=140)


def test_a_closed_stream_is_plain() -> None:
    """A closed stream is no terminal rather than a crash."""
    stream = _Terminal()
    stream.close()
    plain = io.StringIO()
    plain.close()
    assert screen_of(plain, {}) == PLAIN


@pytest.mark.parametrize(
    ("environ", "platform", "colours"),
    [
        ({"TERM": "xterm"}, "linux", 16),
        ({"TERM": "xterm-256color"}, "linux", 256),
        ({"TERM": "xterm-256color", "COLORTERM": "truecolor"}, "linux", TRUE_COLOUR),
        ({"TERM": "xterm-256color", "COLORTERM": "truecolor", "NO_COLOR": "1"}, "linux", 0),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, "linux", 256),
        ({"TERM": "dumb", "COLORTERM": "truecolor"}, "linux", 0),
        ({}, "linux", 0),
        ({}, "win32", 0),
        ({"TERM": "cygwin"}, "win32", 0),
        ({"WT_SESSION": "1"}, "win32", TRUE_COLOUR),
    ],
)
def test_colours(environ: dict[str, str], platform: str, colours: int) -> None:
    """Colours are those the terminal says it shows; NO_COLOR, not empty, forbids them (no-color.org)."""
    assert screen_of(_Terminal(), environ, platform).colours == colours


@pytest.mark.parametrize(
    ("columns", "width"), [("100", 100), ("0", 80), ("-5", 80), ("wide", 80), ("\u0663", 80), ("9" * 30, 160)]
)
def test_width(columns: str, width: int) -> None:
    """COLUMNS sets the width where it is a number, up to what can be read."""
    assert screen_of(_Terminal(), {"COLUMNS": columns}).width == width


@pytest.mark.parametrize(
    ("encoding", "drawn"), [("utf-8", True), ("UTF8", True), ("cp1252", False), ("ascii", False)]
)
def test_drawn_marks_need_utf8(encoding: str, drawn: bool) -> None:
    """Block characters go only to terminals that take UTF-8."""
    assert screen_of(_Terminal(encoding), {}).unicode is drawn


@pytest.mark.parametrize("name", FORMATS)
def test_every_format_renders(name: str) -> None:
    """Every format named gives text that ends with a line feed."""
    assert renderer(name)(report()).endswith("\n")


def test_unknown_format() -> None:
    """A format that does not exist is refused with those that do."""
    with pytest.raises(UsageError) as error:
        renderer("parchment")
    assert error.value.next_step == f"formats: {', '.join(FORMATS)}"
