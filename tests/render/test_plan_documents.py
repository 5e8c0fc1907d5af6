"""A plan as text, JSON and HTML: everything is there, and no text becomes anything but text."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import pytest
from jsonschema import Draft202012Validator

from pcaudit.core.report import Outcome
from pcaudit.render import console, html, json as report_json, plan_html, plan_json, plan_text
from pcaudit.render.interface import Screen
from pcaudit.render.layout import cells
from tests.render.hostile import HOSTILE
from tests.render.page import Element, Page
from tests.render.plan_samples import plan, section
from tests.render.samples import report
from tests.render.schemas import read
from tests.render.test_html import MARKUP


def test_the_json_of_a_plan_is_valid() -> None:
    """By the shipped schema, which refuses what a plan may not say."""
    document = json.loads(plan_json.render(plan()))
    check = Draft202012Validator(read("plan"))
    check.validate(document)
    assert not check.is_valid({**document, "outcome": "fine"})
    document["sections"][0]["findings"][0]["verdict"] = "passed"
    assert not check.is_valid(document)


def test_a_report_with_a_plan_is_valid() -> None:
    """The report's schema knows the parts of a plan, and its JSON holds them."""
    document = json.loads(report_json.render(report()._replace(sections=(section(),))))
    check = Draft202012Validator(read("report"))
    check.validate(document)
    assert [one["name"] for one in document["plan"]] == ["storage"]
    document["plan"][0]["curves"][0]["points"][0]["on"] = "tomorrow"
    assert not check.is_valid(document)


@pytest.mark.parametrize("outcome", Outcome)
def test_the_text_begins_with_outcome_and_day(outcome: Outcome) -> None:
    """What is most wanted stands in the first line."""
    text = plan_text.render(plan()._replace(outcome=outcome))
    assert text.splitlines()[0] == f"{outcome.value.upper()}: installation on 2027-03-15"


def test_the_text_says_who_must_do_what() -> None:
    """What falls short stands under its owner with what to do and where it was entered."""
    text = " ".join(plan_text.render(plan()).split())
    assert "IT: 1" in text
    assert "do fit a drive of 2 TB or archive each year" in text
    assert "at bench.toml:31" in text
    assert "licensed practice prevail" in text


@pytest.mark.parametrize("width", [40, 80])
@pytest.mark.parametrize("hostile", HOSTILE)
def test_the_text_keeps_its_width(width: int, hostile: str) -> None:
    """Whatever a worksheet says, lines keep within the screen and carry no control character."""
    text = plan_text.render(plan(hostile), Screen(width, 0, False))
    assert all(cells(line) <= width for line in text.splitlines())
    assert not any((ord(c) < 32 and c != "\n") or c in "\x7f\u202e" for c in text)


def _kept(one: Element) -> list[tuple[str, str | None]]:
    """Attributes of an element but those that name a column, and say how wide its texts are."""
    classes = ("", "short", "figures")
    return [(key, value) for key, value in one.attributes if key != "data-label" and value not in classes]


@pytest.mark.parametrize("hostile", [text for text in (*HOSTILE, *MARKUP) if text.strip()])
def test_no_text_becomes_markup(hostile: str) -> None:
    """The page has the same elements and attributes whatever the worksheet says."""
    plain, page = Page(plan_html.render(plan("x"))), Page(plan_html.render(plan(hostile)))
    assert not page.unclosed
    assert [one.name for one in page.elements] == [one.name for one in plain.elements]
    assert list(map(_kept, page.elements)) == list(map(_kept, plain.elements))
    assert not any(one.name in ("script", "link", "img", "iframe") for one in page.elements)


def test_the_page_holds_everything_the_text_holds() -> None:
    """Findings, remedies, figures, tables, limits of curves, notes and cautions."""
    words = "".join(text for _, text in Page(plan_html.render(plan())).texts)
    for wanted in (
        "Storage forecast",
        "fit a drive of 2 TB or archive each year",
        "Data each working day",
        "per run x runs",
        "By year",
        "reserve begins",
        "Runs on holidays are not counted",
        "A snapshot on the same PC is no copy",
        "the worksheet has no [place]",
        "the installation day has passed",
    ):
        assert wanted in words


def test_drawings_of_the_page_are_well_formed() -> None:
    """Each curve is one drawing of its own that an XML parser reads."""
    page = plan_html.render(plan())
    start = page.index('<svg class="curve"')
    drawing = page[start : page.index("</svg>", start) + 6]
    assert len(list(ElementTree.fromstring(drawing).iter("text"))) == 7  # noqa: S314


def test_a_report_shows_the_parts_of_its_plan() -> None:
    """With a worksheet they take the place of the outline of a backup, in text and on the page."""
    with_plan = report()._replace(sections=(section(),))
    for render in (console.render, html.render):
        assert "Storage forecast" in render(with_plan)
        assert "Backup plan, outline" not in render(with_plan)
        assert "Backup plan, outline" in render(report())
