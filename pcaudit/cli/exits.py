"""Exit codes, in one place; documented in docs/command-line.md."""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Outcome

DONE: Final = 0
INTERNAL: Final = 1
USAGE: Final = 2
NOT_READY: Final = 3
INCONCLUSIVE: Final = 4
DRIFTED: Final = 5  # or a record does not verify
INTERRUPTED: Final = 130  # 128 + SIGINT, as shells count it

OF_OUTCOME: Final = {
    Outcome.READY: DONE,
    Outcome.NOT_READY: NOT_READY,
    Outcome.INCONCLUSIVE: INCONCLUSIVE,
}
