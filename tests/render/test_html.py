"""The HTML report: what is on the page, and that no text becomes anything but text."""

from __future__ import annotations

import re
import subprocess
import sys
import zipfile
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.report import Outcome, Report, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.html import render
from pcaudit.render.html_style import css_text
from pcaudit.render.html_words import short_files, whole_words
from pcaudit.render.interface import renderer
from tests.cli.program import TOP
from tests.render.golden import golden_report
from tests.render.hostile import HOSTILE, hostile_report
from tests.render.large import large
from tests.render.page import Page
from tests.render.samples import ACCEPTANCE, FINDINGS, finding, report

MARKUP: Final = (
    "</style><script>alert(1)</script>",
    "</title><svg onload=alert(1)>",
    '"><a href="javascript:alert(1)">x</a>',
    "' onmouseover='alert(1)",
    '*/ } @import url("//192.0.2.1/x.css"); /*',
    "\\22 ; } body { background: url(//192.0.2.1)",
    "{{ 7 * 7 }}{% include 'report.css' %}",
    "<!--",
    "]]><![CDATA[",
    "&lt;b&gt;&#x202e;",
    "\u05d0\u05d1\u05d2 (1) \u0627\u0644",
    "\x00",
)


def _everywhere(value: Any, text: str) -> Any:
    """The same record with ``text`` in place of every text in it, however deep."""
    if isinstance(value, str):
        return text if value else value
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return type(value)(*(_everywhere(one, text) for one in value))
    if isinstance(value, tuple | list):
        return type(value)(_everywhere(one, text) for one in value)
    if isinstance(value, dict):
        return {key: _everywhere(one, text) for key, one in value.items()}
    return value


@cache
def _overgrown(text: str) -> Page:
    return Page(render(_everywhere(golden_report(), text)))


@cache
def _page(one: str = "") -> Page:
    return Page(render(hostile_report(one) if one else golden_report()))


def _skeleton(page: Page) -> list[Any]:
    """What a page is made of besides its texts."""
    return [page.elements, page.others, page.unclosed]


def _beside_its_head(style: str) -> str:
    """A style sheet without the one string in it that holds a text of the report."""
    rest, strings = re.subn(r'content:"[^"\n]*"\}\}\n$', "", style.rstrip() + "\n")
    assert strings == 1
    return rest


@given(st.text(st.characters(), min_size=1, max_size=60).filter(lambda text: text.strip()))
def test_no_text_becomes_an_element_or_an_attribute(text: str) -> None:
    """Whatever a text says, the page has the elements, attributes and style it always has."""
    pages = (Page(render(hostile_report(text))), _page("x")), (_overgrown(text), _overgrown("x"))
    for page, plain in pages:
        assert _skeleton(page) == _skeleton(plain)
        assert _beside_its_head(page.style) == _beside_its_head(plain.style)
        assert " ".join(visible(text).split()) in page.words


def test_a_text_that_is_everywhere_is_on_the_page_everywhere() -> None:
    """The proof above reaches every field: none of the sample's own words is left on the page."""
    words = _overgrown("quux").words
    for piece in (
        "bench",
        "workstation.toml",
        "eth0",
        "detector",
        "A. Example",
        "safe in room",
        "copy 1",
        "0123",
    ):
        assert piece not in words
    assert words.count("quux") > 150


@pytest.mark.parametrize("text", [text for text in (*HOSTILE, *MARKUP) if text.strip()], ids=ascii)
def test_markup_is_shown_letter_by_letter(text: str) -> None:
    """Markup of HTML, SVG, style sheets and templates is shown and never obeyed."""
    page = _page(text)
    assert _skeleton(page) == _skeleton(_page("x"))
    assert _skeleton(_overgrown(text)) == _skeleton(_overgrown("x"))
    assert " ".join(visible(text).split()) in page.words


def test_control_and_direction_characters_are_shown_as_escapes() -> None:
    """Nothing on the page moves a cursor, is invisible or turns the reading direction."""
    text = render(hostile_report("a\x00b\x1b[31m\u202ec\u2069\u200b\ufeff\udcff\x85"))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufeff]", text)
    assert "a\\x00b\\x1b[31m\\u202ec\\u2069\\u200b\\ufeff\\udcff\\x85" in text
    assert text.encode("utf-8")


def test_right_to_left_texts_are_kept_apart() -> None:
    """A text of a profile or a PC stands in an element of its own, so it turns nothing around it."""
    arabic = "\u0627\u0644\u0645\u062e\u062a\u0628\u0631"
    for within, text in _page(arabic).texts:
        if arabic in text and "style" not in within and "title" not in within:
            assert "bdi" in within, text


@pytest.mark.parametrize("text", HOSTILE[-3:-1] + MARKUP[:4], ids=lambda text: ascii(text)[:20])
def test_the_head_of_a_sheet_is_a_string(text: str) -> None:
    """The host name at the top of every sheet of paper cannot end the string it stands in."""
    written = css_text(text)
    assert re.fullmatch(r'"[A-Za-z0-9 .,:_()\\-]*"', written)
    back = re.sub(r"\\([0-9a-f]{6}) ", lambda match: chr(int(match[1], 16)), written[1:-1])
    assert back == text


# -- one file that asks for nothing


def test_nothing_is_asked_from_outside() -> None:
    """No script, frame, form, font, picture or link leads out of the page, not even a relative one."""
    page = _page()
    allowed = {"meta", "style", "title", "svg", "path", "symbol", "use", "details", "summary"}
    allowed |= {"html", "head", "body", "header", "main", "section", "div", "span", "p", "b", "small", "bdi"}
    allowed |= {"a", "h1", "h2", "h3", "h4", "ul", "ol", "li", "dl", "dt", "dd"}
    allowed |= {"table", "caption", "colgroup", "col", "thead", "tbody", "tr", "th", "td"}
    assert {element.name for element in page.elements} <= allowed
    ids = {element.get("id") for element in page.elements} - {""}
    for element in page.elements:
        for name, value in element.attributes:
            assert name in _ATTRIBUTES, name
            if name == "href":
                assert value is not None and value.startswith("#")
                assert value[1:] in ids
    for word in ("url(", "@import", "image-set(", "http", "//", "expression", "behavior", "src("):
        assert word not in page.style.casefold(), word


_ATTRIBUTES: Final = {
    *("lang", "charset", "name", "content", "http-equiv", "class", "id", "href", "scope"),
    *("dir", "width", "height", "viewbox", "d", "aria-hidden"),
}


def test_the_page_forbids_what_it_does_not_do() -> None:
    """A policy stands in the page, so that a browser would refuse to fetch or run anything all the same."""
    (policy,) = [one for one in _page().all("meta") if one.get("http-equiv") == "Content-Security-Policy"]
    # CSP Level 3, 6.1.3: default-src governs every kind of fetch that has no directive of its own.
    assert policy.get("content") == "default-src 'none'; style-src 'unsafe-inline'"


# -- structure


def test_every_element_is_closed_and_every_id_is_unique() -> None:
    """The page is well nested, and no two elements share an id."""
    page = _page()
    assert page.unclosed == []
    ids = [element.get("id") for element in page.elements if element.get("id")]
    assert len(ids) == len(set(ids))
    assert page.others == ["DOCTYPE html"]
    assert [element.get("lang") for element in page.all("html")] == ["en"]


def test_headings_are_in_order() -> None:
    """One first heading, and no level is left out on the way down."""
    levels = [int(one.name[1]) for one in _page().elements if re.fullmatch("h[1-6]", one.name)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_tables_say_what_they_hold() -> None:
    """Every table has a caption, and every heading of a row or column says which it is of."""
    page = _page()
    assert len(page.all("table")) == len(page.all("caption")) > 5
    assert {one.get("scope") for one in page.all("th")} == {"row", "col"}
    assert all(one.get("scope") for one in page.all("th"))


def test_contents_are_in_order() -> None:
    """Outcome first, then what to do, then everything it follows from, then the signatures."""
    text = render(golden_report())
    titles = re.findall(r"<h[12][^>]*>(.*?)</h[12]>", text)
    assert "Not ready" not in titles[0] and "not ready" in titles[0]
    assert titles[1:] == [
        *("Warnings", "Not asked", "What to do", "Every condition", "Arrangements"),
        *("Backup plan, outline", "What this report rests on", "For the installation folder"),
    ]


def test_first_lines_say_what_when_and_what_was_not_asked() -> None:
    """Outcome, PC, profile, days, the statement, warnings and what was not asked stand before the actions."""
    head = _page().words.partition("What to do")[0]
    for piece in (
        "not ready",
        "3 of 7 binding conditions hold; 2 cannot be known, 2 fall short",
        "These readings, taken then, do not meet this profile.",
        "no guarantee of operation, safety or compliance",
        "Benchtop 7",
        "B7-0042",
        "Chromatography data system, workstation",
        "2026-12-07",
        "2026-11-26",
        "2026-11-25T09:00:00+00:00",
        "The readings are 9 days old: probe again.",
        "2 arrangements: give a worksheet with --worksheet",
        "option mass-detector; instruments = 2; flow = 0.5",
    ):
        assert piece in head


def test_an_unknown_serial_number_says_why() -> None:
    """What the PC does not tell of itself stands with the reason."""
    assert "unknown: needs administrator rights" in Page(render(report())).words


def test_a_pc_that_tells_nothing_of_itself_has_a_page() -> None:
    """Without any name the report is of "this PC"."""
    assert "not ready this PC" in Page(render(report(computer={}))).words


def test_actions_say_how_why_and_where() -> None:
    """Each thing to do has its steps, its reason, its place in the profile and what a concession needs."""
    actions = _page().words.partition("What to do")[2].partition("Every condition")[0]
    for piece in (
        "Add memory modules; two slots are free.",
        "two detectors at full rate",
        "administrator, restart; cannot be undone",
        "workstation.toml:21: memory.installed, digest 0123456789abcdef",
        "purchasing 1 to do: 1 unmet",
        "lab 1 to do: 1 advised",
    ):
        assert piece in actions


def test_what_blocks_stands_first() -> None:
    """Among what one owner has to do, what keeps the PC from being ready comes first and says so."""
    actions = re.findall(r"<li>\n<div class=\"act-head\">.*?</h4>", render(report()), re.DOTALL)
    of_it = [action for action in actions if "TPM" in action or "System volume" in action]
    assert [">blocks<" in action for action in of_it] == [True, False]


def test_steps_keep_their_lines() -> None:
    """Steps written on several lines stay on several lines."""
    steps = finding("cpu.cores", Verdict.UNMET, remedy="First this.\nThen that.")
    assert "First this.\nThen that.</bdi>" in render(report((steps,)))


def test_nothing_to_do_is_said() -> None:
    """A PC with nothing left to do has a list that says so."""
    assert "Nothing is left to do on the PC." in Page(render(report((FINDINGS[0],)))).words


@pytest.mark.parametrize("entry", FINDINGS, ids=lambda entry: entry.id)
def test_every_finding_is_there(entry: Any) -> None:
    """Each finding has a row with its verdict in words, what is asked, what was found and the source."""
    (row,) = re.findall(rf'<tr id="f\d+">(?:(?!</tr>).)*?>{re.escape(entry.id)}<.*?</tr>', _raw(), re.DOTALL)
    words = Page(row).words
    for piece in (entry.verdict.value, entry.title, entry.required, entry.found, entry.source):
        assert piece in words


@cache
def _raw() -> str:
    return render(report())


def test_a_concession_keeps_the_verdict_it_covers() -> None:
    """An accepted finding says who accepted it, until when, why, and what it would be without."""
    assert "unmet without the concession by A. Example until 2027-06-30: replaced" in _page().words
    part = golden_report().findings[1].parts[0]._replace(acceptance=ACCEPTANCE)
    whole = golden_report().findings[1]._replace(parts=(part,))
    assert Page(render(report((whole,)))).words.count("unmet without the concession") == 1


def test_what_the_pc_is_says_its_concessions() -> None:
    """Beside "PC" stands "ready, with 1 concession", not ready alone."""
    conceded = report((finding("cpu.cores", Verdict.ACCEPTED),), arrangements=())
    assert "PC ready, with 1 concession 1 accepted" in Page(render(conceded)).words


def test_several_conditions_on_one_reading_are_all_shown() -> None:
    """Each of several conditions has its own row with file, line and verdict."""
    words = _page().words
    assert "unmet base.toml, line 9 at least 20 GB" in words
    assert "met base.toml, line 12 advised at least 4 GB" in words


def test_arrangements_have_blanks_and_answers() -> None:
    """What a worksheet answers is shown, and what it does not is a blank to write on."""
    words = _page().words.partition("Credentials and licences")[2]
    for piece in ("in hand", "R. Example", "safe in room 12", "2027-12-31", "not asked", "15 working days"):
        assert piece in words
    assert len([one for one in _page().all("span") if one.get("class") == "blank"]) == 3


def test_readings_fold_out() -> None:
    """Every reading with its source is there, closed at first, and says what is not known."""
    assert len(_page().all("details")) == 1
    assert not _page().all("details")[0].attributes
    words = _page().words.partition("Readings with their sources")[2]
    for piece in ("at least 8 GB", "/proc/meminfo", "eth0, medium wired", "no lid", "40 items"):
        assert piece in words


def test_the_profile_is_named_by_its_digest() -> None:
    """The text the report rests on is named by file and SHA-256."""
    assert f"workstation.toml {'00' * 32}" in _page().words


def test_manager_it_and_installer_can_sign() -> None:
    """The signature block has a row for each, with room for name, date and signature."""
    words = _page().words.partition("For the installation folder")[2]
    assert "Role Name Date Signature Manager IT Installer" in words
    assert "no guarantee of operation, safety or compliance" in words
    assert "no electronic signature" in words


@pytest.mark.parametrize("outcome", Outcome)
def test_the_outcome_is_a_word_in_its_colour(outcome: Outcome) -> None:
    """Each outcome is told by word, by the gauge and by the colour of the verdict behind it."""
    verdict = {
        Outcome.READY: Verdict.MET,
        Outcome.NOT_READY: Verdict.UNMET,
        Outcome.INCONCLUSIVE: Verdict.UNVERIFIED,
    }[outcome]
    page = Page(render(report((finding("cpu.cores", verdict),))))
    (title,) = page.all("h1")
    assert title.get("class") == verdict.value
    assert f"Readiness report {outcome.value} bench-pc-07" in page.words


@pytest.mark.parametrize(
    ("verdicts", "words"),
    [
        ((), "No binding condition applies to this PC"),
        ((Verdict.NOT_APPLICABLE,), "No binding condition applies to this PC"),
        ((Verdict.MET,), "1 of 1 binding condition holds"),
        ((Verdict.MARGINAL, Verdict.ACCEPTED), "2 of 2 binding conditions hold"),
        ((Verdict.UNMET,), "0 of 1 binding condition hold; 1 falls short"),
        (
            (Verdict.MET, Verdict.UNVERIFIED, Verdict.UNMET, Verdict.UNMET),
            "1 of 4 binding conditions holds; 1 cannot be known, 2 fall short",
        ),
    ],
)
def test_the_whole_in_words(verdicts: tuple[Verdict, ...], words: str) -> None:
    """The gauge of the whole says in words how many binding conditions hold, and what the others do."""
    findings = tuple(finding(f"cpu.n{number}", verdict) for number, verdict in enumerate(verdicts))
    advised = finding("os.version", Verdict.UNMET, binding=False)
    assert whole_words(report((*findings, advised))) == words


def _with_profiles(*paths: str) -> Report:
    one = report()
    return one._replace(profiles=tuple(one.profiles[0]._replace(path=path) for path in paths))


def test_files_are_called_by_their_name_where_that_tells_them_apart() -> None:
    """Folders are left out, unless two files have the same name."""
    assert short_files(_with_profiles("a/x.toml", "C:\\b\\y.toml")) == {
        "a/x.toml": "x.toml",
        "C:\\b\\y.toml": "y.toml",
    }
    assert short_files(_with_profiles("a/x.toml", "b/x.toml", "y.toml")) == {"y.toml": "y.toml"}


# -- size and cost


def test_a_large_report_is_small_enough_to_mail() -> None:
    """A report of 60 long-winded conditions takes less than 200 kB."""
    assert len(render(large()).encode()) < 200_000


def test_only_html_pays_for_its_library() -> None:
    """Another format does not load the template library."""
    asked = "import sys; from pcaudit.render.interface import renderer\n{}\nsys.exit('jinja2' in sys.modules)"
    for name, code in (("text", 0), ("html", 1)):
        words = f"from tests.render.samples import report; renderer({name!r})(report())"
        assert subprocess.run([sys.executable, "-c", asked.format(words)]).returncode == code


def test_it_works_from_a_zip(tmp_path: Path) -> None:
    """Templates and style sheet are found where the package lies in a zip archive, as on a stick for PCs."""
    with zipfile.ZipFile(tmp_path / "app.zip", "w") as archive:
        for file in sorted((TOP / "pcaudit").rglob("*")):
            if file.suffix in (".py", ".j2", ".css"):
                archive.write(file, file.relative_to(TOP))
    (tmp_path / "show.py").write_text(
        "import sys; sys.path.insert(0, 'app.zip')\n"
        "from pcaudit.render.html import __file__, render\n"
        "assert 'app.zip' in __file__\n"
        f"sys.path.append({str(TOP)!r})\n"
        "from tests.render.samples import report\n"
        "sys.stdout.buffer.write(render(report()).encode())\n"
    )
    done = subprocess.run([sys.executable, "show.py"], cwd=tmp_path, capture_output=True, check=True)
    assert done.stdout.decode() == _raw()


def test_it_is_one_of_the_formats() -> None:
    """The format's name gives this renderer."""
    assert renderer("html")(report()) == _raw()
