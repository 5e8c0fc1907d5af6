"""``python -m pcaudit``: the same command."""

import gc
import sys

OBJECTS = 500_000
"""How many new objects there are before garbage in cycles is looked for.

A command makes hardly any, and with Python's own threshold of 700 looking for it takes a fifteenth
of a run; one that reads many large files still has it looked for.
"""


def main() -> None:
    """Entry point of the program."""
    gc.set_threshold(OBJECTS)
    try:
        from pcaudit.cli.main import main as run
    except KeyboardInterrupt:  # a tenth of a second in which Python would show a traceback
        sys.exit(130)
    run()


if __name__ == "__main__":
    main()
