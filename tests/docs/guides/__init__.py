"""The guides in ``docs/``: every command in them is run, and what they show is what it printed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

_DOCS: Final = Path(__file__).parent.parent.parent.parent / "docs"

GUIDES: Final = tuple(_DOCS / f"guide-{name}.md" for name in ("lab-manager", "it-admin", "helpdesk"))
"""In the order in which the files one leaves are used by the next."""

FINISHED: Final[Mapping[str, Mapping[str, str]]] = {
    "guide-lab-manager": {
        "draft.toml": "sorption.toml",
        "granted.toml": "concessions.toml",
        "answers.toml": "installation.toml",
    }
}
"""Files that a guide's reader writes, and where they are kept for the other guides."""


def finished(guide: Path, folder: Path) -> dict[str, str]:
    """What is kept of what a guide's reader wrote: text by name, naming the others as they are kept."""
    names = FINISHED.get(guide.stem, {})
    texts = {kept: (folder / source).read_text(encoding="utf-8") for source, kept in names.items()}
    for source, kept in names.items():
        texts = {name: text.replace(f'"{source}"', f'"{kept}"') for name, text in texts.items()}
    return texts
