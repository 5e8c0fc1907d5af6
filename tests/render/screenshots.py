"""Pictures of the HTML pages for the documents; ``python -m tests.render.screenshots`` takes them anew.

With names, such as ``plan``, only those of these pages. Needs Chromium and pdftoppm.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from contextlib import chdir
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from pcaudit.app import (
    Surveyed,
    assess,
    compare,
    load_asked,
    load_prices,
    load_snapshot,
    load_worksheet,
    plan,
    survey,
)
from pcaudit.render import compare_html, html, plan_html, survey_html
from tests.benchmarks.survey import snapshots
from tests.cli.program import BLIND, FIT, LINUX, TIRED, TOP, WORKSTATION
from tests.render.browser import browser
from tests.render.png import shrink

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

_SCROLLED: Final = {
    ("compare", "phone"): "#choice",
    ("compare", "dark"): "#conditions",
    ("plan", "dark"): "#plan-storage",
    ("survey", "phone"): "#pcs",
    ("survey", "dark"): "#pcs",
}
"""What of a page is at the top of the picture, where that is not its head."""

_SHEET: Final = {"compare": 2}
"""Which sheet of paper is shown, where that is not the first."""

_ON: Final = date(2026, 12, 7)
_AS_OF: Final = date(2026, 11, 26)
_WORKSHEET: Final = "fixtures/worksheets/lab4-worksheet.toml"  # as seen from where this runs
_PLANNED_AS_OF: Final = date(2026, 12, 14)
_PRICES: Final = """
format = 1
title = "Prices, autumn 2026"
[prices]
currency = "EUR"
"memory 16 GB" = 60
"ssd 500 GB" = 49.90
"ssd 1 TB" = 85
"network card 1 Gbit/s" = 25
"screen 1920x1080" = 140
"""


def _report(snapshot: str) -> str:
    return html.render(assess(load_asked([WORKSTATION]), load_snapshot(snapshot), on=_ON, as_of=_AS_OF))


def _comparison(folder: str) -> str:
    prices = Path(folder, "prices.toml")
    prices.write_text(_PRICES, encoding="utf-8")
    seen = [(Path(path).name, load_snapshot(path)) for path in (FIT, TIRED, BLIND, LINUX)]
    said = compare(load_asked([WORKSTATION]), seen, prices=load_prices(str(prices)), on=_ON, as_of=_AS_OF)
    return compare_html.render(said)


def _plan() -> str:
    seen = load_snapshot(FIT)
    return plan_html.render(plan(load_worksheet(_WORKSHEET), seen, needed=None, as_of=_PLANNED_AS_OF).plan)


def _survey(folder: str) -> str:
    """Of 400 invented PCs, those of the benchmark."""
    pcs = Path(folder, "snapshots")
    pcs.mkdir()
    for index, one in enumerate(snapshots(400)):
        (pcs / f"pc-{index:03}.json").write_text(json.dumps(one), encoding="utf-8")
    with chdir(folder):
        wanted = Surveyed(jobs=1, what_if=("memory.installed=16 GB",))
        said = survey("snapshots", load_asked([WORKSTATION]), wanted, ([], []), days=(_ON, _AS_OF))
    return survey_html.render(said)


def _pages(folder: str) -> dict[str, str]:
    """Every page, by the name its pictures begin with."""
    reports = {name: _report(snapshot) for name, snapshot in SHOWN.items()}
    return {**reports, "compare": _comparison(folder), "plan": _plan(), "survey": _survey(folder)}


def _take(one: Browser, name: str, page: Path) -> None:
    for look, (width, height, scheme) in _LOOKS.items():
        tab = one.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
        tab.goto(page.as_uri() + _SCROLLED.get((name, look), ""))
        tab.screenshot(path=FOLDER / f"{name}-{look}.png")
        tab.close()
    tab = one.new_page()
    tab.goto(page.as_uri())
    paper = page.with_suffix(".pdf")
    tab.pdf(path=paper, format="A4")
    tab.close()
    sheet = FOLDER / f"{name}-print"
    first = str(_SHEET.get(name, 1))
    subprocess.run(["pdftoppm", "-png", "-r", "90", "-f", first, "-singlefile", paper, sheet], check=True)


def main(names: list[str]) -> None:
    """Take the pictures of these pages, or of all."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with browser() as one, tempfile.TemporaryDirectory() as folder:
        for name, text in _pages(folder).items():
            if names and name not in names:
                continue
            page = Path(folder, f"{name}.html")
            page.write_text(text, encoding="utf-8", newline="\n")
            _take(one, name, page)
    for picture in FOLDER.glob("*.png"):
        if not names or picture.name.startswith(tuple(f"{name}-" for name in names)):
            shrink(picture)


if __name__ == "__main__":
    main(sys.argv[1:])
