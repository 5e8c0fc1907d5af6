"""Worksheets held against the profiles they are for."""

from __future__ import annotations

from typing import Final

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.worksheet.against import answer_mistakes, beside, choice_mistakes, differences
from tests.core.worksheet.sheets import HEAD, profile, read, wanting

MORE: Final = (
    "[options.mass-detector.cpu.cores]\nminimum = 8\n"
    + wanting(name="detector").replace("[[arrangements]]", "[[options.mass-detector.arrangements]]")
    + "[parameters]\ninstruments = { default = 1, minimum = 1, maximum = 4 }\n"
)
ROOM: Final = wanting("place", "room", "Room", 'quantity = "temperature"\nmaximum = "25 °C"')
PROFILE: Final = profile(wanting() + ROOM, more=MORE)


@pytest.mark.parametrize(
    ("use", "key", "says", "right"),
    [
        ('options = ["mass-detector"]', "", "", ""),
        ('options = ["mass-detectr"]', "use.options[1]", "no profile has the option", "`mass-detector`"),
        ("parameters = { instruments = 4 }", "", "", ""),
        ("parameters = { instruments = 5 }", "use.parameters.instruments", "outside the range", "1 to 4"),
        ("parameters = { instruments = 1.5 }", "use.parameters.instruments", "not such a number", "whole"),
        ("parameters = { instrument = 1 }", "use.parameters.instrument", "no parameter", "`instruments`"),
    ],
)
def test_choices_must_fit_the_profiles(use: str, key: str, says: str, right: str) -> None:
    """An option no profile has, and a value none allows, are told at their line in the worksheet."""
    found = choice_mistakes(read(f"{HEAD}[use]\n{use}\n"), [PROFILE])
    if not key:
        assert found == []
        return
    (one,) = found
    assert (one.key, one.place and one.place.line) == (key, 4)
    assert says in one.message and right in one.hint


@pytest.mark.parametrize(
    ("answers", "key", "says", "right"),
    [
        ('[arrangements.it]\nstate = "missing"', "", "", ""),
        ('[arrangements.detector]\nstate = "missing"', "", "", ""),  # of an option that was not chosen
        ('[arrangements.crane]\nkind = "supply"\ntitle = "Crane"', "", "", ""),
        ('[arrangements.rom]\nstate = "missing"', "arrangements.rom", "no profile asks", "`room`"),
        ('[arrangements.room]\nmeasured = "22 °C"', "", "", ""),
        ('[arrangements.room]\nmeasured = "22"', "arrangements.room.measured", "not a temperature", "22 °C"),
        ('[arrangements.it]\nmeasured = "22 °C"', "arrangements.it.measured", "nothing measured", "note"),
    ],
)
def test_answers_must_fit_the_profiles(answers: str, key: str, says: str, right: str) -> None:
    """An answer that nobody asks, and a measured value that is none, are told at their line."""
    found = answer_mistakes(read(f"{HEAD}{answers}\n"), ask([PROFILE]))
    if not key:
        assert found == []
        return
    (one,) = found
    assert one.key == key
    assert one.place and one.place.line == (4 if key.endswith("measured") else 3)
    assert says in one.message and right in one.hint


def test_where_nothing_is_asked_no_answer_fits() -> None:
    """Of profiles without arrangements the mistake says that."""
    (one,) = answer_mistakes(read(f"{HEAD}[arrangements.a]\n"), ask([profile("")]))
    assert "ask for no arrangement" in one.hint


@pytest.mark.parametrize(
    ("sheet", "file", "path"),
    [
        ("w.toml", "p.toml", "p.toml"),
        ("a/w.toml", "p.toml", "a/p.toml"),
        ("a/w.toml", "./p.toml", "a/p.toml"),
        ("a/w.toml", "../p.toml", "p.toml"),
        ("/a/w.toml", "p.toml", "/a/p.toml"),
        ("a/w.toml", "/p.toml", "/p.toml"),
        ("C:\\a\\w.toml", "p.toml", "C:\\a\\p.toml"),
        ("a/w.toml", "C:\\p.toml", "C:\\p.toml"),
        ("a/w.toml", "\\\\server\\p.toml", "\\\\server\\p.toml"),
        ("standard input", "p.toml", "p.toml"),
    ],
)
def test_files_are_seen_from_the_worksheet(sheet: str, file: str, path: str) -> None:
    """A relative path begins at the worksheet's folder, an absolute one stays, on any system."""
    assert beside(sheet, file) == path


def test_what_the_command_line_changed_is_told() -> None:
    """Another profile, an option more and another value each have a line; the same has none."""
    asked = ask([PROFILE], ["mass-detector"], {"instruments": "3"})
    same = '[use]\nprofiles = ["p.toml"]\noptions = ["mass-detector"]\nparameters = { instruments = 3 }\n'
    assert differences(read(HEAD + same), asked) == ()
    other = '[use]\nprofiles = ["q.toml"]\nparameters = { instruments = 2 }\n'
    assert differences(read(HEAD + other), asked) == (
        "p.toml was asked for, and the worksheet does not name it",
        "q.toml is named by the worksheet, and was left out",
        "option mass-detector was chosen, and the worksheet does not name it",
        "parameter instruments was set to 3, and the worksheet says 2",
    )
    assert differences(read(f'{HEAD}[use]\nprofiles = ["p.toml"]\n'), asked)[-1].endswith("does not say it")
