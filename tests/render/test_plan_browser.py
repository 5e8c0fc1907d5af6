"""Pages of plans, and of reports with one, in a real browser, on paper and under the checkers of others."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from pcaudit.app import answered, asked_by, assess, choice, load_snapshot, load_worksheet, plan as make_plan
from pcaudit.render import html, plan_html
from tests.cli.program import FIT, TOP
from tests.render import plan_samples
from tests.render.browser import (
    MARGIN,
    SHEETS,
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
    written,
)
from tests.render.hostile import HOSTILE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.skipif(bool(missing()), reason=f"needs {missing()}")

WORKSHEET: Final = str(TOP / "fixtures" / "worksheets" / "lab4-worksheet.toml")
LATE: Final = str(TOP / "fixtures" / "worksheets" / "lab4-worksheet-late.toml")
WIDTHS: Final = (360, 768, 1280)
PLANS: Final = ("plan", "late")
NAMES: Final = (*PLANS, "report", "markup", "long")
DAY: Final = date(2027, 3, 15)
AS_OF: Final = date(2026, 12, 14)


def _plan(path: str, as_of: date, snapshot: str | None = None) -> str:
    seen = None if snapshot is None else load_snapshot(snapshot)
    return plan_html.render(make_plan(load_worksheet(path), seen, needed=None, as_of=as_of).plan)


def _report() -> str:
    sheet = load_worksheet(WORKSHEET)
    asked, held = asked_by(sheet, choice([], [], [], [])), answered(sheet, None, AS_OF)
    return html.render(assess(asked, load_snapshot(FIT), on=DAY, as_of=AS_OF, answers=held))


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Pages as files, by what they show."""
    folder = tmp_path_factory.mktemp("pages")
    texts = {
        "plan": _plan(WORKSHEET, AS_OF, FIT),
        "late": _plan(LATE, date(2027, 3, 8)),
        "report": _report(),
        "markup": plan_html.render(plan_samples.plan(HOSTILE[1])),
        "long": plan_html.render(plan_samples.plan("W" * 10_000)),
    }
    assert tuple(texts) == NAMES
    return written(folder, texts)


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    """The browser, started once."""
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


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_it_is_accessible(tab: Callable[[str], Tab], name: str, width: int) -> None:
    """axe-core finds no violation, wide or narrow, light or dark, with everything folded out."""
    assert_accessible(tab(name), width)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_nothing_stands_out_of_the_window(tab: Callable[[str], Tab], name: str, width: int) -> None:
    """However long a word is, nobody has to scroll sideways, and no element is wider than the window."""
    assert_inside(tab(name).look(width, "light"), width)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", [*PLANS, "report"])
def test_no_texts_lie_on_each_other(tab: Callable[[str], Tab], name: str, width: int) -> None:
    """In no row of a table does one cell reach into another."""
    page = tab(name).look(width, "light")
    crossing = page.evaluate(
        "[...document.querySelectorAll('tbody tr')].flatMap(row => {"
        " const boxes = [...row.querySelectorAll('bdi,.v')].filter(one => one.checkVisibility())"
        "  .map(one => [one, one.getBoundingClientRect()]).filter(([, box]) => box.width && box.height);"
        " return boxes.flatMap(([one, a], n) => boxes.slice(n + 1).filter(([other, b]) =>"
        "  !one.contains(other) && !other.contains(one) && one.closest('th,td') !== other.closest('th,td')"
        "  && a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1)"
        "  .map(([other]) => [one.textContent, other.textContent])) })"
    )
    assert crossing == []
    # A verdict's word takes one line, "does not apply" two.
    broken = page.evaluate(
        "[...document.querySelectorAll('.v b')].filter(one => one.checkVisibility()"
        " && one.getBoundingClientRect().height > 2.7 * parseFloat(getComputedStyle(one).fontSize))"
        ".map(one => one.textContent)"
    )
    assert broken == []


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_asked_for(tab: Callable[[str], Tab], pages: dict[str, Path], name: str) -> None:
    """A page asks for itself and for nothing else, whatever it is looked at in."""
    opened = tab(name)
    for width in WIDTHS:
        opened.look(width, "dark")
    assert opened.asked == [pages[name].as_uri()]


@pytest.mark.parametrize("name", NAMES)
def test_every_link_leads_somewhere(tab: Callable[[str], Tab], name: str) -> None:
    """From what is to be done, and from each part at a glance, one comes to where it is told."""
    page = tab(name).look(1280, "light")
    links = page.eval_on_selector_all("a", "all => all.map(one => one.getAttribute('href'))")
    lost = [link for link in links if not page.evaluate("id => !!document.getElementById(id)", link[1:])]
    assert links and lost == []


HEADS: Final = {"plan": ("Laboratory", 20), "late": ("Laboratory", 12), "report": ("CDS-0007:", 28)}
"""First word at the top of every sheet, and most sheets."""


@pytest.mark.parametrize("size", SHEETS)
@pytest.mark.parametrize("name", HEADS)
def test_it_prints(tab: Callable[[str], Tab], tmp_path: Path, name: str, size: str) -> None:
    """On paper no word stands in the margins, none is left out, and no head is the last line of a sheet."""
    page = tab(name).look(1280, "light")
    texts = page.eval_on_selector_all("h1,h2,h3,h4,th,td bdi", "all => all.map(one => one.textContent)")
    heads = page.eval_on_selector_all(
        "h2,h3,h4,thead tr,#arrangements>p", "all => all.map(one => one.textContent)"
    )
    paper = tmp_path / "plan.pdf"
    page.pdf(path=paper, format=size)
    sheets = sheets_of(paper)
    ends = {"".join(head.split()) for head in heads}
    for number, sheet in enumerate(sheets, 1):
        assert all(left > MARGIN and right < SHEETS[size][0] - MARGIN for left, right, *_ in sheet)
        words = [text for *_, text in sheet]
        assert words[0] == HEADS[name][0] and "2027-03-15" in words[:24]
        assert "".join(words[-3:]) == f"{number}of{len(sheets)}"
        last = last_line(sheet)
        assert last not in ends, last
    whole = in_order(paper).casefold()
    left_out = {text for text in texts if len(text) < 40 and "".join(text.split()).casefold() not in whole}
    assert left_out == set()
    # It goes into a folder: 25 sheets were too many.
    assert len(sheets) <= HEADS[name][1]


def test_paper_holds_what_is_folded_away_on_a_screen(
    chrome: Browser, pages: dict[str, Path], tmp_path: Path
) -> None:
    """How the figures were computed is printed, though nobody folded it out."""
    page = chrome.new_page()
    page.goto(pages["plan"].as_uri())
    assert not page.evaluate("[...document.querySelectorAll('details')].some(one => one.open)")
    paper = tmp_path / "folded.pdf"
    page.pdf(path=paper, format="A4")
    page.close()
    words = " ".join(text for sheet in sheets_of(paper) for *_, text in sheet)
    assert "per run x runs per day" in words
