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
        # Elsewhere opening a file costs a hundredth of it.
        if sys.platform == "win32":
            _from_bundle()
        from pcaudit.cli.main import main as run
    except KeyboardInterrupt:  # a tenth of a second in which Python would show a traceback
        sys.exit(130)
    run()


def _from_bundle() -> None:
    """Load what the command needs from one file, and have that file kept up to date."""
    from pcaudit import bundle

    command = sys.argv[1] if len(sys.argv) > 1 else ""
    if command in bundle.COMMANDS:
        import atexit

        kept = bundle.Bundle(command)
        kept.use()
        atexit.register(kept.keep)


if __name__ == "__main__":
    main()
