"""``pcaudit probe`` on this host."""

from __future__ import annotations

import json
from pathlib import Path

from pcaudit.core.catalogue import CATALOGUE
from tests.cli.program import pcaudit


def test_explain_shows_every_observed_reading() -> None:
    """With --explain each observed reading stands with its source or reason, and no JSON is written."""
    done = pcaudit("probe", "--explain")
    assert done.code == 0
    assert done.err == ""
    shown = {line.split()[0] for line in done.out.splitlines() if line and not line.startswith((" ", "-"))}
    assert {name for name, record in CATALOGUE.items() if not record.derived} <= shown
    assert "What would make more of it readable" in done.out


def test_explain_can_keep_the_snapshot_too(tmp_path: Path) -> None:
    """With --explain and --output the snapshot goes to the file and the explanation to standard output."""
    file = tmp_path / "s.json"
    done = pcaudit("probe", "--explain", "--output", str(file))
    assert done.code == 0
    assert json.loads(file.read_text())["kind"] == "snapshot"
    assert "took" in done.out
    assert f"snapshot written to {file}" in done.err
