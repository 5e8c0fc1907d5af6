"""Exit codes, in one place; documented in docs/command-line.md."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pcaudit.core.report import Outcome

DONE: Final = 0
INTERNAL: Final = 1
USAGE: Final = 2
NOT_READY: Final = 3
INCONCLUSIVE: Final = 4
DRIFTED: Final = 5  # or a record does not verify
INTERRUPTED: Final = 130  # 128 + SIGINT, as shells count it

_OF_OUTCOME: Final = {"ready": DONE, "not ready": NOT_READY, "inconclusive": INCONCLUSIVE}


def of(outcome: Outcome) -> int:
    """The exit code of an outcome."""
    return _OF_OUTCOME[outcome.value]
