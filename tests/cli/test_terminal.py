"""On a terminal: colours, width, and text from elsewhere that is shown and never obeyed."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from pcaudit.render.layout import cells
from tests.cli.program import BLIND, DAYS, FIT, TIRED, WORKSTATION, pcaudit, saved, snapshot
from tests.cli.terminal import at_a_terminal

pytestmark = pytest.mark.skipif(os.name == "nt", reason="needs POSIX terminals")

# ECMA-48 8.3.117, SELECT GRAPHIC RENDITION: the only control function a report may use.
_COLOUR = re.compile(r"\x1b\[[0-9;]*m")
# ECMA-48 control functions, ISO 6429 C1, bidirectional and zero-width characters (Unicode UAX 9),
# and what rich and terminals make of brackets and colons.
HOSTILE = (
    "\x1b[2J\x1b[31mRED\x1b[0m\x1b]0;title\x07\x9b31m\r\b\x00\u202egnp.exe\u200b"
    " [bold]bold[/bold] [/x] [link=x]y :warning: {0} %s \U0001f600"
)
SHOWN = "\\x1b[2J\\x1b[31mRED\\x1b[0m\\x1b]0;title\\x07\\x9b31m\\r\\x08\\x00\\u202egnp.exe\\u200b"
MARKUP = "[bold]bold[/bold] [/x] [link=x]y :warning: {0} %s"


def _plain(screen: str) -> str:
    """What a screen shows, its own colours taken out and folded lines joined."""
    return re.sub(r"\s+", "", _COLOUR.sub("", screen))


def _obeys_nothing(screen: str) -> bool:
    """Whether a screen holds no control or steering character but line feeds and colours."""
    rest = _COLOUR.sub("", screen)
    return not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", rest)


def test_a_terminal_gets_colours() -> None:
    """A terminal shows the report in colour, with drawn gauges, and the same words as a pipe."""
    code, screen = at_a_terminal("assess", WORKSTATION, TIRED, *DAYS)
    assert code == 3
    assert _COLOUR.search(screen) and "\u2503" in screen
    assert _obeys_nothing(screen)
    words = re.compile(r"[A-Za-z]{3,}")
    piped = pcaudit("assess", WORKSTATION, TIRED, *DAYS).out
    assert words.findall(_COLOUR.sub("", screen)) == words.findall(piped)


@pytest.mark.parametrize("changes", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=["NO_COLOR", "dumb"])
def test_no_colour_where_none_is_wanted(changes: dict[str, str]) -> None:
    """NO_COLOR, or a terminal that cannot, gets not one escape code (no-color.org)."""
    code, screen = at_a_terminal("assess", WORKSTATION, TIRED, changes=changes)
    assert code == 3 and screen.startswith("NOT READY")
    assert "\x1b" not in screen


def test_an_empty_no_color_is_none() -> None:
    """NO_COLOR set to nothing asks for nothing (no-color.org)."""
    assert "\x1b[" in at_a_terminal("assess", WORKSTATION, FIT, changes={"NO_COLOR": ""})[1]


@pytest.mark.parametrize("columns", [40, 80, 140])
def test_the_terminal_s_width_is_kept(columns: int) -> None:
    """Without COLUMNS the window's own width counts, and no line is wider."""
    _, screen = at_a_terminal("assess", WORKSTATION, BLIND, columns=columns)
    widths = [cells(line) for line in _COLOUR.sub("", screen).splitlines()]
    assert columns - 5 < max(widths) <= columns


def test_a_terminal_without_utf_8_gets_ascii() -> None:
    """A terminal of another encoding gets gauges it can show, and no fault."""
    ascii_only = {"PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}
    code, screen = at_a_terminal("assess", WORKSTATION, TIRED, changes=ascii_only)
    assert code == 3 and screen.isascii() and "= |" in screen


def test_probe_on_a_terminal_is_a_summary() -> None:
    """On a terminal probe shows what was read, and how to get the snapshot itself."""
    code, screen = at_a_terminal("probe")
    assert code == 0 and _obeys_nothing(screen)
    assert "pcaudit probe --output FILE" in screen and '"kind"' not in screen


def _hostile_snapshot(folder: Path) -> str:
    document = snapshot(TIRED)
    readings = document["readings"]
    for name in ("computer.host_name", "computer.model", "computer.serial_number", "os.time_zone"):
        readings[name] = {"value": HOSTILE, "source": HOSTILE}
    readings["power.sleep_after"] = {"value": None, "why": HOSTILE}
    readings["network.adapters"]["value"][0]["name"] = HOSTILE
    readings["software.packages"]["value"][0]["name"] = f"Halvorsel Control {HOSTILE}"
    document["tool"]["version"] = HOSTILE
    return saved(folder, document)


@pytest.mark.parametrize("changes", [{}, {"NO_COLOR": "1"}], ids=["colours", "plain"])
def test_text_of_a_pc_is_shown_not_obeyed(tmp_path: Path, changes: dict[str, str]) -> None:
    """Escape codes, markup, emoji codes and steering characters of a PC appear as written or escaped."""
    code, screen = at_a_terminal("assess", WORKSTATION, _hostile_snapshot(tmp_path), changes=changes)
    assert code == 3
    assert _obeys_nothing(screen)
    plain = _plain(screen)
    # Host name, model and serial number in the head; version, reason and list items further down.
    assert plain.count(_plain(SHOWN)) >= 6
    assert plain.count(_plain(MARKUP)) >= 6
    assert "\U0001f600" in screen and "\u26a0" not in screen


@pytest.mark.parametrize("command", ["text", "json"])
def test_readings_of_a_pc_are_shown_not_obeyed(tmp_path: Path, command: str) -> None:
    """The list of a snapshot's values shows such text too, in both formats."""
    arguments = ("readings", "--snapshot", _hostile_snapshot(tmp_path), "--format", command)
    code, screen = at_a_terminal(*arguments)
    assert code == 0 and _obeys_nothing(screen)
    assert _plain("[bold]bold[/bold]") in _plain(screen)


def test_text_of_a_profile_is_shown_not_obeyed(tmp_path: Path) -> None:
    """Markup, emoji codes and placeholders in a profile's texts appear letter by letter."""
    text = MARKUP.replace('"', "")
    path = tmp_path / "profile.toml"
    path.write_text(
        f"format = 1\ntitle = '{text}'\n[memory.installed]\nminimum = '64 GB'\n"
        f"because = '{text}'\nremedy = '{text}'\nowner = '{text}'\n"
        f"[[network.adapters]]\nid = 'a'\ntitle = '{text}'\nmedium = 'wired'\ncount = {{ minimum = 9 }}\n"
        f"[[arrangements]]\nid = 'b'\nkind = 'licence'\ntitle = '{text}'\nremedy = '{text}'\n",
        encoding="utf-8",
    )
    code, screen = at_a_terminal("assess", str(path), FIT)
    assert code == 3 and _obeys_nothing(screen)
    assert _plain(screen).count(_plain(text)) >= 7
    assert "\u26a0" not in screen


def test_control_characters_in_a_profile_are_a_mistake(tmp_path: Path) -> None:
    """A profile with an escape code in a text is refused, and the message shows it escaped."""
    path = tmp_path / "profile.toml"
    path.write_text('format = 1\ntitle = "\\u001b[31mred"\n[cpu.cores]\nminimum = 1\n', encoding="utf-8")
    code, screen = at_a_terminal("assess", str(path), FIT)
    assert code == 2 and _obeys_nothing(screen)
    assert f"{path}:2: title:" in screen and "\\x1b[31mred" in screen


def test_names_of_files_are_shown_not_obeyed(tmp_path: Path) -> None:
    """A file name with escape codes in it is shown escaped, in messages and remarks."""
    name = "\x1b[31m[red]\u202e.json"
    code, screen = at_a_terminal("assess", WORKSTATION, str(tmp_path / name))
    assert code == 2 and _obeys_nothing(screen) and "no such file" in screen
    code, screen = at_a_terminal("assess", WORKSTATION, FIT, "--output", str(tmp_path / name))
    assert code == 0 and _obeys_nothing(screen)
    assert "\\x1b[31m[red]\\u202e.json" in screen
    assert os.listdir(tmp_path) == [name]


@pytest.mark.parametrize("argument", ["\x1b[2Jnonsense", "--\x1b[2Jnonsense", "--on=\x1b[2J"])
def test_words_of_the_command_line_are_shown_not_obeyed(argument: str) -> None:
    """An argument that means nothing is repeated without what a terminal would obey."""
    code, screen = at_a_terminal("assess", WORKSTATION, FIT, argument)
    assert code == 2 and _obeys_nothing(screen)
