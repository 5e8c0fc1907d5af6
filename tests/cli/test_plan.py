"""``pcaudit plan`` as people run it: every format, every kind of file, every slip."""

from __future__ import annotations

import json
import os
import tomllib
from datetime import date
from pathlib import Path
from typing import Any, Final

import icalendar
import pytest
import vobject
from jsonschema import Draft202012Validator

from tests.cli.program import FIT, TIRED, TOP, WORKSTATION, Done, pcaudit, refused
from tests.render.schemas import read

WORKSHEETS: Final = TOP / "fixtures" / "worksheets"
SHEET: Final = str(WORKSHEETS / "lab4-worksheet.toml")
LATE: Final = str(WORKSHEETS / "lab4-worksheet-late.toml")
AS_OF: Final = ("--as-of", "2026-12-14")

# Made up, in the shape of a product key.
SECRET: Final = "QX7P2-12F45-GH1JK-67890-LMN0P"  # noqa: S105


def _planned(*arguments: str, stdin: bytes = b"", cwd: Path = TOP) -> Done:
    """A plan that was made, and nothing said beside it."""
    done = pcaudit("plan", *arguments, stdin=stdin, cwd=cwd)
    assert (done.code, done.err) == (0, ""), done
    return done


def _document(*arguments: str, stdin: bytes = b"") -> dict[str, Any]:
    """A plan as JSON, valid by its schema."""
    document: dict[str, Any] = json.loads(_planned(*arguments, "--format", "json", stdin=stdin).out)
    Draft202012Validator(read("plan")).validate(document)
    return document


def _sheet(folder: Path, text: str, name: str = "w.toml") -> str:
    path = folder / name
    path.write_text(f'format = 1\ntitle = "W"\n{text}', encoding="utf-8")
    return str(path)


def _verdicts(document: dict[str, Any]) -> dict[str, str]:
    arrangements = {f"arrangements.{one['id']}": one["verdict"] for one in document["arrangements"]}
    findings = [one for section in document["sections"] for one in section["findings"]]
    return {**arrangements, **{one["id"]: one["verdict"] for one in findings}}


# -- formats


def test_the_text_says_day_outcome_and_pc_first() -> None:
    """The first lines hold the outcome, the day, the PC and the day counted from; 80 columns hold it all."""
    lines = _planned(SHEET, FIT, *AS_OF).out.splitlines()
    assert lines[0] == "INCONCLUSIVE: installation on 2027-03-15"
    head = " ".join(" ".join(lines[:8]).split())
    assert "PC CDS-0007, read 2026-11-25" in head and "Counted from 2026-12-14" in head
    assert max(map(len, lines)) <= 80


def test_json_holds_what_the_text_says() -> None:
    """It is valid by its schema; outcome, days, worksheet and PC stand in it."""
    document = _document(SHEET, FIT, *AS_OF)
    assert (document["kind"], document["outcome"]) == ("plan", "inconclusive")
    assert (document["on"], document["as_of"], document["day_known"]) == ("2027-03-15", "2026-12-14", True)
    assert document["computer"]["host_name"] == "CDS-0007"
    assert document["worksheet"]["path"] == SHEET
    verdicts = _verdicts(document)
    # What the example is about: a store that lasts for years, a supply of unknown runtime, a code to ask for.
    assert verdicts["storage.reserve"] == "marginal"
    assert verdicts["place.supply.supply[ups].runtime"] == "unverified"
    assert verdicts["arrangements.authorisation-code"] == "unverified"
    assert "unmet" not in verdicts.values()


def test_a_page_is_made() -> None:
    """HTML is one whole document with the outcome as its title."""
    page = _planned(SHEET, FIT, *AS_OF, "--format", "html").out
    assert page.startswith("<!DOCTYPE html>") and page.rstrip().endswith("</html>")
    assert "<title>inconclusive: Laboratory 4, sorption analyser on bench 2</title>" in page


def test_a_calendar_is_read_by_two_parsers() -> None:
    """Both read the same entries: the installation day, what is due and what must begin."""
    done = pcaudit("plan", SHEET, FIT, *AS_OF, "--format", "ics")
    assert (done.code, done.err) == (0, "")
    first = list(icalendar.Calendar.from_ical(done.out).walk("VEVENT"))
    second = list(vobject.readOne(done.out).vevent_list)
    read_first = {(str(one["summary"]), one.decoded("dtstart")) for one in first}
    assert read_first == {(one.summary.value, one.dtstart.value) for one in second}
    days = dict(read_first)
    assert days["Installation day: Laboratory 4, sorption analyser on bench 2"] == date(2027, 3, 15)
    assert days["Due: Delivery of the analyser"] == date(2027, 3, 5)
    assert days["Begin: Authorisation code, made out for this host name"] == date(2027, 3, 5)
    assert len({str(one["uid"]) for one in first}) == len(first) > 8


def test_a_calendar_without_a_day_is_refused(tmp_path: Path) -> None:
    """A calendar is counted back from the installation day: without one, and without --on, there is none."""
    path = _sheet(tmp_path, "")
    refused(pcaudit("plan", path, "--format", "ics"), "installation day", "--on")
    assert pcaudit("plan", path, "--format", "ics", "--on", "2027-03-15", *AS_OF).code == 0


def test_an_unknown_format_is_refused_before_anything_is_read() -> None:
    """It names the formats there are, whether the worksheet is there or not."""
    refused(pcaudit("plan", "nowhere.toml", "--format", "pdf"), "pdf", "text, json, html, ics")


# -- the PC


def test_without_a_snapshot_what_depends_on_the_pc_is_open() -> None:
    """Room on the data volume and the PC's ports are unverified, and the head says why."""
    document = _document(SHEET, *AS_OF)
    assert document["computer"] == {}
    verdicts, with_pc = _verdicts(document), _verdicts(_document(SHEET, FIT, *AS_OF))
    for name in ("storage.reserve", "network.ports"):
        assert verdicts[name] == "unverified" != with_pc[name]
    assert "no snapshot was given" in _planned(SHEET, *AS_OF).out


def test_a_snapshot_of_another_pc_shows() -> None:
    """Its name stands in the head, and the name that was planned is not the one it has."""
    document = _document(SHEET, TIRED, *AS_OF)
    assert document["computer"]["host_name"] == "LAB2-ALTPLATZ-03"
    assert _verdicts(document)["network.computer"] == "marginal"
    assert _verdicts(_document(SHEET, FIT, *AS_OF))["network.computer"] == "met"


def test_what_is_no_snapshot_is_refused(tmp_path: Path) -> None:
    """A worksheet in the place of the snapshot, and JSON in the place of the worksheet, are named."""
    refused(pcaudit("plan", SHEET, SHEET), "lab4-worksheet.toml")
    refused(pcaudit("plan", FIT), "fit-workstation.json", "TOML")
    refused(pcaudit("plan", SHEET, str(tmp_path / "none.json")), "none.json")


# -- days


def test_without_an_installation_day_nothing_is_ready(tmp_path: Path) -> None:
    """No day is made up: the first line says that there is none, a warning what that means."""
    path = _sheet(tmp_path, '[arrangements.stick]\nkind = "medium"\ntitle = "Stick"\nstate = "in hand"\n')
    text = _planned(path, *AS_OF).out
    assert text.splitlines()[0] == "INCONCLUSIVE: no installation day"
    assert "the worksheet has no installation day" in text
    document = _document(path, *AS_OF)
    assert (document["outcome"], document["day_known"]) == ("inconclusive", False)
    page = _planned(path, *AS_OF, "--format", "html").out
    assert "<dt>Installation</dt><dd>no day was said" in page


def test_nothing_asked_is_not_ready(tmp_path: Path) -> None:
    """A worksheet of nothing but a day gets no clean bill: the parts it says nothing of are named at once."""
    text = _planned(_sheet(tmp_path, "[installation]\nday = 2027-03-15\n"), *AS_OF).out
    assert text.splitlines()[0] == "INCONCLUSIVE: installation on 2027-03-15"
    head = " ".join(text[: text.index("-- At a glance")].split())
    for part in ("Backup and recovery", "Storage forecast", "Network"):
        assert part in head


def test_a_day_in_the_past_is_a_warning() -> None:
    """A plan for a day that has passed is made, for a later look back, and says so in its first lines."""
    text = _planned(SHEET, FIT, "--as-of", "2027-03-20").out
    assert "2027-03-15, is past" in text[: text.index("-- At a glance")]


def test_another_day_can_be_judged_for() -> None:
    """--on takes the place of the worksheet's day: what is asked before the day moves with it."""
    document = _document(SHEET, FIT, "--on", "2027-04-12", *AS_OF)
    assert document["on"] == "2027-04-12"
    assert any("2027-03-15" in text for text in document["warnings"])
    due = {one["id"]: one["due"] for one in document["arrangements"]}
    assert due["outlets"] == "2027-04-09"


def test_what_is_late_depends_on_the_day_counted_from() -> None:
    """The same worksheet a week before the day is late with what nobody has begun."""
    early = _verdicts(_document(SHEET, FIT, *AS_OF))
    late = _verdicts(_document(SHEET, FIT, "--as-of", "2027-03-10"))
    assert early["arrangements.authorisation-code"] == "unverified"
    assert late["arrangements.authorisation-code"] == "unmet"


def test_a_licence_that_ends_before_the_day_is_not_ready() -> None:
    """The plan is made all the same, ends with 0, and names the licence first among what falls short."""
    done = _planned(LATE, "--as-of", "2027-03-08")
    assert done.out.startswith("NOT READY: installation on 2027-03-15\n")
    assert "expires on 2027-03-12, before 2027-03-15" in " ".join(done.out.split())
    verdicts = _verdicts(_document(LATE, "--as-of", "2027-03-08"))
    assert verdicts["arrangements.licence-certificate"] == "unmet"
    assert verdicts["arrangements.administrator"] == "unmet"


@pytest.mark.parametrize("option", ["--on", "--as-of"])
@pytest.mark.parametrize("day", ["tomorrow", "2027-02-30", "20270315", "2027-W11-1"])
def test_what_is_no_day_is_refused(option: str, day: str) -> None:
    """A day is written year, month, day, and nothing else is guessed at."""
    refused(pcaudit("plan", SHEET, option, day), option, day)


# -- worksheets


def test_the_worksheet_may_come_from_a_pipe() -> None:
    """Profiles it names are then seen from where the program runs."""
    text = (
        Path(SHEET)
        .read_text(encoding="utf-8")
        .replace("../../requirements_profiles", "requirements_profiles")
    )
    piped = _document("-", FIT, *AS_OF, stdin=text.encode())
    assert piped["worksheet"]["path"] == "standard input"
    assert _verdicts(piped) == _verdicts(_document(SHEET, FIT, *AS_OF))


def test_two_files_cannot_come_from_one_pipe() -> None:
    """Worksheet and snapshot both from standard input are refused."""
    refused(pcaudit("plan", "-", "-"), "standard input")


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_worksheets_of_windows_editors_are_read(tmp_path: Path, encoding: str) -> None:
    """What Notepad saves as UTF-16, or with a byte-order mark, means the same."""
    text = 'format = 1\ntitle = "Raum Süd"\n[installation]\nday = 2027-03-15\n'
    marks = {"utf-16-le": "\ufeff", "utf-16-be": "\ufeff"}
    path = tmp_path / "w.toml"
    path.write_bytes((marks.get(encoding, "") + text).encode(encoding))
    document = _document(str(path), *AS_OF)
    assert (document["worksheet"]["title"], document["on"]) == ("Raum Süd", "2027-03-15")


def test_a_fresh_worksheet_has_a_plan(tmp_path: Path) -> None:
    """What worksheet new writes, every blank in it, is inconclusive: nothing is met that nobody answered."""
    made = pcaudit("worksheet", "new", WORKSTATION, "--output", str(tmp_path / "w.toml"))
    assert made.code == 0
    document = _document(str(tmp_path / "w.toml"), FIT, *AS_OF)
    assert document["outcome"] == "inconclusive"
    answered = [one["verdict"] for one in document["arrangements"]]
    assert answered and set(answered) == {"unverified"}


_NAMES: Final = ("format", "title", "id", "circuit", "plugged_into", "stands_on", "lan")


def _blanked(node: dict[str, Any]) -> dict[str, Any]:
    """Every text but names and references blank; amounts, days and lists of them left out."""
    out: dict[str, Any] = {}
    for key, value in node.items():
        if isinstance(value, str):
            out[key] = value if key in _NAMES else ""
        elif isinstance(value, dict):
            out[key] = _blanked(value)
        elif key == "format":
            out[key] = value
        elif isinstance(value, list) and isinstance(value[0], dict) and key != "away":
            out[key] = [_blanked(one) for one in value]
    return out


def _toml(node: dict[str, Any], path: str = "") -> str:
    lines = [f"{key} = {json.dumps(value)}" for key, value in node.items() if isinstance(value, (str, int))]
    for key, value in node.items():
        if isinstance(value, dict):
            lines += [f"[{path}{key}]", _toml(value, f"{path}{key}.")]
        for one in value if isinstance(value, list) else []:
            lines += [f"[[{path}{key}]]", _toml(one, f"{path}{key}.")]
    return "\n".join(lines)


def test_every_kind_of_blank_has_a_plan(tmp_path: Path) -> None:
    """With every answer of the example blank, nothing that was asked of people or the place is met."""
    blank = _blanked(tomllib.loads(Path(SHEET).read_text(encoding="utf-8")))
    blank["use"] = {}
    path = tmp_path / "blank.toml"
    path.write_text(_toml(blank), encoding="utf-8")
    document = _document(str(path), *AS_OF)
    assert document["outcome"] == "inconclusive"
    met = [name for name, verdict in _verdicts(document).items() if verdict == "met"]
    # What is plugged where, and stands where, is still said; and of names and subnets nothing is.
    assert [
        name for name in met if name.split(".")[0] in ("arrangements", "backup", "storage", "calendar")
    ] == []
    assert _planned(str(path), *AS_OF).out


def test_a_profile_that_is_not_there_is_named(tmp_path: Path) -> None:
    """The worksheet's line and the path that was looked for are told."""
    path = _sheet(tmp_path, '[use]\nprofiles = ["nowhere.toml"]\n')
    done = pcaudit("plan", path)
    assert (done.code, done.out) == (2, "")
    assert "w.toml:4: use.profiles[1]: there is no file nowhere.toml" in done.err
    assert f"looked for {tmp_path / 'nowhere.toml'}" in done.err


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    """Wrong values of different sections are told together, each with its line."""
    text = '[installation]\nday = "soon"\n[data]\nper_run = "many"\n[backup]\nscheme = "sometimes"\n'
    done = pcaudit("plan", _sheet(tmp_path, text))
    assert (done.code, done.out) == (2, "")
    assert "Traceback" not in done.err
    for line in ("w.toml:4", "w.toml:6", "w.toml:8"):
        assert line in done.err


@pytest.mark.parametrize(
    "text",
    [
        f'[arrangements.licence]\nkind = "licence"\ntitle = "L"\nstate = "in hand"\nnote = "{SECRET}"\n',
        f'[arrangements.licence]\nkept = "key {SECRET}"\n',
        f"[arrangements.licence]\nnote = {SECRET}\n",
        'title = "W"\n[arrangements.admin]\nnote = "password: Zw7-rtpq!x"\n',
    ],
    ids=["note", "kept", "no TOML", "password"],
)
@pytest.mark.parametrize("format", ["text", "json", "html", "ics"])
def test_a_secret_is_refused_and_not_repeated(tmp_path: Path, text: str, format: str) -> None:  # noqa: A002
    """What resembles a key or password ends with 2, is told by its place, and stands in no output."""
    path, output = _sheet(tmp_path, text), tmp_path / "out"
    for more in ((), ("--output", str(output))):
        done = pcaudit("plan", path, FIT, "--format", format, *more)
        assert done.code == 2 and done.out == ""
        for part in (SECRET, SECRET[:11], SECRET[-11:], "Zw7-rtpq"):
            assert part not in done.err
        assert "w.toml:" in done.err and "Traceback" not in done.err
    assert not output.exists()


# -- where it goes


def test_a_plan_goes_into_a_file_whole(tmp_path: Path) -> None:
    """Standard output stays empty, a remark says where it went; --quiet leaves that out."""
    output = tmp_path / "plan.html"
    done = pcaudit("plan", SHEET, FIT, *AS_OF, "--format", "html", "--output", str(output))
    assert (done.code, done.out) == (0, "")
    assert done.err == f"plan written to {output}\n"
    assert output.read_text(encoding="utf-8").endswith("</html>\n")
    quiet = pcaudit("plan", SHEET, *AS_OF, "--output", str(output), "--quiet")
    assert (quiet.code, quiet.out, quiet.err) == (0, "", "")
    assert os.listdir(tmp_path) == ["plan.html"]


def test_a_calendar_file_keeps_its_line_ends(tmp_path: Path) -> None:
    """Lines of an iCalendar file end with CR LF (RFC 5545, section 3.1), in a file as in a pipe."""
    output = tmp_path / "plan.ics"
    assert pcaudit("plan", SHEET, *AS_OF, "--format", "ics", "--output", str(output)).code == 0
    raw = output.read_bytes()
    assert raw.startswith(b"BEGIN:VCALENDAR\r\n") and raw.endswith(b"END:VCALENDAR\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n")


def test_nothing_a_plan_is_made_from_is_written_over(tmp_path: Path) -> None:
    """Neither the worksheet, nor the snapshot, nor a profile it names is lost to --output."""
    profile = tmp_path / "p.toml"
    profile.write_bytes(Path(WORKSTATION).read_bytes())
    sheet = _sheet(tmp_path, '[use]\nprofiles = ["p.toml"]\n[installation]\nday = 2027-03-15\n')
    seen = tmp_path / "s.json"
    seen.write_bytes(Path(FIT).read_bytes())
    for path in (sheet, str(seen), str(profile)):
        before = Path(path).read_bytes()
        refused(pcaudit("plan", sheet, str(seen), "--output", path), Path(path).name)
        assert Path(path).read_bytes() == before


def test_an_output_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """A folder that is not there, and a folder in the place of a file, end with 2."""
    for path in (tmp_path / "none" / "plan.txt", tmp_path):
        refused(pcaudit("plan", SHEET, *AS_OF, "--output", str(path)), path.name)


def test_knowledge_may_be_replaced(tmp_path: Path) -> None:
    """The shipped table as a file of the lab's own changes nothing; a broken one is named, and none too."""
    refused(pcaudit("plan", SHEET, "--knowledge", str(tmp_path)), "no knowledge file")
    shipped = TOP / "pcaudit" / "knowledge" / "electrical.toml"
    (tmp_path / "electrical.toml").write_bytes(shipped.read_bytes())
    assert _document(SHEET, *AS_OF, "--knowledge", str(tmp_path)) == _document(SHEET, *AS_OF)
    (tmp_path / "electrical.toml").write_text("countries = 1\n", encoding="utf-8")
    refused(pcaudit("plan", SHEET, "--knowledge", str(tmp_path)), "electrical.toml")


def test_the_same_files_give_the_same_plan() -> None:
    """Two runs differ in nothing."""
    assert _planned(SHEET, FIT, *AS_OF).out == _planned(SHEET, FIT, *AS_OF).out
    html = ("--format", "html")
    assert _planned(SHEET, FIT, *AS_OF, *html).out == _planned(SHEET, FIT, *AS_OF, *html).out
