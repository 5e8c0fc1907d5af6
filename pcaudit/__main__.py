"""``python -m pcaudit``: the same command."""

from pcaudit.cli.main import main

if __name__ == "__main__":
    main()
