"""Run Windows Python by hand on an invented PC.

    python3 -m tests.windows.lab PC ARGUMENT...

such as ``python3 -m tests.windows.lab pro-24h2 -m pcaudit probe``. Without arguments it names the PCs.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.windows.lab.machines import NAMES, running
from tests.windows.lab.setup import folder, set_up


def main(arguments: list[str]) -> int:
    """Run it and pass on what it says."""
    if not arguments or arguments[0] not in NAMES:
        sys.stderr.write(f"PCs: {', '.join(NAMES)}\n")
        return 2
    lab = set_up(folder())
    with tempfile.TemporaryDirectory() as place, running(arguments[0], Path(place), lab) as one:
        done = one.python(*arguments[1:], cwd=Path.cwd())
    sys.stdout.buffer.write(done.out)
    sys.stderr.write(done.err)
    return done.code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
