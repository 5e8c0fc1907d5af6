"""The guides in ``docs/``: every command in them is run, and what they show is what it printed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

_DOCS: Final = Path(__file__).parent.parent.parent.parent / "docs"

GUIDES: Final = tuple(_DOCS / f"guide-{name}.md" for name in ("lab-manager", "it-admin", "helpdesk"))
"""In the order in which the files one leaves are used by the next."""

FINISHED: Final[Mapping[str, Mapping[str, str]]] = {
    "guide-lab-manager": {"draft.toml": "sorption.toml", "granted.toml": "concessions.toml"}
}
"""Files that a guide's reader writes, and where they are kept for the other guides."""
