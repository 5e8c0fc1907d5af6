"""The run's own rules: what a skipped test does where all tests are required."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent


def _run(folder: Path, body: str, require_all: bool) -> subprocess.CompletedProcess[str]:
    """Run one test file under this project's conftest, in a folder of its own."""
    (folder / "conftest.py").write_bytes((TOP / "tests" / "conftest.py").read_bytes())
    (folder / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    (folder / "test_it.py").write_text(f"import pytest\n\n{body}", encoding="utf-8")
    environ = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "COV_"))}
    environ["PCAUDIT_REQUIRE_ALL"] = "1" if require_all else ""
    command = [sys.executable, "-m", "pytest", "-q", "--strict-markers", "-p", "no:cacheprovider", "."]
    return subprocess.run(command, cwd=folder, env=environ, capture_output=True, text=True, timeout=120)


SKIPPED = "def test_a():\n    pytest.skip('no balance here')\n"
MODULE = "pytest.skip('no balance here', allow_module_level=True)\n"
OPTIONAL = f"@pytest.mark.optional('needs a balance')\n{SKIPPED}"
EXPECTED = "@pytest.mark.xfail\ndef test_a():\n    raise ValueError\n"


@pytest.mark.parametrize("body", [SKIPPED, MODULE], ids=["test", "module"])
def test_a_skipped_test_fails_a_run_that_requires_all(tmp_path: Path, body: str) -> None:
    """Where all tests are required, a skipped one fails the run, by name and with its reason."""
    done = _run(tmp_path, f"{body}\ndef test_b():\n    pass\n", require_all=True)
    assert done.returncode == 1
    line = next(line for line in done.stdout.splitlines() if "REQUIRED BUT SKIPPED" in line)
    assert "test_it.py" in line and "no balance here" in line


@pytest.mark.parametrize("body", [OPTIONAL, EXPECTED], ids=["optional", "expected to fail"])
def test_what_may_be_skipped_does_not_fail_the_run(tmp_path: Path, body: str) -> None:
    """A test marked optional, or expected to fail, passes even where all tests are required."""
    done = _run(tmp_path, body, require_all=True)
    assert done.returncode == 0, done.stdout
    assert "REQUIRED BUT SKIPPED" not in done.stdout


def test_a_skipped_test_is_only_noted_otherwise(tmp_path: Path) -> None:
    """Where not all tests are required, a skipped test does not fail the run."""
    assert _run(tmp_path, SKIPPED, require_all=False).returncode == 0
