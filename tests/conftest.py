"""Settings of the whole test run."""

from __future__ import annotations

import os
from collections.abc import Generator
from typing import Final

import pytest
from hypothesis import settings

# The same examples on every run, so that a red test is red for everyone; a longer search is
# one option away: pytest --hypothesis-profile=search
# Neither keeps a database of examples: it would warn in a checkout that may not be written to.
settings.register_profile("repeatable", deadline=None, derandomize=True, database=None)
settings.register_profile("search", deadline=None, max_examples=2000, database=None)
settings.load_profile("repeatable")

REQUIRE_ALL: Final = os.environ.get("PCAUDIT_REQUIRE_ALL") == "1"

_OPTIONAL: Final = "optional(reason): may be skipped even where all tests are required"
_skipped: Final[list[tuple[str, str]]] = []


def pytest_configure(config: pytest.Config) -> None:
    """Know the project's own marker, and run in a checkout that may not be written to."""
    config.addinivalue_line("markers", _OPTIONAL)
    config.addinivalue_line("filterwarnings", "ignore::pytest.PytestCacheWarning")


def _reason(report: pytest.TestReport | pytest.CollectReport) -> str:
    text = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    return text.removeprefix("Skipped: ")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Note every skipped test, unless it is marked optional or expected to fail."""
    report = yield
    if report.skipped and not hasattr(report, "wasxfail") and item.get_closest_marker("optional") is None:
        _skipped.append((report.nodeid, _reason(report)))
    return report


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Note every module that is skipped as a whole."""
    if report.skipped:
        _skipped.append((report.nodeid, _reason(report)))


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """A skipped test fails the run where all tests are required."""
    passed = (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)
    if REQUIRE_ALL and _skipped and session.exitstatus in passed:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name the tests that were skipped and had to run, and why they did not."""
    if REQUIRE_ALL:
        for name, reason in _skipped:
            terminalreporter.write_line(f"REQUIRED BUT SKIPPED {name}: {reason}", red=True)
