"""Pictures of the HTML report for the documents; ``python -m tests.render.screenshots`` takes them anew.

Needs Chromium and pdftoppm.
"""

from __future__ import annotations

import subprocess
import tempfile
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from pcaudit.app import assess, load_asked, load_snapshot
from pcaudit.render.html import render
from tests.cli.program import FIT, TIRED, TOP, WORKSTATION
from tests.render.browser import browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser

FOLDER: Final = TOP / "docs" / "screenshots"

SHOWN: Final = {"not-ready": TIRED, "ready": FIT}

_LOOKS: Final[dict[str, tuple[int, int, Literal["light", "dark"]]]] = {
    "phone": (360, 780, "light"),
    "desktop": (1100, 900, "light"),
    "dark": (1100, 900, "dark"),
}
"""Width, height and colours of each screen."""


def _page(snapshot: str) -> str:
    asked = load_asked([WORKSTATION])
    report = assess(asked, load_snapshot(snapshot), on=date(2026, 12, 7), as_of=date(2026, 11, 26))
    return render(report)


def _take(one: Browser, name: str, page: Path) -> None:
    for look, (width, height, scheme) in _LOOKS.items():
        tab = one.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
        tab.goto(page.as_uri())
        tab.screenshot(path=FOLDER / f"{name}-{look}.png")
        tab.close()
    tab = one.new_page()
    tab.goto(page.as_uri())
    paper = page.with_suffix(".pdf")
    tab.pdf(path=paper, format="A4")
    tab.close()
    sheet = FOLDER / f"{name}-print"
    subprocess.run(["pdftoppm", "-png", "-r", "90", "-singlefile", paper, sheet], check=True)


def main() -> None:
    """Take every picture."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with browser() as one, tempfile.TemporaryDirectory() as folder:
        for name, snapshot in SHOWN.items():
            page = Path(folder, f"{name}.html")
            page.write_text(_page(snapshot), encoding="utf-8", newline="\n")
            _take(one, name, page)


if __name__ == "__main__":
    main()
