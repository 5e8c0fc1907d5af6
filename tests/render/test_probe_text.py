"""A snapshot just taken, explained to a person who doubts a figure."""

from __future__ import annotations

from pcaudit.render.interface import PLAIN
from pcaudit.render.probe_text import Took, render
from tests.core.builders import snapshot_of, unknown, value

_TAKEN = snapshot_of(
    {
        "cpu.threads": value(8),
        "computer.serial_number": unknown("needs administrator rights"),
        "network.adapters": value([{"name": "port\x1b[31m 1", "medium": "wired", "link_up": False}]),
    }
)
_TOOK = {
    "cpu.threads": Took("cpu", 6.25),
    "computer.serial_number": Took("firmware", 11.0, "the probe of firmware failed: boom\x07"),
}


def test_every_reading_stands_with_source_and_time() -> None:
    """Each reading shows its value or reason, its source, and how long its probe took."""
    text = render(_TAKEN, _TOOK)
    for part in ("cpu.threads", "8", "a test", "6.2 ms with the others of probe cpu", "11.0 ms"):
        assert part in text
    assert "unknown: needs administrator rights" in text
    assert "no probe of this version reads it" in text
    assert "2 probes ran side by side; the longest took: firmware 11.0 ms, cpu 6.2 ms" in text


def test_what_is_in_the_way_is_named() -> None:
    """The end names what needs elevation, what needs a cable, and which probe failed."""
    end = render(_TAKEN, _TOOK).partition("What would make more of it readable")[2]
    assert "run again with administrator rights: computer.serial_number" in end
    assert "plug in a cable" in end
    assert "failed" in end


def test_nothing_in_it_can_steer_the_terminal_or_overflow_it() -> None:
    """Control characters of a host are shown, not obeyed, and no line is wider than the screen."""
    text = render(_TAKEN, _TOOK)
    assert text.isprintable() or set(filter(lambda c: not c.isprintable(), text)) == {"\n"}
    assert max(map(len, text.splitlines())) <= PLAIN.width
