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
from collections.abc import Callable, Iterator, Mapping, Sequence
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


def written(folder: Path, texts: Mapping[str, str]) -> dict[str, Path]:
    """Pages as files, by what they show."""
    paths = {name: folder / f"{name}.html" for name in texts}
    for name, text in texts.items():
        paths[name].write_text(text, encoding="utf-8", newline="\n")
    return paths


def tabs(chrome: Browser, pages: Mapping[str, Path]) -> Callable[[str], Tab]:
    """Gives the tab of a page; each is loaded once."""
    open_: dict[str, Tab] = {}

    def opened(name: str) -> Tab:
        if name not in open_:
            open_[name] = Tab(chrome, pages[name])
        return open_[name]

    return opened


def checked(*paths: Path) -> subprocess.CompletedProcess[bytes]:
    """What the Nu Html Checker says of pages."""
    return subprocess.run(
        ["java", "-jar", str(CHECKER), *map(str, paths)], capture_output=True, timeout=120, check=False
    )


def assert_accessible(opened: Tab, width: int) -> None:
    """Assert that axe-core finds no violation in a window of some width, light or dark."""
    found = violations(opened.look(width, "light"), ALL_RULES)
    assert len(found["passes"]) > 15
    # Of single characters and of headings above their graduations axe cannot tell the contrast;
    # test_html_colours computes it for every pair of colours there is.
    assert {one["id"] for one in found["incomplete"]} <= {"color-contrast"}
    # Dark pages differ in nothing but the values of their colours.
    dark = violations(opened.look(width, "dark"), COLOUR_RULES)
    assert "color-contrast" in {one["id"] for one in dark["passes"]}


def assert_inside(page: Page, width: int) -> None:
    """Assert that nobody has to scroll sideways, and that no element is wider than the window."""
    widest = page.evaluate(
        "Math.max(...[...document.querySelectorAll('body *')].filter(one => one.checkVisibility())"
        ".map(one => one.getBoundingClientRect().right))"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert widest <= width


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


def last_line(sheet: Sequence[tuple[float, float, float, str]]) -> str:
    """The last line above the foot of a sheet, its words without space between them."""
    body = sorted({round(bottom) for _, _, bottom, _ in sheet})[-2]
    return "".join(text for _, _, bottom, text in sheet if abs(bottom - body) < 3)


def in_order(paper: Path) -> str:
    """All that stands on paper, in the order of the page: the words of a cell stay together."""
    done = subprocess.run(["pdftotext", "-raw", str(paper), "-"], capture_output=True, check=True)
    return "".join(done.stdout.decode().split())
