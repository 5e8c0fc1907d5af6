"""Writes what the commands of the guides print into them: ``python -m tests.docs.guides``."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.docs.guides import GUIDES, finished
from tests.docs.guides.page import followed
from tests.docs.guides.stage import FIXTURES, Stage


def main(names: list[str]) -> None:
    """Write the guides anew, or those named: the lab manager's first, whose profile the others use."""
    for guide in GUIDES:
        if names and guide.stem not in names:
            continue
        with tempfile.TemporaryDirectory() as folder:
            stage = Stage(Path(folder))
            text, _ = followed(guide.read_text(encoding="utf-8"), stage)
            for kept, written in finished(guide, Path(folder)).items():
                (FIXTURES / kept).write_text(written, encoding="utf-8", newline="\n")
        guide.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
