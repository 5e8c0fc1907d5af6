"""A real browser, the accessibility checker in it, and the HTML checker: all looked for, none required.

Chromium comes from the operating system, axe-core and the Nu Html Checker from npm into
``$PCAUDIT_HTML_TOOLS``, else ``~/.cache/pcaudit-html``:
``npm install --prefix FOLDER axe-core@4 vnu-jar@26``.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from playwright.sync_api import Browser

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
