"""A real browser, the accessibility checker in it, and the HTML checker: all looked for, none required.

Chromium comes from the operating system, axe-core and the Nu Html Checker from npm into
``$PCAUDIT_HTML_TOOLS``, else ``~/.cache/pcaudit-html``:
``npm install --prefix FOLDER axe-core@4 vnu-jar@26``.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Scheme = Literal["light", "dark"]
"""What a reader may prefer."""

FOLDER: Final = Path(os.environ.get("PCAUDIT_HTML_TOOLS") or Path.home() / ".cache" / "pcaudit-html")
AXE: Final = FOLDER / "node_modules" / "axe-core" / "axe.min.js"
CHECKER: Final = FOLDER / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"


def chromium() -> str:
    """Path of the browser; empty where there is none."""
    return shutil.which("chromium") or shutil.which("chromium-browser") or ""


def missing() -> str:
    """What of the tools is not there, for the reason of a skipped test; empty where all are."""
    wanted = {
        "chromium": bool(chromium()),
        "pdftotext": shutil.which("pdftotext") is not None,
        "java": shutil.which("java") is not None,
        "axe-core": AXE.is_file(),
        "vnu-jar": CHECKER.is_file(),
    }
    return ", ".join(name for name, there in wanted.items() if not there)


@contextmanager
def browser() -> Iterator[Browser]:
    """The browser, without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        # As root, which CI is, Chromium starts only without its sandbox; the pages are our own.
        one = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        try:
            yield one
        finally:
            one.close()


class Tab:
    """A page that stays open, everything in it unfolded.

    Attributes:
        page: In the browser, with axe-core loaded.
        asked: The addresses it asked for.
    """

    def __init__(self, chrome: Browser, path: Path) -> None:
        self.page: Page = chrome.new_page(bypass_csp=True)
        self.asked: list[str] = []
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(path.as_uri())
        self.page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        self.page.evaluate(AXE.read_text(encoding="utf-8"))

    def look(self, width: int, scheme: Scheme) -> Page:
        """The page in a window of some width, light or dark."""
        self.page.set_viewport_size({"width": width, "height": 800})
        self.page.emulate_media(color_scheme=scheme)
        return self.page


ALL_RULES: Final = "{resultTypes: ['violations', 'incomplete']}"
"""axe-core with all its rules."""

COLOUR_RULES: Final = "{runOnly: ['color-contrast', 'link-in-text-block'], resultTypes: ['violations']}"
"""The same with those that colours alone decide: all that differs where a page is dark."""


def violations(page: Page, options: str) -> dict[str, Any]:
    """Assert that axe-core finds no violation on a page; everything it says.

    Args:
        page: With axe-core loaded.
        options: Of its run, as JavaScript.
    """
    found: dict[str, Any] = page.evaluate(f"axe.run(document, {options})")
    wrong = [(one["id"], one["nodes"][0]["html"][:200]) for one in found["violations"]]
    assert wrong == []
    return found


# CSS Paged Media Level 3, "size": A4 is 210 by 297 mm, letter 8.5 by 11 in; here in points.
SHEETS: Final = {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}
MARGIN: Final = 14 / 25.4 * 72 - 2
"""Of the style sheet, in points; the browser rounds a sheet up by less than two."""


def sheets_of(paper: Path) -> list[list[tuple[float, float, float, str]]]:
    """The words of each sheet: left, right, bottom, text."""
    done = subprocess.run(["pdftotext", "-bbox", str(paper), "-"], capture_output=True, check=True)
    word = r'<word xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>'
    sheets = done.stdout.decode().split("<page ")[1:]
    return [
        [(float(a), float(b), float(c), text) for a, b, c, text in re.findall(word, sheet)]
        for sheet in sheets
    ]
