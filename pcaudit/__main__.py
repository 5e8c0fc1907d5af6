"""``python -m pcaudit``: the same command."""

import sys


def main() -> None:
    """Entry point of the program."""
    try:
        from pcaudit.cli.main import main as run
    except KeyboardInterrupt:  # a tenth of a second in which Python would show a traceback
        sys.exit(130)
    run()


if __name__ == "__main__":
    main()
