"""The HTML report in a real browser, under the checkers of others."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

import pytest

from pcaudit.app import assess, load_asked, load_snapshot
from pcaudit.core.report import Report
from pcaudit.render.html import render
from tests.cli.program import FIT, LINUX, TIRED, WORKSTATION
from tests.render.browser import AXE, CHECKER, browser, missing
from tests.render.golden import golden_report
from tests.render.hostile import HOSTILE, hostile_report
from tests.render.samples import report

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.skipif(bool(missing()), reason=f"needs {missing()}")

Scheme = Literal["light", "dark"]
PHONE: Final = 360
DESKTOP: Final = 1200


def _assessed(snapshot: str) -> Report:
    asked = load_asked([WORKSTATION])
    return assess(asked, load_snapshot(snapshot), on=date(2026, 12, 7), as_of=date(2026, 11, 26))


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Pages as files, by what they show."""
    folder = tmp_path_factory.mktemp("pages")
    reports = {
        "not-ready": _assessed(TIRED),
        "ready": _assessed(FIT),
        "linux": _assessed(LINUX),
        "sample": golden_report(),
        "empty": report((), arrangements=(), not_asked=()),
        "markup": hostile_report(HOSTILE[1]),
        "long": hostile_report("W" * 10_000),
    }
    paths = {name: folder / f"{name}.html" for name in reports}
    for name, one in reports.items():
        paths[name].write_text(render(one), encoding="utf-8", newline="\n")
    return paths


NAMES: Final = ("not-ready", "ready", "linux", "sample", "empty", "markup", "long")


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    """The browser."""
    with browser() as one:
        yield one


def _opened(chrome: Browser, path: Path, width: int, scheme: Scheme) -> tuple[Page, list[str]]:
    """A page, everything in it unfolded, and the addresses it asked for."""
    page = chrome.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme, bypass_csp=True)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    return page, asked


def test_the_html_checker_finds_no_error(pages: dict[str, Path]) -> None:
    """The Nu Html Checker has nothing to say against any page, its style sheet included."""
    files = list(map(str, pages.values()))
    done = subprocess.run(["java", "-jar", str(CHECKER), *files], capture_output=True, timeout=120)
    assert done.returncode == 0 and done.stderr == b"", done.stderr.decode()


def test_the_html_checker_would_find_one(tmp_path: Path) -> None:
    """The checker is really asked: it names a mistake that is put into a page."""
    wrong = tmp_path / "wrong.html"
    wrong.write_text(render(report()).replace("<main>", "<main><p><div></p>"), encoding="utf-8")
    done = subprocess.run(["java", "-jar", str(CHECKER), str(wrong)], capture_output=True, timeout=120)
    assert done.returncode == 1 and b"error" in done.stderr


LOOKS: Final[tuple[tuple[str, int, Scheme], ...]] = (
    *((name, PHONE, "dark") for name in NAMES),
    *((name, DESKTOP, "light") for name in NAMES),
    ("sample", PHONE, "light"),
    ("sample", DESKTOP, "dark"),
)


@pytest.mark.parametrize(("name", "width", "scheme"), LOOKS)
def test_it_is_accessible(
    chrome: Browser, pages: dict[str, Path], name: str, width: int, scheme: Scheme
) -> None:
    """axe-core finds no violation, light or dark, wide or narrow, with everything folded out."""
    page, _ = _opened(chrome, pages[name], width, scheme)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate("axe.run(document, {resultTypes: ['violations', 'incomplete']})")
    page.close()
    wrong = [(one["id"], one["nodes"][0]["html"][:200]) for one in found["violations"]]
    assert wrong == []
    assert len(found["passes"]) > 15
    # Of single characters and of headings above their graduations axe cannot tell the contrast;
    # test_html_colours computes it for every pair of colours there is.
    assert {one["id"] for one in found["incomplete"]} <= {"color-contrast"}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [PHONE, 800, DESKTOP])
def test_nothing_stands_out_of_the_window(
    chrome: Browser, pages: dict[str, Path], name: str, width: int
) -> None:
    """However long a word is, nobody has to scroll sideways, and no element is wider than the window."""
    page, asked = _opened(chrome, pages[name], width, "light")
    widest = page.evaluate(
        "Math.max(...[...document.querySelectorAll('body *')].filter(one => one.checkVisibility())"
        ".map(one => one.getBoundingClientRect().right))"
    )
    scrolled = page.evaluate("document.documentElement.scrollWidth")
    page.close()
    assert scrolled <= width
    assert widest <= width
    assert asked == [pages[name].as_uri()]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_light_or_dark_as_the_reader_likes(
    chrome: Browser, pages: dict[str, Path], scheme: Scheme
) -> None:
    """The page follows the reader's preference."""
    page, _ = _opened(chrome, pages["sample"], DESKTOP, scheme)
    colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.close()
    assert (colour == "rgb(255, 255, 255)") == (scheme == "light")


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_prints(
    chrome: Browser, pages: dict[str, Path], tmp_path: Path, size: str, scheme: Scheme
) -> None:
    """On paper there is every reading, the head and number of each sheet, and the heads of tables again."""
    page = chrome.new_page(color_scheme=scheme)
    page.goto(pages["not-ready"].as_uri())
    written = tmp_path / "report.pdf"
    page.pdf(path=written, format=size)
    page.close()
    done = subprocess.run(["pdftotext", "-layout", str(written), "-"], capture_output=True, check=True)
    sheets = done.stdout.decode().rstrip("\f\n").split("\f")
    assert 8 < len(sheets) < 20
    for number, sheet in enumerate(sheets, 1):
        assert "LAB2-ALTPLATZ-03: not ready, judged for 2026-12-07" in sheet.splitlines()[0]
        assert f"{number} of {len(sheets)}" in sheet
        assert "No guarantee of operation, safety or compliance" in sheet
        # A head of a table with nothing under it would be the last line before the foot of the sheet.
        lines = [line.split() for line in sheet.splitlines() if line.strip()]
        assert lines[-2] != ["Verdict", "Condition", "Required", "Found"]
        assert lines[-2] != ["Reading", "Value", "Source"]
    whole = " ".join(done.stdout.decode().split())
    for piece in ("CPUID brand string", "Manager", "Signature", "What this report does not say"):
        assert piece in whole
    tables = [sheet for sheet in sheets if "Required" in sheet and "Condition" in sheet]
    assert len(tables) >= 3


def test_paper_is_white_whatever_the_screen(chrome: Browser, pages: dict[str, Path]) -> None:
    """A reader of dark pages does not get a dark sheet of paper."""
    page = chrome.new_page(color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    page.goto(pages["sample"].as_uri())
    colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.close()
    assert colour == "rgb(255, 255, 255)"
