"""Texts of PCs and profiles that would do harm if they were obeyed, through every command to its end."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Final
from unicodedata import category
from xml.etree import ElementTree

import pytest

from pcaudit import app
from pcaudit.core.record import part_digests, record_name, whole_digest
from pcaudit.core.report import Report
from pcaudit.core.visible import visible
from pcaudit.files import to_json
from pcaudit.render import chain_text, drift_text
from pcaudit.render.compare_interface import FORMATS as COMPARE_FORMATS, renderer as compare_renderer
from pcaudit.render.drift_json import drift_mapping
from pcaudit.render.interface import FORMATS, renderer
from pcaudit.render.layout import cells
from tests.cli.program import TIRED, pcaudit, refused, snapshot
from tests.render.hostile import HOSTILE

DAY: Final = date(2026, 12, 7)
MORE: Final = (
    '"><svg onload=alert(1)>',
    "</title></style><iframe src=javascript:x>",
    "{{ 7 * 7 }}{% x %}",
    "[bold]x[/] [link=x]y",
    "\u202ecod.exe\u202c \u200f\u200b\ufeff",
    "a\u0000b",
    "CON",
    "../../../etc/passwd",
)
TEXTS: Final = (*HOSTILE, *MORE)
# Unicode Character Database, general categories: controls, steering and invisible characters, lone
# surrogates, line and paragraph separators.
_STEER: Final = ("Cc", "Cf", "Cs", "Zl", "Zp")
_TEXT: Final = (
    "computer.host_name",
    "computer.model",
    "computer.manufacturer",
    "computer.serial_number",
    "os.product",
    "os.domain",
    "power.plan",
)


def _obeyed(text: str) -> set[str]:
    """What a terminal would obey or hide of a text; nothing of a harmless one."""
    return {c for c in text.replace("\r\n", "\n") if c != "\n" and category(c) in _STEER}


def _profile(text: str) -> str:
    """A profile that says a text wherever it says something; TOML has no controls, so they are escaped."""
    said = json.dumps(visible(text, 20_000) if text.strip() else "blank")
    around = f"title = {said}\nbecause = {said}\nremedy = {said}\nowner = {said}\n"
    return (
        f"format = 1\ntitle = {said}\n"
        f"[computer.model]\nequal = {json.dumps('not ' + json.loads(said))}\n{around}"
        f'[power.sleep_after]\nequal = "never"\n{around}'
        f'[[software.packages]]\nid = "one"\ncount = 0\nname = {{ matches = "Halvorsel*" }}\n{around}'
        f'[[arrangements]]\nid = "certificate"\nkind = "licence"\n{around}'
    )


def _snapshot(text: str) -> dict[str, Any]:
    """A PC that says a text wherever it says something."""
    document = snapshot(TIRED)
    readings = document["readings"]
    for name in _TEXT:
        readings[name] = {"value": text, "source": text}
    readings["power.sleep_after"] = {"value": None, "why": text}
    readings["software.packages"] = {
        "value": [{"name": f"Halvorsel {text}", "version": text, "publisher": text}, {"name": text}],
        "source": text,
        "complete": False,
        "why": text,
    }
    for adapter in readings["network.adapters"]["value"]:
        adapter["name"] = text
    document["tool"]["version"] = text
    return document


class _Made:
    """What every command makes of a text, by the name of what it is."""

    def __init__(self, folder: Path, text: str) -> None:
        (folder / "p.toml").write_text(_profile(text), encoding="utf-8")
        for name, document in (("then", _snapshot(text)), ("now", _snapshot(text))):
            document["readings"]["power.plan"]["value"] = f"{text}{name}"
            document["readings"]["software.packages"]["value"][1]["name"] = f"{text}{name}"
            (folder / f"{name}.json").write_text(to_json(document), encoding="utf-8")
        asked = app.load_asked([str(folder / "p.toml")])
        then, now = (app.load_snapshot(str(folder / f"{name}.json")) for name in ("then", "now"))
        self.report: Report = app.assess(asked, then, on=DAY, as_of=DAY)
        self.reports = {name: renderer(name)(self.report) for name in FORMATS}
        compared = app.compare(asked, [(text or "a", then), ("b", now)], on=DAY, as_of=DAY)
        self.compared = {name: compare_renderer(name)(compared) for name in COMPARE_FORMATS}
        (folder / "r.json").write_text(self.reports["json"], encoding="utf-8")
        said = app.Entering("A. Example", "reviewed")
        self.record = app.keep_report(str(folder / "r.json"), said, str(folder / "store")).path
        self.verified = chain_text.render(app.verify_record(self.record), self.record)
        drift = app.drift(app.load_record(self.record), now, on=None, as_of=DAY)
        self.drift = {"text": drift_text.render(drift), "json": to_json(drift_mapping(drift))}
        self.changes = [
            one for one in drift.changes if one.record.name in ("power.plan", "software.packages")
        ]


@pytest.fixture(scope="module")
def harmless(tmp_path_factory: pytest.TempPathFactory) -> _Made:
    """What comes of a word, to hold the others against."""
    return _Made(tmp_path_factory.mktemp("harmless"), "word")


class _Tags(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: Counter[str] = Counter()
        self.attributes: set[str] = set()
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found[tag] += 1
        self.attributes |= {name for name, _value in attrs}


_CARRIERS: Final = ("script", "img", "svg", "iframe", "style", "a", "title", "form", "object", "base", "meta")


def _check_html(page: str, own: str) -> None:
    """A page has the tags that carry something, and kinds of attributes, of a harmless one."""
    tags, before = _Tags(page), _Tags(own)
    assert {tag: tags.found[tag] for tag in _CARRIERS} == {tag: before.found[tag] for tag in _CARRIERS}
    assert set(tags.found) <= set(before.found) | {"wbr", "br"}
    assert tags.attributes <= before.attributes
    assert not {name for name in tags.attributes if name.startswith("on")}


def _formulas(sheet: str) -> list[str]:
    rows = csv.reader(io.StringIO(sheet.removeprefix("\ufeff")))
    return [
        cell
        for row in rows
        for cell in row
        if cell.lstrip(" \"'")[:1] in tuple("=+-@\t\r") and cell[0] != "'"
    ]


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_a_text_is_shown_and_not_obeyed(tmp_path: Path, harmless: _Made, text: str) -> None:
    """From snapshot and profile to report, comparison, record, verification and drift it stays a text."""
    made = _Made(tmp_path, text)
    every = [*made.reports.values(), *made.compared.values(), made.verified, *made.drift.values()]
    assert [_obeyed(one.removeprefix("\ufeff")) for one in every] == [set()] * len(every)
    for page in (made.reports["text"], made.compared["text"], made.verified, made.drift["text"]):
        assert max(map(cells, page.splitlines())) <= 80
    _check_html(made.reports["html"], harmless.reports["html"])
    _check_html(made.compared["html"], harmless.compared["html"])
    assert _formulas(made.reports["csv"]) == []
    tests = [ElementTree.fromstring(one.reports["junit"]).findall(".//testcase") for one in (made, harmless)]  # noqa: S314
    assert len(tests[0]) == len(tests[1])
    assert not re.search(
        r"^ {0,3}<|(?<!\\)<[a-zA-Z!/]", re.sub(r"`[^`]*`", "", made.reports["markdown"]), re.M
    )
    # JSON gives back what the PC said, but for what no text can hold.
    said = text.encode("utf-8", "backslashreplace").decode()
    report = json.loads(made.reports["json"])
    assert report["snapshot"]["readings"]["power.plan"]["value"] == f"{said}then"
    assert Path(made.record).parent == tmp_path / "store"
    assert [one for one in json.loads(made.drift["json"])["changes"] if one["reading"] == "power.plan"]


_STEERING: Final = "\x1b[2J\u202egnp.exe\x00" + "A" * 10_000


def test_a_record_that_somebody_wrote_is_shown_and_not_obeyed(tmp_path: Path) -> None:
    """Texts that `record` would refuse, in a record with digests that match, come out escaped and cut."""
    path = Path(_Made(tmp_path, "word").record)
    record = json.loads(path.read_text(encoding="utf-8"))
    link = {"record": path.name, "digest": "0" * 64}
    record["entered"]["by"] = _STEERING
    record["replaces"] = {**link, "because": _STEERING}
    record["report"]["profiles"][0] |= {"path": _STEERING, "title": _STEERING}
    record["judged_again"] |= {"differs": [_STEERING], "outcome": _STEERING}
    record["digests"] = part_digests(record)
    record["digest"] = whole_digest(record)
    path = path.with_name(record_name(record))
    path.write_text(to_json(record), encoding="utf-8", newline="")
    chain = app.verify_record(str(path))
    assert "is not among the records before it" in chain.fault and chain.records
    for text in (chain_text.render(chain, str(path)), chain_text.render(chain, _STEERING)):
        assert _obeyed(text) == set()
        assert text.count("\\x1b[2J\\u202egnp.exe\\x00A") >= 4
        assert len(text) < 6000 and max(map(cells, text.splitlines())) <= 80
    done = pcaudit("drift", str(path), TIRED)
    assert done.code == 5 and _obeyed(done.out + done.err) == set() and len(done.out) < 20_000


def test_formulas_would_be_found() -> None:
    """The check for formulas finds them, behind spaces and quotes too, and lets a defused one be."""
    assert _formulas('=1,\'=1,  +1,"""@x",a-1\r\n') == ["=1", "  +1", '"@x']


@pytest.mark.parametrize("text", ["\x1b[31m", "a\x00b", "\u202egnp.exe", "\u2066x"], ids=ascii)
def test_a_profile_with_such_characters_is_shown_where_it_is_refused(tmp_path: Path, text: str) -> None:
    """A character that a terminal would obey, in a profile or the name of its file, comes out escaped."""
    (tmp_path / "p.toml").write_text(f'format = 1\ntitle = "{text}"\n[{text}]\n', encoding="utf-8")
    done = pcaudit("assess", "p.toml", TIRED, cwd=tmp_path)
    assert done.code == 2 and done.out == ""
    assert _obeyed(done.err) == set()
    # A file with a null character is no text at all.
    assert (visible(text) if "\0" not in text else "p.toml is not text") in done.err


@pytest.mark.parametrize(
    "arguments",
    [
        ("assess", "{}", TIRED),
        ("assess", TIRED, "{}"),
        ("verify", "{}"),
        ("drift", "{}", TIRED),
        ("record", "{}", "--by", "A", "--meaning", "reviewed", "--store", "s"),
        ("record", TIRED, "--by", "{}", "--meaning", "reviewed", "--store", "s"),
        ("record", TIRED, "--by", "A", "--meaning", "{}", "--store", "s"),
        ("assess", TIRED, "--option", "{}"),
        ("drift", TIRED, TIRED, "--on", "{}"),
    ],
    ids=lambda arguments: " ".join(arguments)[:30],
)
def test_arguments_are_shown_and_not_obeyed(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """A file name or value full of escape codes is repeated in one block, escaped."""
    text = "\x1b]0;x\x07\u202e<script>\r"
    done = pcaudit(*(one.format(text) for one in arguments), cwd=tmp_path)
    refused(done)
    assert _obeyed(done.err) == set()
