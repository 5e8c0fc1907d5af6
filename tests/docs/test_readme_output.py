"""The output the README shows is what the program prints."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pcaudit.cli.main import run

TOP = Path(__file__).parent.parent.parent


def test_the_readme_shows_what_the_program_prints(
    monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    """Every part of the README's example between two [...] stands in the output, in that order."""
    monkeypatch.chdir(TOP)
    monkeypatch.setenv("COLUMNS", "80")
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    command = re.search(r"^`pcaudit (assess .*)`$", readme, re.M)
    example = re.search(r"^```\n(NOT READY: .*?)\n```$", readme, re.M | re.S)
    assert command and example
    assert run(command[1].split()) == 3
    printed = capfdbinary.readouterr().out.decode("utf-8")
    parts = [part.strip("\n") for part in example[1].split("[...]") if part.strip()]
    assert len(parts) > 3
    position = 0
    for part in parts:
        position = printed.find(part, position)
        assert position >= 0, part
