"""The HTML pages, of reports and of comparisons, in a real browser and under the checkers of others."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from pcaudit.app import assess, compare, load_asked, load_snapshot
from pcaudit.core.compare import Comparison
from pcaudit.core.report import Report, Verdict
from pcaudit.render import compare_html
from pcaudit.render.html import render
from tests.cli.program import BLIND, FIT, LINUX, TIRED, WORKSTATION
from tests.render.browser import (
    ALL_RULES,
    MARGIN,
    SHEETS,
    Scheme,
    Tab,
    assert_accessible,
    assert_inside,
    browser,
    checked,
    in_order,
    last_line,
    missing,
    sheets_of,
    tabs,
    violations,
    written,
)
from tests.render.compare_golden import overgrown
from tests.render.golden import golden_report
from tests.render.hostile import HOSTILE, hostile_report
from tests.render.large import large
from tests.render.samples import FINDINGS, report

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.skipif(bool(missing()), reason=f"needs {missing()}")

PHONE: Final = 360
DESKTOP: Final = 1280
WIDTHS: Final = (PHONE, 768, DESKTOP)
ON: Final = date(2026, 12, 7)
AS_OF: Final = date(2026, 11, 26)


def _assessed(snapshot: str) -> Report:
    return assess(load_asked([WORKSTATION]), load_snapshot(snapshot), on=ON, as_of=AS_OF)


def _compared(*snapshots: str) -> Comparison:
    seen = [(path, load_snapshot(path)) for path in snapshots]
    return compare(load_asked([WORKSTATION]), seen, on=ON, as_of=AS_OF)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Pages as files, by what they show."""
    folder = tmp_path_factory.mktemp("pages")
    reports = {
        "not-ready": _assessed(TIRED),
        "ready": _assessed(FIT),
        "linux": _assessed(LINUX),
        "blind": _assessed(BLIND),
        "inconclusive": report(tuple(one for one in FINDINGS if one.verdict is not Verdict.UNMET)),
        "sixty": large(),
        "sample": golden_report(),
        "empty": report((), arrangements=(), not_asked=()),
        "markup": hostile_report(HOSTILE[1]),
        "long": hostile_report("W" * 10_000),
    }
    comparisons = {
        "compare-2": _compared(FIT, TIRED),
        "compare-4": _compared(FIT, TIRED, BLIND, LINUX),
        "compare-8": _compared(*(FIT, TIRED, BLIND, LINUX) * 2),
        "compare-markup": overgrown(HOSTILE[1]),
        "compare-long": overgrown("W" * 10_000),
    }
    texts = {name: render(one) for name, one in reports.items()}
    texts |= {name: compare_html.render(one) for name, one in comparisons.items()}
    assert set(texts) == set(NAMES)
    return written(folder, texts)


NAMES: Final = (
    *("not-ready", "ready", "inconclusive", "blind", "linux", "sixty", "sample", "empty", "markup", "long"),
    *("compare-2", "compare-4", "compare-8", "compare-markup", "compare-long"),
)
THOROUGHLY: Final = (
    *("not-ready", "ready", "inconclusive", "blind", "sixty", "compare-2", "compare-4", "compare-8"),
)
"""Looked at in every width, light and dark."""


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    """The browser."""
    with browser() as one:
        yield one


@pytest.fixture(scope="module")
def tab(chrome: Browser, pages: dict[str, Path]) -> Callable[[str], Tab]:
    """Gives the tab of a page; each is loaded once."""
    return tabs(chrome, pages)


def test_the_html_checker_finds_no_error(pages: dict[str, Path]) -> None:
    """The Nu Html Checker has nothing to say against any page, its style sheet included."""
    done = checked(*pages.values())
    assert done.returncode == 0 and done.stderr == b"", done.stderr.decode()


def test_the_html_checker_would_find_one(tmp_path: Path) -> None:
    """The checker is really asked: it names a mistake that is put into a page."""
    wrong = tmp_path / "wrong.html"
    wrong.write_text(render(report()).replace("<main>", "<main><p><div></p>"), encoding="utf-8")
    done = checked(wrong)
    assert done.returncode == 1 and b"error" in done.stderr


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", THOROUGHLY)
def test_it_is_accessible(tab: Callable[[str], Tab], name: str, width: int) -> None:
    """axe-core finds no violation, wide or narrow, light or dark, with everything folded out."""
    assert_accessible(tab(name), width)


@pytest.mark.parametrize(("width", "scheme"), [(PHONE, "dark"), (DESKTOP, "light")])
@pytest.mark.parametrize("name", [name for name in NAMES if name not in THOROUGHLY])
def test_odd_pages_are_accessible(tab: Callable[[str], Tab], name: str, width: int, scheme: Scheme) -> None:
    """Nor does it find any where texts are hostile or endless, or where there is next to nothing."""
    found = violations(tab(name).look(width, scheme), ALL_RULES)
    assert len(found["passes"]) > 15
    assert {one["id"] for one in found["incomplete"]} <= {"color-contrast"}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_stands_out_of_the_window(tab: Callable[[str], Tab], name: str, width: int) -> None:
    """However long a word is, nobody has to scroll sideways, and no element is wider than the window."""
    assert_inside(tab(name).look(width, "light"), width)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_asked_for(tab: Callable[[str], Tab], pages: dict[str, Path], name: str) -> None:
    """A page asks for itself and for nothing else, whatever it is looked at in."""
    opened = tab(name)
    for width in WIDTHS:
        opened.look(width, "dark")
    assert opened.asked == [pages[name].as_uri()]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["compare-2", "compare-4", "compare-8"])
def test_each_verdict_is_known_by_its_candidate(tab: Callable[[str], Tab], name: str, width: int) -> None:
    """A verdict stands under the column of its candidate, or beside its letter; never neither, nor both."""
    page = tab(name).look(width, "light")
    columns, beside, verdicts = page.evaluate(
        "(() => { const shown = what => [...document.querySelectorAll(what)].filter(one => {"
        " const box = one.getBoundingClientRect(); return one.checkVisibility() && box.height > 2 }).length;"
        " return [shown('#conditions .matrix thead .letter'), shown('#conditions .cell > .letter'),"
        " shown('#conditions .cell .v')] })()"
    )
    assert verdicts > 10
    assert (columns > 0 and not beside) or beside == verdicts
    # A column of eight would be too narrow for the words of the verdicts.
    assert bool(beside) == (width == PHONE or (width == 768 and name == "compare-8"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["sample", "compare-2"])
def test_it_is_light_or_dark_as_the_reader_likes(
    tab: Callable[[str], Tab], name: str, scheme: Scheme
) -> None:
    """The page follows the reader's preference."""
    page = tab(name).look(DESKTOP, scheme)
    colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (colour == "rgb(255, 255, 255)") == (scheme == "light")


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_prints(
    chrome: Browser, pages: dict[str, Path], tmp_path: Path, size: str, scheme: Scheme
) -> None:
    """On paper there is every reading, the head and number of each sheet, and the heads of tables again."""
    page = chrome.new_page(color_scheme=scheme)
    page.goto(pages["not-ready"].as_uri())
    paper = tmp_path / "report.pdf"
    page.pdf(path=paper, format=size)
    page.close()
    done = subprocess.run(["pdftotext", "-layout", str(paper), "-"], capture_output=True, check=True)
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


@pytest.mark.parametrize("landscape", [False, True], ids=["portrait", "landscape"])
@pytest.mark.parametrize("size", SHEETS)
@pytest.mark.parametrize("name", ["compare-2", "compare-4", "compare-8"])
def test_a_comparison_prints(
    tab: Callable[[str], Tab], tmp_path: Path, name: str, size: str, landscape: bool
) -> None:
    """On paper no word stands in the margins, no title is left out, and none is the last line of a sheet."""
    page = tab(name).page
    titles = page.eval_on_selector_all("h1,h2,h3,h4,tbody th", "all => all.map(one => one.innerText)")
    heads = page.eval_on_selector_all(
        "h2,h3,h4,thead tr,#needs>.fine,#headroom>p", "all => all.map(one => one.textContent)"
    )
    paper = tmp_path / "comparison.pdf"
    page.pdf(path=paper, format=size, landscape=landscape)
    sheets = sheets_of(paper)
    width = SHEETS[size][landscape]
    ends = {"".join(head.split()) for head in heads}
    for number, sheet in enumerate(sheets, 1):
        assert all(left > MARGIN and right < width - MARGIN for left, right, *_ in sheet)
        words = [text for *_, text in sheet]
        assert words[:2] == [name[-1], "candidates"] and "2026-12-07" in words[:14]
        assert "".join(words[-3:]) == f"{number}of{len(sheets)}"
        last = last_line(sheet)
        # What introduces a table may take several lines.
        assert not any(last == end or (len(last) > 20 and end.endswith(last)) for end in ends), last
    assert len(sheets) < 24
    whole = in_order(paper)
    for title in titles:
        assert "".join(title.split()) in whole, title
