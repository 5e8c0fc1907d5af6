"""A comparison as a page: what is on it, and that no text becomes anything but text."""

from __future__ import annotations

import re
import subprocess
import sys
from functools import cache
from itertools import pairwise
from math import inf
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.core.compare import Comparison, Headroom
from pcaudit.core.prices import Priced
from pcaudit.core.ranking import Place
from pcaudit.core.report import Verdict
from pcaudit.core.visible import visible
from pcaudit.render import compare_html, compare_svg, gauge_svg
from pcaudit.render.compare_html import render, style
from pcaudit.render.compare_html_words import below, first_choice, seen
from pcaudit.render.compare_interface import renderer
from pcaudit.render.compare_text import render as render_text
from pcaudit.render.compare_words import PROSE
from pcaudit.render.interface import Screen
from tests.cli.program import BLIND, DAYS, FIT, LINUX, TIRED, WORKSTATION, pcaudit, refused
from tests.core.builders import GB, unknown, value
from tests.core.candidates import ALL_SETTINGS, EURO, FOUR, GOOD, OLD_PROCESSOR, PROFILE, compared, pc
from tests.render import compare_golden
from tests.render.compare_golden import golden_comparison, overgrown
from tests.render.hostile import HOSTILE
from tests.render.page import Page
from tests.render.test_html import MARKUP


@cache
def _golden() -> Comparison:
    return golden_comparison()


@cache
def _page() -> Page:
    return Page(render(_golden()))


@cache
def _plain(length: int) -> Page:
    """The page with a harmless text of some length everywhere; longer ones stand elsewhere."""
    return Page(render(overgrown("x" * length)))


def _beside_its_head(style: str) -> str:
    """A style sheet without the one string in it that holds a text of the comparison."""
    rest, strings = re.subn(r'content:"[^"\n]*"\}\}\n$', "", style.rstrip() + "\n")
    assert strings == 1
    return rest


def _is_only_text(text: str) -> None:
    page, plain = Page(render(overgrown(text))), _plain(len(visible(text)))
    assert page.elements == plain.elements
    assert (page.others, page.unclosed) == (["DOCTYPE html"], [])
    assert _beside_its_head(page.style) == _beside_its_head(plain.style)
    assert " ".join(visible(text, PROSE).split()) in page.words


# A text that ends as what is advised does is shown without that end, as in the text report.
_TEXTS: Final = st.text(min_size=2, max_size=60).filter(
    lambda text: bool(text.strip()) and not text.endswith("(advised)") and text == text.strip()
)


@settings(max_examples=40)
@given(_TEXTS)
def test_no_text_becomes_an_element_or_an_attribute(text: str) -> None:
    """Whatever a text says, the page has the elements, attributes and style it always has."""
    _is_only_text(text)


@pytest.mark.parametrize("text", [one for one in (*HOSTILE, *MARKUP) if len(one.strip()) > 1], ids=ascii)
def test_markup_is_shown_letter_by_letter(text: str) -> None:
    """Markup of HTML, SVG, style sheets and templates is shown and never obeyed."""
    _is_only_text(text)


def test_a_text_that_is_everywhere_is_on_the_page_everywhere() -> None:
    """The proof above reaches every field: none of the sample's own words is left on the page."""
    words = Page(render(overgrown("quux"))).words
    plain = _page().words
    for piece in ("bench", "S-C", ".json", "0.0.1", "A profile", "ssd", "memory 16", "16 GB", "EUR", "Sleep"):
        assert piece in plain and piece not in words, piece
    assert words.count("quux") > 150


def test_control_and_direction_characters_are_shown_as_escapes() -> None:
    """Nothing on the page moves a cursor, is invisible or turns the reading direction."""
    text = render(overgrown("a\x00b\x1b[31m\u202ec\u2069\u200b\ufeff\udcff\x85"))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufeff]", text)
    assert "a\\x00b\\x1b[31m\\u202ec\\u2069\\u200b\\ufeff\\udcff\\x85" in text
    assert text.encode("utf-8")


def test_right_to_left_texts_are_kept_apart() -> None:
    """A text of a profile or a PC stands in an element of its own, so it turns nothing around it."""
    arabic = "\u0627\u0644\u0645\u062e\u062a\u0628\u0631"
    page = Page(render(overgrown(arabic)))
    assert page.words.count(arabic) > 150
    for within, text in page.texts:
        if arabic in text and "style" not in within and "title" not in within:
            assert "bdi" in within, text


# -- one file that asks for nothing


def test_nothing_is_asked_from_outside() -> None:
    """No script, frame, form, font, picture or link leads out of the page, not even a relative one."""
    page = _page()
    allowed = {"meta", "style", "title", "svg", "path", "symbol", "use"}
    allowed |= {"html", "head", "body", "header", "main", "section", "div", "span", "p", "b", "small", "bdi"}
    allowed |= {"a", "h1", "h2", "h3", "h4", "ul", "li", "dl", "dt", "dd"}
    allowed |= {"table", "caption", "colgroup", "col", "thead", "tbody", "tr", "th", "td"}
    assert {element.name for element in page.elements} <= allowed
    ids = [element.get("id") for element in page.elements if element.get("id")]
    assert len(ids) == len(set(ids))
    attributes = {"lang", "charset", "name", "content", "http-equiv", "class", "id", "href", "scope", "dir"}
    attributes |= {"width", "height", "viewbox", "d", "aria-hidden", "colspan", "rowspan"}
    for element in page.elements:
        for name, text in element.attributes:
            assert name in attributes, name
            if name == "href":
                assert text is not None and text.startswith("#") and text[1:] in ids
    for word in ("url(", "@import", "image-set(", "http", "//", "expression", "behavior", "src("):
        assert word not in page.style.casefold(), word


def test_the_page_forbids_what_it_does_not_do() -> None:
    """A policy stands in the page, so that a browser would refuse to fetch or run anything all the same."""
    (policy,) = [one for one in _page().all("meta") if one.get("http-equiv") == "Content-Security-Policy"]
    # CSP Level 3, 6.1.3: default-src governs every kind of fetch that has no directive of its own.
    assert policy.get("content") == "default-src 'none'; style-src 'unsafe-inline'"


@pytest.mark.parametrize("sheet", ["compare.css", "compare_stacked.css"])
def test_the_style_sheet_has_no_colours_of_its_own(sheet: str) -> None:
    """Texts have the report's colours, whose contrast is tested, on the background of the page."""
    rules = Path(compare_html.__file__).with_name("templates").joinpath(sheet).read_text("utf-8")
    assert not re.findall(r"#[0-9a-f]{3,8}\b|rgba?\(|hsla?\(|opacity|filter:|mix-blend", rules)
    assert set(re.findall(r"[{;]color:([^;}]+)", rules)) <= {"var(--ink)", "var(--quiet)"}
    assert set(re.findall(r"[{;]background:([^;}]+)", rules)) <= {"var(--page)"}


# -- structure


def test_headings_are_in_order() -> None:
    """One first heading, and no level is left out on the way down; every element is closed."""
    levels = [int(one.name[1]) for one in _page().elements if re.fullmatch("h[1-6]", one.name)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert _page().unclosed == []


def test_tables_say_what_they_hold() -> None:
    """Every table has a caption, and every heading of a row or column says which it is of."""
    assert len(_page().all("table")) == len(_page().all("caption")) > 5
    assert {one.get("scope") for one in _page().all("th")} == {"row", "col"}


def test_contents_are_in_order() -> None:
    """Which to choose stands first, then what that follows from."""
    titles = re.findall(r"<h[12]>(?:<bdi>)?([^<]*)", render(_golden()))
    assert [one.strip() for one in titles] == [
        *("8 candidates", "Which to choose", "Where they differ"),
        *("What each would need", "Headroom and support", "What this page rests on"),
    ]


# -- what the text page says


def test_everything_of_the_text_page_is_there() -> None:
    """Every word of the text page is on this one, but for its marks, rules and folding."""
    said = _golden()
    text = renderer("text")(said)
    words = set(re.findall(r"[\w.]+", _page().words.casefold()))
    missing = {one for one in re.findall(r"[\w.]+", text.casefold()) if one not in words}
    # "No order between" is a heading of its own here.
    assert missing <= {"between"}, missing


def test_first_lines_say_what_when_and_how_each_came_out() -> None:
    """Profile, days, the disclaimer and each candidate with outcome and origin stand before the choice."""
    head = _page().words.partition("Which to choose")[0]
    for piece in (
        "Comparison 8 candidates",
        "2 ready, 5 not ready, 1 inconclusive.",
        "no guarantee of operation, safety or compliance",
        "Profile A profile Judged for 2026-12-07",
        "Counted from 2026-11-26",
        "D bench-1 serial number S-D d.json, taken 2026-11-25 by pcaudit 0.0.1 inconclusive",
        "8 of 9 binding conditions hold; 1 cannot be known",
    ):
        assert piece in head, piece


def test_what_was_chosen_is_said() -> None:
    """Options and parameters in force stand in the first lines."""
    said = _golden()._replace(options=("mass-detector",), parameters={"instruments": 2})
    assert "Chosen option mass-detector; instruments = 2" in Page(render(said)).words


def test_choice_has_places_reasons_and_pairs_without_order() -> None:
    """Each candidate has its places; each order and each missing one has its reason."""
    words = _page().words.partition("Which to choose")[2].partition("Where they differ")[0]
    for piece in (
        "place 1 to 2 F bench-1 is ready as it is",
        "place 1 to 8 D bench-1 is not known to pass: 1 condition cannot be known",
        "A bench-1 cannot be mended here: Cores",
        "passes after 2 parts (60.00 EUR, and 1 part without a price)",
        "B before C B passes after settings, and C passes after parts are fitted",
        "D and F; D and G what is not known of D may decide",
        "C and G they are alike in everything that counts here",
        "What to know first C and G are the same PC: serial number S-C",
        "Not asked D: not read without administrator rights, and decides: Memory installed",
    ):
        assert piece in words, piece


def test_the_first_choice_is_said_only_where_there_is_one() -> None:
    """A first choice is one that passes; several that may be are all named, and none where none passes."""
    assert first_choice(compared(PROFILE, {"a": OLD_PROCESSOR, "b": ALL_SETTINGS})) == (
        "First choice: B, which passes after 6 settings."
    )
    assert first_choice(_golden()).startswith("May be the first choice: F, D.")
    assert first_choice(compared(PROFILE, {"a": OLD_PROCESSOR, "b": OLD_PROCESSOR})) == (
        "None of them is known to pass, even after settings and parts."
    )


def test_a_price_list_that_was_not_used_is_said_in_the_first_line() -> None:
    """With a price missing the parts were counted, and who lacks one is named; with all, nothing is said."""
    one_part = {**GOOD, "memory__installed": value(8 * GB), "computer__serial_number": value("S-N")}
    two = {"a": FOUR["c.json"], "b": pc(**one_part)}
    ssds = tuple(Priced(f"ssd {tb} TB", "ssd", (tb * 10**12,), 9000) for tb in (1, 16))
    priced = EURO._replace(parts=(*EURO.parts, *ssds))
    half = compared(PROFILE, two, EURO)
    assert first_choice(half).startswith("First choice: B, which passes after 1 part (60.00 EUR). ")
    told = "Prices were not compared, the number of parts was: A needs a part without a price."
    assert first_choice(half).endswith(told)
    assert told in Page(render(half)).words
    assert told in " ".join(render_text(half, Screen(140)).split())
    assert "Prices" not in first_choice(compared(PROFILE, two, priced))
    assert "Prices" not in first_choice(compared(PROFILE, two))


def test_what_differs_stands_before_what_is_alike() -> None:
    """Rows that differ come first, each verdict beside its letter; rows that are alike have it once."""
    said = compared(PROFILE, {"a": FOUR["a.json"], "d": FOUR["d.json"]})
    words = Page(render(said)).words
    differ, _, alike = words.partition("Where they differ 2 of 9 conditions")[2].partition("All alike 7")
    assert "Cores asked: at least 4 A unmet 2 B met 4" in differ
    assert "Memory installed asked: at least 16 GB A met 16 GB B unverified not known" in differ
    assert "met Sleep after never never" in alike and "Cores asked" not in alike


def test_nothing_differs() -> None:
    """Two that are alike in every row say so, and have no table of differences."""
    page = Page(render(compared(PROFILE, {"a": pc(**GOOD), "b": pc(**GOOD)})))
    assert "Every condition comes to the same on all of them." in page.words
    assert [one.get("class") for one in page.all("table")][:2] == ["findings alike", "matrix"]


def test_what_has_no_room_beside_a_verdict_stands_below_by_letter() -> None:
    """Short values stand under the verdicts; longer ones, and reasons, below, the same ones together."""
    why = "firmware tables need administrator rights, so ask IT to probe"
    blind = pc(**{**GOOD, "memory__installed": unknown(why)})
    said = compared(PROFILE, {"a": pc(**GOOD), "b": blind, "c": blind, "d": pc(**GOOD)})
    (row,) = said.differing()
    cells = seen(row)
    assert [one.beside for one in cells] == ["16 GB", "not known", "not known", "16 GB"]
    assert [(one.letters, one.text) for one in below(cells)] == [(("B", "C"), why)]
    assert f"B C {why}" in Page(render(said)).words


def test_nothing_found_is_said_once() -> None:
    """What was found is never left out: it stands beside the verdict, or below."""
    for row in _golden().rows:
        for cell, one in zip(row.cells, seen(row), strict=True):
            assert one.beside or one.below
            assert cell.found in f"{one.beside} {one.below}"
            assert not cell.why or cell.why in f"{one.beside} {one.below}"


def test_requirements_that_differ_are_told_by_letter() -> None:
    """What is asked of some candidates only stands beside their letters."""
    said = _golden()
    row = next(one for one in said.differing() if one.id == "cpu.cores")
    cells = tuple(one._replace(required="at least 6") if one.letter in "BD" else one for one in row.cells)
    rows = tuple(row._replace(cells=cells) if one is row else one for one in said.rows)
    words = Page(render(said._replace(rows=rows))).words
    assert "asked: A C E F G H at least 4 B D at least 6" in words


@pytest.mark.parametrize("verdict", Verdict)
def test_each_verdict_is_a_word_and_a_shape(verdict: Verdict) -> None:
    """Verdicts are told by the report's own words and drawings, so the page says the same without colour."""
    said = compared(PROFILE, {"a": pc(**GOOD), "b": pc(**GOOD)})
    first = said.rows[0]
    cells = (first.cells[0]._replace(verdict=verdict), first.cells[1])
    other = Verdict.UNMET if verdict is Verdict.MET else Verdict.MET
    cells = (cells[0], cells[1]._replace(verdict=other))
    text = render(said._replace(rows=(first._replace(cells=cells),)))
    assert f"{gauge_svg.sign(verdict)}<b>{verdict.value}</b>" in text


def test_needs_have_settings_parts_prices_and_what_is_left() -> None:
    """For each candidate: settings, parts with prices and their sum, what is left, what is not known."""
    words = _page().words.partition("What each would need")[2].partition("Headroom and support")[0]
    for piece in (
        "Whether a part goes into a PC is for its manual to say",
        "A bench-1 Settings and parts alone do not make it pass. Not mended by a setting or a part Cores",
        "B bench-1 Judged again with these changes it is ready. Settings free",
        "Power: Sleep after 30 min never",
        "memory 16 GB Memory, in all 8 GB 60.00 EUR",
        "490 GB (456.3 GiB), hdd no price",
        "together 60.00 EUR, and 1 part without a price",
        "Not known; make it readable first Memory installed",
        "No change is known to be needed, and it is not known to pass.",
        "E bench-1 Nothing: it is ready as it is.",
    ):
        assert piece in words, piece


def test_remedies_and_what_one_part_mends_are_told() -> None:
    """What makes a reading readable, what a part mends and what to know before stand beside it."""
    text = '[storage]\nsystem_media = "ssd"\nsystem_free.minimum = "100 GB"\n'
    text += '[display]\nprimary_scaling.equal = "100 %"\n'
    said = compared(text, {"a": pc(), "b": pc(display__primary_scaling=unknown("x"))})
    second = said.candidates[1]
    open_ = tuple(one._replace(remedy="Look.\nThen probe.") for one in second.mending.unread)
    second = second._replace(mending=second.mending._replace(unread=open_))
    page = render(said._replace(candidates=(said.candidates[0], second)))
    assert "mends: <bdi>System drive media, System volume free</bdi>" in page
    assert "programs and text become smaller or larger" in page
    assert "Look.\nThen probe.</bdi>" in page


def test_without_prices_no_price_is_spoken_of() -> None:
    """Parts without a prices file are named, and nothing is said of their price."""
    words = Page(render(compared(PROFILE, FOUR))).words
    assert "memory 16 GB Memory, in all" in words
    assert "price" not in words.casefold() and "together" not in words


def test_headroom_and_support_are_told() -> None:
    """Each minimum that binds has the ratio and the amount of each candidate; then years of support."""
    said = compared(PROFILE, {"a": pc(**{**GOOD, "memory__installed": value(40 * GB)}), "b": FOUR["d.json"]})
    words = Page(render(said)).words.partition("Headroom and support")[2]
    assert "Cores at least 4 A 1.00 times 4 B 1.00 times 4" in words
    assert "Memory installed at least 16 GB A 2.50 times 40 GB B not known" in words
    # What the shipped table of releases says of Debian 12, five months before the day judged for.
    assert "Years of support security updates the maker gives without extra payment A none, ended" in words


def test_a_minimum_asked_of_some_only_says_so() -> None:
    """Where nothing is asked of a candidate it has no ratio, and that is said."""
    said = compared(PROFILE, {"a": pc(**GOOD), "b": pc(**GOOD)})
    second = said.candidates[1]._replace(headroom=())
    words = Page(render(said._replace(candidates=(said.candidates[0], second)))).words
    assert "A 1.00 times 4 B not asked of it" in words


# -- what is drawn

ROOM: Final = Headroom("cpu.cores", "Cores", 2.0, 2.0, "4", "8")


def _limit(drawing: str) -> float:
    found = re.search(r'class="t" d="M([\d.]+) ', drawing)
    assert found
    return float(found[1])


def test_gauges_of_a_row_have_one_scale() -> None:
    """The limit stands at the same place whatever a candidate has, so lengths can be compared."""
    rooms = [ROOM, ROOM._replace(least=3.0, most=3.0), ROOM._replace(least=0.5, most=0.5)]
    widest = compare_svg.widest(rooms)
    assert widest == 3.0
    verdicts = (Verdict.MET, Verdict.MET, Verdict.UNMET)
    drawings = [
        compare_svg.headroom(verdict, one, widest) for verdict, one in zip(verdicts, rooms, strict=True)
    ]
    assert len({_limit(one) for one in drawings}) == 1
    assert len(set(drawings)) == 3


@pytest.mark.parametrize(
    ("verdict", "least"),
    [
        (Verdict.UNMET, 1.5),
        (Verdict.MET, 0.5),
        (Verdict.ACCEPTED, 2.0),
        (Verdict.UNVERIFIED, 0.47),
        (Verdict.MET, inf),
    ],
)
def test_what_a_ratio_does_not_decide_is_not_drawn_to_scale(verdict: Verdict, least: float) -> None:
    """A level never stands on another side of the limit than verdict and ratio agree on."""
    one = ROOM._replace(least=least, most=least)
    assert compare_svg.headroom(verdict, one, compare_svg.widest([one])) == gauge_svg.sign(verdict)


def test_a_certain_place_is_full_and_others_are_an_outline() -> None:
    """One place is a bar at that place; several are a broken outline over them."""
    sure, unsure = compare_svg.places(Place("A", 1, 1), 4), compare_svg.places(Place("A", 3, 4), 4)
    assert 'class="l" d="M2 5H31V15H2z"' in sure
    assert 'class="d" d="M60 5H118V15H60z"' in unsure


def test_columns_are_stacked_earlier_where_they_are_many() -> None:
    """Eight columns need more room than four before they are laid below each other."""
    assert "(max-width:44rem){.matrix" in style(compared(PROFILE, FOUR))
    assert "(max-width:68rem){.matrix" in style(_golden())


# -- size, cost, and the command


def test_only_html_pays_for_its_library() -> None:
    """Another format does not load the template library."""
    asked = (
        "import sys; from pcaudit.render.compare_interface import renderer\n"
        "from tests.render.compare_golden import golden_comparison\n"
        "renderer({!r})(golden_comparison())\nsys.exit('jinja2' in sys.modules)"
    )
    for name, code in (("text", 0), ("json", 0), ("html", 1)):
        assert subprocess.run([sys.executable, "-c", asked.format(name)]).returncode == code


def test_the_command_writes_a_page(tmp_path: Path) -> None:
    """The page is written to a file, the same each time, and nothing to standard output."""
    written = []
    for name in ("first.html", "second.html"):
        output = tmp_path / name
        arguments = (*DAYS, "--format", "html", "--output", str(output))
        done = pcaudit("compare", WORKSTATION, FIT, TIRED, BLIND, LINUX, *arguments)
        assert (done.code, done.out) == (0, "") and f"comparison written to {output}" in done.err
        written.append(output.read_bytes())
    assert written[0] == written[1]
    assert len(written[0]) < 200_000
    assert "4 candidates" in Page(written[0].decode("utf-8")).words
    assert sorted(one.name for one in tmp_path.iterdir()) == ["first.html", "second.html"]


def test_a_page_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    """A folder that is not there is refused, and an old page stays as it was."""
    gone = tmp_path / "gone" / "page.html"
    refused(
        pcaudit("compare", WORKSTATION, FIT, TIRED, *DAYS, "-f", "html", "--output", str(gone)), "page.html"
    )
    assert list(tmp_path.iterdir()) == []


def test_the_sample_has_what_the_page_can_show() -> None:
    """The tests above see every part of the page: parts, what is left, what is not known, no order."""
    said = compare_golden.golden_comparison()
    mendings: list[Any] = [one.mending for one in said.candidates]
    assert any(one.changes for one in mendings) and any(one.left for one in mendings)
    assert any(one.unread for one in mendings) and said.notes and said.ranking.no_orders
