"""A survey in every format: what is on it, and that no text becomes anything but text."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pcaudit.core.json_text import dump_json
from pcaudit.core.survey import survey_mapping
from pcaudit.core.visible import visible
from pcaudit.errors import UsageError
from pcaudit.render.survey_html import ORDERS, render, rows
from pcaudit.render.survey_interface import FORMATS, renderer
from pcaudit.render.survey_words import advice, against_words, counted, notes, what_if_words
from tests.render.browser import Tab, browser, missing
from tests.render.hostile import HOSTILE
from tests.render.page import Page
from tests.render.schemas import read
from tests.render.survey_samples import survey
from tests.render.test_html import MARKUP


def test_a_format_that_is_none_is_refused() -> None:
    """What formats there are is said."""
    with pytest.raises(UsageError, match="xml") as caught:
        renderer("xml")
    assert all(name in caught.value.next_step for name in FORMATS)


def test_the_sentence_says_what_to_buy_for_which_pcs() -> None:
    """Parts by how many PCs they make ready, with their names; settings counted beside them."""
    assert advice(survey()) == (
        "One part for each makes 1 PC ready: memory 16 GB for 1 PC (bench-1). One setting for each, which "
        "costs nothing but work, makes 1 PC ready."
    )
    without = survey()._replace(changes=(None,) * 5)
    assert advice(without).startswith("No PC that falls short is known to become ready")


def test_what_was_supposed_is_never_counted_as_seen() -> None:
    """Counts are of what was seen; what is supposed stands in a sentence that says so."""
    assert counted(survey()) == "2 ready, 2 not ready, 1 inconclusive"
    assert "supposed of every PC that has less, 1 PC more would be ready: bench-1." in what_if_words(survey())
    assert against_words(survey()) == "1 PC that passes today will not pass the other edition."


def test_what_a_reader_must_know_first_is_said() -> None:
    """Old snapshots, what was not read, what was left out."""
    said = " ".join(notes(survey()))
    assert "2 PCs by a snapshot more than 7 days old" in said
    assert "1 file or line could not be judged" in said
    assert "1 older snapshot of the same PCs was left out" in said
    assert "Concessions and arrangements are not part" in said


def test_text_is_no_wider_than_the_screen_and_has_every_part() -> None:
    """80 columns, and a heading for each thing the survey says."""
    text = renderer("text")(survey())
    assert max(map(len, text.splitlines())) <= 80
    for heading in (
        "What fails most often",
        "One change that would do",
        "Supposed, not seen",
        "Not read (1)",
    ):
        assert heading in text


@pytest.mark.parametrize("only", ["ready", "not ready", "inconclusive"])
def test_every_format_lists_the_outcome_that_was_asked_for(only: str) -> None:
    """The list is of that outcome in each format."""
    said = survey(only=only)
    number = {"ready": 2, "not ready": 2, "inconclusive": 1}[only]
    assert [one.outcome for one in rows(said)] == [only] * number
    assert len(json.loads(renderer("json")(said))["pcs"]) == number
    assert len(list(csv.DictReader(io.StringIO(renderer("csv")(said))))) == number
    assert f"PCs, {only} only ({number})" in renderer("text")(said)


def test_json_with_everything_in_it_is_valid() -> None:
    """By the schema, with the other edition and what is supposed."""
    document = json.loads(renderer("json")(survey()))
    assert not list(Draft202012Validator(read("survey")).iter_errors(document))
    assert document["against"]["turned"] == ["pc-0.json"]
    assert document["what_if"]["makes_ready"] == ["pc-1.json"]


@pytest.mark.parametrize("text", ["", "the PCs stand here", '"pcs": [', *HOSTILE], ids=repr)
@pytest.mark.parametrize("only", ["", "inconclusive"])
def test_json_is_written_as_all_json_is(text: str, only: str) -> None:
    """PC by PC, and to the letter as if the whole were written at once, with no PC too."""
    said = survey(text, only)
    assert renderer("json")(said) == dump_json(survey_mapping(said))
    none = said._replace(pcs=(), changes=())
    assert renderer("json")(none) == dump_json(survey_mapping(none))


@pytest.mark.parametrize("text", [*HOSTILE, *MARKUP], ids=repr)
def test_no_text_is_obeyed(text: str) -> None:
    """Whatever files and PCs say becomes no element, no style, no formula and no control character."""
    page, plain = Page(render(survey(text))), Page(render(survey("x" * len(visible(text)))))
    assert [one.name for one in page.elements] == [one.name for one in plain.elements]
    assert not page.unclosed and page.others == plain.others
    for one in page.elements:
        assert one.name not in ("script", "a", "img", "link", "iframe")
        assert not any(name.startswith("on") for name, _ in one.attributes)
    written = renderer("text")(survey(text))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f\u202a-\u202e]", written)
    table = list(csv.reader(io.StringIO(renderer("csv")(survey(text)))))
    assert all(
        not cell.lstrip().startswith(("=", "@", "+", "-")) or cell.lstrip("-").isdigit()
        for row in table
        for cell in row
    )


def test_every_order_is_a_whole_order() -> None:
    """Each row has one place in every order, no two the same; a radio button chooses each order."""
    said = survey()
    for letter in "nosa":
        places = [re.search(rf"--{letter}:(\d+)", one.places) for one in rows(said)]
        assert sorted(int(one[1]) for one in places if one) == list(range(5))
    page = Page(render(said))
    radios = [one for one in page.elements if one.name == "input"]
    assert [one.get("id") for one in radios] == [f"order-{key}" for key in ORDERS]
    labels = [one.get("for") for one in page.elements if one.name == "label"]
    assert labels == [one.get("id") for one in radios]
    assert all(one.get("type") == "radio" and one.get("name") == "order" for one in radios)


@pytest.mark.skipif(bool(missing()), reason=f"needs {missing()}")
def test_a_browser_puts_the_table_in_order_and_finds_no_fault(tmp_path: Path) -> None:
    """axe-core finds nothing, nothing is fetched, nothing is cut on a phone, and a choice orders the rows."""
    file = tmp_path / "survey.html"
    file.write_text(render(survey()), encoding="utf-8")
    with browser() as one:
        tab = Tab(one, file)
        for scheme in ("light", "dark"):
            page = tab.look(360, "dark" if scheme == "dark" else "light")
            assert page.evaluate("axe.run().then(found => found.violations.map(one => one.id))") == []
            assert page.evaluate("document.documentElement.scrollWidth") == 360
        assert tab.asked == [file.as_uri()]
        by_place = """() => [...document.querySelectorAll('.fleet-body .pc')]
            .sort((a, b) => a.getBoundingClientRect().top - b.getBoundingClientRect().top)
            .map(one => one.querySelector('b').textContent)"""
        page = tab.look(1100, "light")
        assert page.evaluate(by_place) == [f"bench-{number}" for number in range(5)]
        page.focus("#order-name")
        page.keyboard.press("ArrowRight")
        assert page.evaluate(by_place) == ["bench-1", "bench-3", "bench-2", "bench-0", "bench-4"]
