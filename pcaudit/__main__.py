"""``python -m pcaudit``: the same command."""

import gc
import os
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
        # Elsewhere opening files and ending a process are cheap.
        if sys.platform == "win32":
            _on_windows()
        from pcaudit.cli.main import main as run
    except KeyboardInterrupt:  # a tenth of a second in which Python would show a traceback
        sys.exit(130)
    run()


def _on_windows() -> None:
    """Load what a command needs from one file, keep that up to date, and leave without tidying up."""
    from pcaudit import bundle

    command = sys.argv[1] if len(sys.argv) > 1 else ""
    if command not in bundle.COMMANDS:
        return
    kept = bundle.Bundle(command)
    kept.use()
    from pcaudit.cli.main import main as run

    try:
        run()
    except SystemExit as end:
        kept.keep()
        # All is written and told by now, and Python would take every object apart.
        if isinstance(end.code, int) and _flushed():
            os._exit(end.code)
        raise


def _flushed() -> bool:
    try:
        for stream in (sys.stdout, sys.stderr):
            if stream:
                stream.flush()
    except (OSError, ValueError):  # Python tells of it as it ends
        return False
    return True


if __name__ == "__main__":
    main()
