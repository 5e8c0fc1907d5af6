"""Records on the command line of the real program, and what becomes of them on disk."""

from __future__ import annotations

import errno
import json
import os
import random
import re
import shutil
import signal
import subprocess
import time
from pathlib import Path
from typing import Any, Final

import pytest

from pcaudit import app, files, store
from pcaudit.core.canonical import sha256
from pcaudit.core.record import part_digests, record_name, whole_digest
from pcaudit.errors import UsageError
from pcaudit.files import to_json
from tests.cli.program import (
    DAYS,
    FIT,
    LINUX,
    PROGRAM,
    SMALL,
    TIRED,
    TOP,
    Done,
    environ,
    pcaudit,
    refused,
    snapshot as fixture,
)
from tests.core.kept import record_of
from tests.render.schemas import read

BY: Final = ("--by", "A. Example", "--meaning", "reviewed")
SAID: Final = app.Entering("A. Example", "approved")


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A report in JSON."""
    path = str(tmp_path_factory.mktemp("reports") / "report.json")
    done = pcaudit("assess", SMALL, LINUX, *DAYS, "--format", "json", "--output", path)
    assert done.code == 0
    return path


def _record(report: str, folder: Path, *arguments: str) -> Done:
    return pcaudit("record", report, *BY, "--store", str(folder), *arguments)


def _kept(report: str, folder: Path, number: int = 1) -> list[str]:
    """Paths of records entered one after the other."""
    return [app.keep_report(report, SAID, str(folder)).path for _ in range(number)]


def _document(path: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(Path(path).read_text(encoding="utf-8"))
    return document


# -- keeping


def test_a_report_is_kept(report: str, tmp_path: Path) -> None:
    """The store is made, the new file's name is the result, and the record verifies."""
    done = _record(report, tmp_path / "new" / "store")
    assert (done.code, done.err) == (0, "")
    path = done.out.strip()
    # The PC of this fixture shows no serial number, so its host name stands in the name.
    assert re.fullmatch(
        r"balance-2_[0-9]{4}-[0-9]{2}-[0-9]{2}_[0-9a-f]{8}\.record\.json", os.path.basename(path)
    )
    verified = pcaudit("verify", path)
    assert (verified.code, verified.err) == (0, "")
    assert verified.out.startswith(f"VERIFIES: {os.path.basename(path)}\n")
    assert "by A. Example as reviewed" in verified.out
    text = " ".join(verified.out.split())
    assert (
        "PC no serial number read, balance-2" in text
        and f"Profile {_document(path)['report']['profiles'][0]['title']}" in text
    )
    assert "no electronic signature" in " ".join(verified.out.split())


def test_a_record_holds_all_it_was_made_of(report: str, tmp_path: Path) -> None:
    """It holds the report whole, every input's digest, who, what and when, and is valid by its schema."""
    from jsonschema import Draft202012Validator

    record = _document(_record(report, tmp_path).out.strip())
    assert record["report"] == _document(report)
    assert record["entered"]["by"] == "A. Example"
    assert re.fullmatch(r"[0-9]{4}-[0-9-]{5}T[0-9:]{8}[+-][0-9]{2}:[0-9]{2}", record["entered"]["at"])
    digests = {one["role"]: one["sha256"] for one in record["inputs"]}
    assert digests == {
        "report": sha256(Path(report).read_bytes()),
        "profile": sha256(Path(SMALL).read_bytes()),
    }
    assert record["judged_again"]["differs"] == []
    Draft202012Validator(read("record")).validate(record)


def test_each_record_names_the_one_before(report: str, tmp_path: Path) -> None:
    """The first follows none, each next one the last, and verifying one verifies all before it."""
    paths = _kept(report, tmp_path, 3)
    records = [_document(path) for path in paths]
    assert records[0]["previous"] is None
    for before, path, record in zip(records, paths, records[1:], strict=False):
        assert record["previous"] == {"record": os.path.basename(path), "digest": before["digest"]}
    assert "2 before it verify too" in " ".join(pcaudit("verify", paths[2]).out.split())


def test_a_correction_is_a_new_record(report: str, tmp_path: Path) -> None:
    """What is corrected stays as it was; the new record names it and says why."""
    (first,) = _kept(report, tmp_path)
    before = Path(first).read_bytes()
    done = _record(report, tmp_path, "--replaces", first, "--because", "entered under the wrong name")
    assert (done.code, done.err) == (0, "")
    assert Path(first).read_bytes() == before
    corrected = _document(done.out.strip())["replaces"]
    assert corrected == {
        "record": os.path.basename(first),
        "digest": _document(first)["digest"],
        "because": "entered under the wrong name",
    }
    verified = pcaudit("verify", done.out.strip())
    assert verified.code == 0 and "entered under the wrong name" in " ".join(verified.out.split())


def test_a_mixed_store_is_told(report: str, tmp_path: Path) -> None:
    """Records of two chains in one folder stop the next one."""
    (first,), (other,) = (
        _kept(report, tmp_path / "a"),
        [app.keep_report(report, app.Entering("B. Example", "approved"), str(tmp_path / "b")).path],
    )
    shutil.copy(other, tmp_path / "a")
    refused(_record(report, tmp_path / "a"), "2 records that none follows")
    assert Path(first).exists()


def test_the_same_report_twice_is_told(report: str, tmp_path: Path) -> None:
    """A report that the store keeps already is kept, with a line; as the correction of itself without."""
    (first,) = _kept(report, tmp_path)
    done = _record(report, tmp_path)
    assert done.code == 0
    assert f"the same report is kept already: {os.path.basename(first)}" in done.err


def test_a_correction_is_of_the_same_pc(report: str, tmp_path: Path) -> None:
    """A record of another PC cannot be replaced."""
    other = str(tmp_path / "other.json")
    snapshot = fixture(LINUX)
    snapshot["readings"]["computer.host_name"]["value"] = "balance-3"
    (tmp_path / "s.json").write_text(json.dumps(snapshot), encoding="utf-8")
    args = (SMALL, str(tmp_path / "s.json"), *DAYS, "--format", "json", "--output", other)
    assert pcaudit("assess", *args).code == 0
    (first,) = _kept(other, tmp_path / "store")
    refused(
        _record(report, tmp_path / "store", "--replaces", first, "--because", "a slip"),
        "host name balance-3, and the report of balance-2",
        "without --replaces",
    )


def test_what_was_corrected_is_not_corrected_twice(report: str, tmp_path: Path) -> None:
    """A second correction of one record is refused, and the first one named: that is to be corrected."""
    (first,) = _kept(report, tmp_path)
    name = os.path.basename(first)
    second = _record(report, tmp_path, "--replaces", name, "--because", "a slip").out.strip()
    refused(
        _record(report, tmp_path, "--replaces", name, "--because", "again"),
        "corrects it already",
        os.path.basename(second),
    )


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--meaning", "liked"), ("'liked'", "reviewed, approved")),
        (("--by", " "), ("--by names nobody",)),
        (("--by", "A\x1b[31m"), ("--by has characters that do not show",)),
        (("--by", "x" * 401), ("more than 400",)),
        (("--replaces", "x.record.json"), ("go together",)),
        (("--because", "a slip"), ("go together",)),
        (("--replaces", "", "--because", ""), ("--replaces is empty",)),
        (("--replaces", "x.record.json", "--because", "a slip"), ("no such record in",)),
        (("--replaces", "elsewhere/x.record.json", "--because", "a slip"), ("no such record in",)),
        (("--store", ""), ("name of the store is empty",)),
        (("--concessions", SMALL), ("unknown key",)),
    ],
)
def test_what_cannot_be_entered(report: str, tmp_path: Path, arguments: tuple[str, ...], words: Any) -> None:
    """Wrong use is refused with what would be right, and nothing is written."""
    done = _record(report, tmp_path / "store", *arguments)
    assert done.code == 2
    assert all(word in done.err for word in words), done.err
    assert not list(tmp_path.glob("store/*.json"))


@pytest.mark.parametrize("missing", ["--by", "--meaning", "--store"])
def test_who_what_and_where_must_be_said(report: str, tmp_path: Path, missing: str) -> None:
    """Without a name, a meaning or a store nothing is kept."""
    given = {"--by": "A. Example", "--meaning": "reviewed", "--store": str(tmp_path)}
    del given[missing]
    done = pcaudit("record", report, *(part for pair in given.items() for part in pair))
    assert done.code == 2 and missing in done.err


def test_a_snapshot_is_no_report(tmp_path: Path) -> None:
    """What is no report is refused, and told how one is made."""
    refused(_record(FIT, tmp_path), "not a report (it is a snapshot)", "pcaudit assess PROFILE SNAPSHOT")


def _altered(report: str, folder: Path, *, version: str = "") -> str:
    """A report whose one unmet advised condition was made met, and all that follows from it."""
    document = _document(report)
    for finding in document["findings"]:
        finding["verdict"] = "met"
    if version:
        document["tool"]["version"] = version
    path = folder / "altered.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


@pytest.fixture
def marginal(tmp_path: Path) -> str:
    """A report that is ready with something marginal."""
    snapshot = fixture(LINUX)
    snapshot["readings"]["cpu.threads"]["value"] = 2
    (tmp_path / "s.json").write_text(json.dumps(snapshot), encoding="utf-8")
    path = str(tmp_path / "marginal.json")
    args = (SMALL, str(tmp_path / "s.json"), *DAYS, "--format", "json", "--output", path)
    assert pcaudit("assess", *args).code == 0
    return path


def test_a_report_that_was_changed_is_not_kept(marginal: str, tmp_path: Path) -> None:
    """A better verdict than the report's own readings give is found, and the report refused."""
    refused(
        _record(_altered(marginal, tmp_path), tmp_path / "store"),
        "judged again, say otherwise of",
        "cpu.threads",
    )


@pytest.mark.parametrize("key", ["found", "required", "source", "because", "remedy"])
def test_a_report_whose_words_were_changed_is_not_kept(report: str, tmp_path: Path, key: str) -> None:
    """Whatever a finding says is held against what the readings give, not its verdict alone."""
    document = _document(report)
    document["findings"][1][key] = "64 GB"
    path = tmp_path / "words.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    refused(_record(str(path), tmp_path / "store"), "say otherwise of", document["findings"][1]["id"])


def test_a_report_of_another_version_is_kept_with_what_differs(marginal: str, tmp_path: Path) -> None:
    """Another version may have judged otherwise: said so, it is kept, and the record says of what."""
    altered = _altered(marginal, tmp_path, version="0.0.1")
    refused(_record(altered, tmp_path / "store"), "differs in cpu.threads", "--although-differing")
    done = _record(altered, tmp_path / "store", "--although-differing")
    assert done.code == 0
    assert "judges otherwise" in done.err and "cpu.threads" in done.err
    assert "cpu.threads" in _document(done.out.strip())["judged_again"]["differs"]


def test_a_report_of_another_version_with_another_outcome_is_refused(tmp_path: Path) -> None:
    """One that says ready where this version says not ready is kept only if that was said, and told so."""
    path = str(tmp_path / "unfit.json")
    assert pcaudit("assess", SMALL, TIRED, *DAYS, "--format", "json", "--output", path).code == 3
    forged = _document(_altered(path, tmp_path, version="0.0.1"))
    forged |= {"outcome": "ready", "pc_outcome": "ready"}
    (tmp_path / "altered.json").write_text(json.dumps(forged), encoding="utf-8")
    altered = str(tmp_path / "altered.json")
    refused(_record(altered, tmp_path / "store"), "comes to not ready", "--although-differing")
    done = _record(altered, tmp_path / "store", "--although-differing")
    assert done.code == 0
    kept = done.out.strip()
    verified = " ".join(pcaudit("verify", kept).out.split())
    assert "judging its readings again, found" in verified and "the whole not ready" in verified
    drifted = " ".join(pcaudit("drift", kept, TIRED).out.split())
    assert "come to not ready, and the record says ready" in drifted


def _conceded(folder: Path) -> tuple[str, str]:
    """A report that accepts a finding, and its concessions."""
    profile = folder / "profile.toml"
    profile.write_text(
        'format = 1\ntitle = "One"\n\n[computer.model]\nequal = "Benchline 90"\n', encoding="utf-8"
    )
    arguments = ("assess", str(profile), TIRED, *DAYS, "--format", "json")
    finding = json.loads(pcaudit(*arguments).out)["findings"][0]
    words = {"condition": "computer.model", "because": "replaced in summer", "by": "A. Example"}
    words |= {key: finding[key] for key in ("digest", "found")}
    words["pc"] = fixture(TIRED)["readings"]["computer.serial_number"]["value"]
    lines = [f"{key} = {json.dumps(text)}" for key, text in words.items()]
    file = folder / "concessions.toml"
    head = ["format = 1", 'title = "Laboratory 2"', "[[concessions]]", "until = 2027-06-30"]
    file.write_text("\n".join([*head, *lines]), encoding="utf-8")
    report = str(folder / "conceded.json")
    assert pcaudit(*arguments, "--concessions", str(file), "--output", report).code == 0
    return report, str(file)


def test_concessions_are_kept_with_the_report(tmp_path: Path) -> None:
    """A report that accepts something is kept with the very file that grants it, and not without."""
    report, file = _conceded(tmp_path)
    refused(_record(report, tmp_path / "store"), "was made with concessions", "--concessions FILE")
    done = _record(report, tmp_path / "store", "--concessions", file)
    assert done.code == 0
    kept = _document(done.out.strip())["concessions"]
    assert kept["text"] == Path(file).read_text(encoding="utf-8")
    assert kept["sha256"] == sha256(Path(file).read_bytes())
    other = Path(file).read_text(encoding="utf-8").replace("replaced in summer", "no reason at all")
    Path(file).write_text(other, encoding="utf-8")
    refused(_record(report, tmp_path / "store", "--concessions", file), "is not the file of concessions")


def _without(report: str, *keys: str) -> str:
    """A report as an earlier build wrote it, without some keys."""
    document = _document(report)
    for key in keys:
        del document[key]
    Path(report).write_text(json.dumps(document), encoding="utf-8")
    return report


def test_only_the_concessions_the_report_was_made_with_are_kept(report: str, tmp_path: Path) -> None:
    """Another limit is another file, and a report made without concessions is kept without any."""
    conceded, file = _conceded(tmp_path)
    said = _document(conceded)["concessions"]
    assert said == {"path": file, "sha256": sha256(Path(file).read_bytes())}
    assert _document(report)["concessions"] is None
    refused(
        _record(report, tmp_path / "store", "--concessions", file),
        "was made without concessions",
        "leave --concessions out",
    )
    text = Path(file).read_text(encoding="utf-8")
    Path(file).write_text(text + '\nallows = "Anything"\n', encoding="utf-8")
    refused(_record(conceded, tmp_path / "store", "--concessions", file), "its SHA-256 is")


def test_a_redacted_report_does_not_name_its_concessions(tmp_path: Path) -> None:
    """A path may name people: of the concessions file only the digest stays."""
    _, file = _conceded(tmp_path)
    arguments = (str(tmp_path / "profile.toml"), TIRED, *DAYS, "--concessions", file, "--redact")
    said = json.loads(pcaudit("assess", *arguments, "--format", "json").out)["concessions"]
    assert said == {"path": "concessions", "sha256": sha256(Path(file).read_bytes())}


def test_concessions_of_an_older_report_must_all_be_used(report: str, tmp_path: Path) -> None:
    """Where a report does not say its file, one that grants more or less is refused, another told of."""
    conceded, file = _conceded(tmp_path)
    older = _without(conceded, "concessions")
    done = _record(older, tmp_path / "store", "--concessions", file)
    assert done.code == 0 and "does not say which concessions file" in done.err
    text = Path(file).read_text(encoding="utf-8")
    other = text.replace("replaced in summer", "no reason at all")
    Path(file).write_text(other, encoding="utf-8")
    refused(_record(older, tmp_path / "store", "--concessions", file), "does not grant")
    more = text[text.index("[[") :].replace("computer.model", "cpu.threads")
    Path(file).write_text(f"{text}\n{more}", encoding="utf-8")
    refused(_record(older, tmp_path / "store", "--concessions", file), "accepts nothing by", "cpu.threads")


def test_a_concession_is_said_wherever_the_outcome_is(tmp_path: Path) -> None:
    """The report, the remark that it was written, verify and drift all say on what "ready" rests."""
    report, file = _conceded(tmp_path)
    asked = (str(tmp_path / "profile.toml"), TIRED, *DAYS, "--concessions", file)
    text = str(tmp_path / "conceded.txt")
    done = pcaudit("assess", *asked, "--output", text)
    assert f"ready, with 1 concession: written to {text}" in done.err
    page = Path(text).read_text(encoding="utf-8")
    assert page.startswith("READY, WITH 1 CONCESSION: ")
    assert re.search(r"^PC +ready, with 1 concession: ", page, re.MULTILINE)
    kept = _record(report, tmp_path / "store", "--concessions", file).out.strip()
    assert "ready, with 1 concession, judged for" in pcaudit("verify", kept).out
    drifted = pcaudit("drift", kept, TIRED).out
    assert re.search(r"^Outcome +then ready, with 1 concession; now ready, with 1 concession$", drifted, re.M)


def test_a_name_taken_is_never_written_over(
    report: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a file of the new record's name is there, nothing is written."""
    monkeypatch.setattr(store, "record_name", lambda _document: "taken.record.txt")
    (tmp_path / "taken.record.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(UsageError, match="no record is written over"):
        _kept(report, tmp_path)
    assert (tmp_path / "taken.record.txt").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "arguments",
    [
        ("assess", SMALL, LINUX, *DAYS),
        ("verify", "{last}"),
        ("drift", "{last}", LINUX),
        ("profile", "schema"),
        ("readings", "memory.installed"),
    ],
    ids=lambda arguments: arguments[0],
)
@pytest.mark.parametrize("called", ["first", "copy", "damaged"])
def test_no_command_writes_over_a_record(
    report: str, tmp_path: Path, arguments: tuple[str, ...], called: str
) -> None:
    """No output goes over a record: another one of the chain, a copy by another name, or a damaged one."""
    first, last = _kept(report, tmp_path / "store", 2)
    copy = str(tmp_path / "copy.json")
    shutil.copy(first, copy)
    damaged = str(tmp_path / "x.record.json")
    Path(damaged).write_bytes(Path(first).read_bytes()[:100])
    output = {"first": first, "copy": copy, "damaged": damaged}[called]
    before = Path(output).read_bytes()
    done = pcaudit(*(one.format(last=last) for one in arguments), "--output", output)
    refused(done, "is a record, and no record is written over")
    assert Path(output).read_bytes() == before


def test_what_only_speaks_of_records_is_written_over(report: str, tmp_path: Path) -> None:
    """A file that is no record is written over as ever, though the word stands in it."""
    path = tmp_path / "old.json"
    path.write_text('{"kind": "report", "note": "record"}', encoding="utf-8")
    assert pcaudit("assess", SMALL, LINUX, *DAYS, "--output", str(path)).code == 0
    assert path.read_text(encoding="utf-8").startswith("READY")


def test_a_store_that_cannot_be_used(report: str, tmp_path: Path) -> None:
    """A file where the folder should be is told in one line."""
    (tmp_path / "store").write_text("", encoding="utf-8")
    refused(_record(report, tmp_path / "store"), "cannot be used")


_ENDS: Final = {
    "full": errno.ENOSPC,
    "over its quota": errno.EDQUOT if hasattr(errno, "EDQUOT") else errno.ENOSPC,
    "read-only": errno.EROFS,
    "not writable": errno.EACCES,
    "broken": errno.EIO,
}


class _Half:
    """A file that takes half of what it is given, and then no more."""

    def __init__(self, descriptor: int, code: int) -> None:
        self.descriptor, self.code = descriptor, code

    def __enter__(self) -> _Half:
        return self

    def __exit__(self, *_error: object) -> None:
        os.close(self.descriptor)

    def write(self, data: bytes) -> None:
        os.write(self.descriptor, data[: len(data) // 2])
        raise OSError(self.code, os.strerror(self.code))


def _fails(monkeypatch: pytest.MonkeyPatch, step: str, code: int) -> None:
    """Let one step of writing a record fail, as the operating system would."""
    whole = os.open

    def fail(*_arguments: object, **_more: object) -> None:
        raise OSError(code, os.strerror(code))

    def opened(path: str, flags: int, mode: int = 0o777) -> int:
        if path.endswith(".tmp" if step == "make" else store.LOCK):
            fail()
        return whole(path, flags, mode)

    if step in ("lock", "make"):
        monkeypatch.setattr(os, "open", opened)
    elif step == "write":
        monkeypatch.setattr(files, "open", lambda descriptor, _mode: _Half(descriptor, code), raising=False)
    else:
        monkeypatch.setattr(os, {"flush": "fsync", "rename": "replace", "folder": "makedirs"}[step], fail)


@pytest.mark.parametrize("code", _ENDS.values(), ids=_ENDS)
@pytest.mark.parametrize("step", ["folder", "lock", "make", "write", "flush", "rename"])
def test_a_store_that_takes_nothing(
    report: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, code: int
) -> None:
    """Whichever step fails, what is there stays as it was, nothing half-written, and it can be repeated."""
    (first,) = _kept(report, tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    with monkeypatch.context() as failing:
        failing.setattr("time.sleep", lambda _seconds: None)
        _fails(failing, step, code)
        with pytest.raises(UsageError) as told:
            _kept(report, tmp_path)
    assert "cannot be" in told.value.message and told.value.next_step
    assert os.strerror(code).lower() in told.value.message.lower()
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
    (second,) = _kept(report, tmp_path)
    assert [kept.name for kept in store.verify(second).records] == [Path(second).name, Path(first).name]


_SMALL: Final = """
import resource, runpy
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
runpy.run_module("pcaudit", run_name="__main__")
"""


@pytest.mark.skipif(os.name == "nt", reason="needs POSIX limits")
def test_a_store_with_no_room_for_a_record(report: str, tmp_path: Path) -> None:
    """Where the operating system stops the real program in the middle of a record nothing is left of it."""
    (first,) = _kept(report, tmp_path)
    before = Path(first).read_bytes()
    command = [PROGRAM[0], "-c", _SMALL, "record", report, *BY, "--store", str(tmp_path)]
    done = subprocess.run(command, cwd=TOP, env=environ(), capture_output=True, timeout=120)
    refused(Done(done.returncode, done.stdout.decode(), done.stderr.decode()), "cannot be written")
    assert Path(first).read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == [store.LOCK, Path(first).name]


# -- verifying


def _said(path: str) -> str:
    """What verifying says is wrong; "unreadable" where it cannot be read; empty where all agrees."""
    try:
        return store.verify(path).fault
    except UsageError as error:
        return f"unreadable: {error.message}"


def test_every_changed_byte_is_found(report: str, tmp_path: Path) -> None:
    """Whichever byte is changed the record no longer verifies, nor where only its layout is another."""
    (path,) = _kept(report, tmp_path)
    whole = Path(path).read_bytes()
    chance = random.Random(8785)  # noqa: S311
    spaces = [at for at in range(len(whole)) if whole[at : at + 1].isspace()]
    for at in [
        0,
        1,
        len(whole) - 2,
        *chance.sample(spaces, 20),
        *(chance.randrange(len(whole)) for _ in range(150)),
    ]:
        broken = bytearray(whole)
        # White space for white space, which is JSON as before; else whatever a bit makes of it.
        space = {b" "[0]: b"\t"[0], b"\n"[0]: b" "[0]}.get(whole[at])
        broken[at] = space or whole[at] ^ chance.choice((1, 4, 32, 0x80))
        Path(path).write_bytes(broken)
        assert _said(path), (at, whole[at - 20 : at + 20])
    Path(path).write_bytes(whole)
    assert _said(path) == ""


def test_a_record_cut_short_is_found(report: str, tmp_path: Path) -> None:
    """A file that ends anywhere before its end is unreadable, or told to be laid out otherwise."""
    (path,) = _kept(report, tmp_path)
    whole = Path(path).read_bytes()
    for size in (0, 1, 100, len(whole) // 2, len(whole) - 2, len(whole) - 1):
        Path(path).write_bytes(whole[:size])
        assert _said(path)


def test_line_ends_may_be_converted(report: str, tmp_path: Path) -> None:
    """A copy that was carried as text, every line end with it, still verifies."""
    (path,) = _kept(report, tmp_path)
    whole = Path(path).read_bytes()
    Path(path).write_bytes(whole.replace(b"\n", b"\r\n"))
    assert _said(path) == ""
    Path(path).write_bytes(whole.replace(b"\n", b"\r\n", 1))
    assert "written anew by something else (line 1)" in _said(path)


@pytest.mark.parametrize("coding", ["utf-8-sig", "utf-16"])
def test_another_encoding_does_not_verify(report: str, tmp_path: Path, coding: str) -> None:
    """A record that an editor saved with a byte-order mark was written anew."""
    (path,) = _kept(report, tmp_path)
    text = Path(path).read_bytes().decode()
    Path(path).write_bytes(text.encode(coding))
    assert "written anew by something else (it begins with a byte-order mark" in _said(path)


def test_a_record_under_another_name_does_not_verify(report: str, tmp_path: Path) -> None:
    """A record renamed, or copied over that of another PC, is told by what its content makes it."""
    (path,) = _kept(report, tmp_path)
    other = str(tmp_path / "LM40-28813_2026-11-25_bd5709d6.record.json")
    shutil.copy(path, other)
    done = pcaudit("verify", other)
    assert done.code == 5
    text = " ".join(done.out.split())
    assert "renamed, or copied over another" in text and os.path.basename(path) in text
    shutil.copy(path, upper := tmp_path / os.path.basename(path).upper())
    assert _said(str(upper)) == ""


def _again(path: str, **changes: Any) -> None:
    """Change a record and work its digests out again, as somebody would who knows how."""
    document = {**_document(path), **changes}
    document["digests"] = part_digests(document)
    document["digest"] = whole_digest(document)
    Path(path).write_text(to_json(document), encoding="utf-8", newline="")


def test_a_digest_worked_out_again_proves_nothing(report: str, tmp_path: Path) -> None:
    """What the documents say: a lone record whose digests were worked out again verifies, by its new name."""
    (path,) = _kept(report, tmp_path)
    _again(path, entered={**_document(path)["entered"], "by": "B. Example"})
    assert "renamed" in _said(path)
    os.rename(path, renamed := tmp_path / record_name(_document(path)))
    assert _said(str(renamed)) == ""


def _entered(document: dict[str, Any], **changes: Any) -> None:
    document["entered"] |= changes


def _met(document: dict[str, Any]) -> None:
    document["report"]["findings"][0]["verdict"] = "unmet"


def _parts(document: dict[str, Any]) -> None:
    document["digests"]["snapshot"] = "0" * 64


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (_parts, "(`snapshot` in `digests`)"),
        (lambda document: document.update(digests={}), "in `digests`)"),
        (_met, "it says ready, and its findings make it not ready"),
        (lambda document: document["report"].update(outcome="splendid"), "`outcome` is no outcome"),
        (lambda document: document["report"].update(findings=5), "list of findings"),
        (lambda document: _entered(document, by=5), "who entered it (`by` in `entered`)"),
        (lambda document: _entered(document, meaning="nice"), "none of: reviewed, approved"),
        (lambda document: _entered(document, at="yesterday"), "as RFC 3339 has it (`at` in `entered`)"),
        (lambda document: _entered(document, at="2026-11-25T10:00:00"), "as RFC 3339 has it"),
        (lambda document: document.update(inputs=5), "`inputs`"),
        (lambda document: document["tool"].update(version=None), "which version kept it"),
        (lambda document: document.update(judged_again=5), "(`judged_again`)"),
        (
            lambda document: document.update(
                concessions={"path": "c", "text": "x", "sha256": sha256(b"x")},
            ),
            "not those its report was made with",
        ),
        (lambda document: document.update(worksheet={"text": ""}), "the text of its worksheet"),
    ],
)
def test_what_contradicts_itself_does_not_verify(
    report: str, tmp_path: Path, change: Any, words: str
) -> None:
    """With the digest of the whole worked out anew, each part must still fit the others."""
    (path,) = _kept(report, tmp_path)
    document = _document(path)
    change(document)
    if change is not _parts and document["digests"]:
        document["digests"] = part_digests(document)
    document["digest"] = whole_digest(document)
    Path(path).write_text(to_json(document), encoding="utf-8", newline="")
    assert words in _said(path)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (os.unlink, "is not in this folder"),
        (lambda path: Path(path).write_text("{", encoding="utf-8"), "cannot be read"),
        (lambda path: _again(path, inputs=[]), "or copied over another"),
        (
            lambda path: Path(path).write_text(
                Path(path).read_text(encoding="utf-8").replace("A. Example", "B. Example"), encoding="utf-8"
            ),
            "does not verify: its digest does not match",
        ),
    ],
)
@pytest.mark.parametrize("which", [0, 1])
def test_a_broken_chain_is_found(report: str, tmp_path: Path, change: Any, words: str, which: int) -> None:
    """A record before it that is gone, cut, changed or exchanged is named, wherever in the chain it is."""
    paths = _kept(report, tmp_path, 3)
    change(paths[which])
    done = pcaudit("verify", paths[2])
    assert (done.code, done.err) == (5, "")
    text = " ".join(done.out.split())
    assert text.startswith("DOES NOT VERIFY: ")
    assert words in text and os.path.basename(paths[which]) in text


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({"format": 2}, 2, "record format 2 is newer"),
        ({"kind": "report"}, 2, "not a record (it is a report)"),
        ({"digest": "0" * 63}, 5, "not 64 hexadecimal digits"),
        ({"entered": {}}, 5, "who entered it"),
        ({"report": None}, 5, "`report` is gone"),
    ],
)
def test_the_exit_code_of_verify(
    report: str, tmp_path: Path, changes: dict[str, Any], code: int, words: str
) -> None:
    """What cannot be read ends with 2, what does not agree with 5, each with one clear line."""
    (path,) = _kept(report, tmp_path)
    Path(path).write_text(to_json({**_document(path), **changes}), encoding="utf-8")
    done = pcaudit("verify", path)
    assert done.code == code
    assert words in " ".join((done.out + done.err).split())
    if code == 2:
        refused(done)


_DAMAGE: Final = {
    "a byte": (lambda text: text.replace('"host_name": "b', '"host_name": "c'), 5, "its report was changed"),
    "a space": (lambda text: text.replace('": "', '":  "', 1), 5, "written anew by something else (line"),
    "cut short": (lambda text: text[: len(text) // 2], 2, "not JSON"),
    "the last line": (lambda text: text.rstrip("}\n"), 2, "not JSON"),
    "nothing left": (lambda _text: "", 2, "is empty"),
    "a newer format": (
        lambda text: text.replace('"format": 1,\n  "inputs"', '"format": 2,\n  "inputs"'),
        2,
        "format 2 is newer",
    ),
    "a short digest": (lambda text: re.sub(r'(?m)^  "digest": "..', '  "digest": "', text), 5, "not 64"),
    "a long digest": (lambda text: re.sub(r'(?m)^  "digest": "', '  "digest": "00', text), 5, "not 64"),
    "no digest": (lambda text: re.sub(r'(?m)^  "digest": ".*"', '  "digest": null', text), 5, "not 64"),
    "a key twice": (lambda text: text.replace("{", '{"kind": "record",', 1), 2, "given twice"),
}


@pytest.mark.parametrize(("damage", "code", "words"), _DAMAGE.values(), ids=_DAMAGE)
@pytest.mark.parametrize("command", ["verify", "drift"])
def test_a_damaged_record_is_told_in_one_line(
    report: str, tmp_path: Path, command: str, damage: Any, code: int, words: str
) -> None:
    """What is wrong with a record is said once, and the exit code says whether it could be read."""
    (path,) = _kept(report, tmp_path)
    text = Path(path).read_text(encoding="utf-8")
    assert damage(text) != text
    Path(path).write_text(damage(text), encoding="utf-8", newline="")
    done = pcaudit(command, path, *([LINUX] if command == "drift" else []))
    assert done.code == code
    told = " ".join((done.out + done.err).split())
    assert told.count(words) == 1, told
    if command == "drift" or code == 2:
        assert done.out == ""
        assert sum(not line.startswith(" ") for line in done.err.splitlines()) == 1
    else:
        assert done.err == "" and done.out.startswith("DOES NOT VERIFY: ")


@pytest.mark.parametrize("byte", [b"\xff", b"\x01"])
def test_a_flipped_byte_is_damage(report: str, tmp_path: Path, byte: bytes) -> None:
    """A record that is no text or no JSON any more is damaged; nobody is told to save it in an editor."""
    (path,) = _kept(report, tmp_path)
    whole = Path(path).read_bytes()
    at = whole.index(b"balance-2") + 3
    Path(path).write_bytes(whole[:at] + byte + whole[at + 1 :])
    for arguments in (("verify", path), ("drift", path, LINUX)):
        done = pcaudit(*arguments)
        refused(done, "the record is damaged: ", "from the backup of its store")
        assert "editor" not in done.err and " at\n" not in done.err


def test_what_does_not_verify_says_what_to_do(report: str, tmp_path: Path) -> None:
    """Both verify and drift end with what to do about a record that was changed."""
    (path,) = _kept(report, tmp_path)
    text = Path(path).read_text(encoding="utf-8").replace("A. Example", "B. Example")
    Path(path).write_text(text, encoding="utf-8", newline="")
    verified, drifted = pcaudit("verify", path), pcaudit("drift", path, LINUX)
    assert (verified.code, drifted.code) == (5, 5)
    for told in (verified.out, drifted.err):
        assert "from the backup" in " ".join(told.split())


def test_a_record_that_is_not_there() -> None:
    """A missing file ends with 2, and so does standard input: a record has others beside it."""
    refused(pcaudit("verify", "nowhere.record.json"), "no such file")
    refused(pcaudit("verify", "-"), "read from its file")


def test_nothing_is_added_to_a_broken_store(report: str, tmp_path: Path) -> None:
    """A record that does not verify, or that is gone and another names it, stops the next one."""
    paths = _kept(report, tmp_path, 3)
    moved = tmp_path / "moved.txt"
    shutil.move(paths[1], moved)
    refused(_record(report, tmp_path), os.path.basename(paths[1]), "is not in the store", "from the backup")
    shutil.move(moved, paths[1])
    shutil.move(paths[0], moved)
    refused(_record(report, tmp_path), os.path.basename(paths[0]), "is not in the store")
    shutil.move(moved, paths[0])
    _again(paths[2], inputs=[])
    text = Path(paths[2]).read_text(encoding="utf-8")
    Path(paths[2]).write_text(text.replace("A. Example", "B. Example"), encoding="utf-8")
    refused(_record(report, tmp_path), "does not verify")
    Path(paths[2]).write_text("{", encoding="utf-8")
    refused(_record(report, tmp_path), "a record in the store cannot be read")


def test_a_correction_of_what_did_not_come_before(report: str, tmp_path: Path) -> None:
    """A record that says it corrects one which is not before it does not verify."""
    first, second = _kept(report, tmp_path, 2)
    link = {"record": os.path.basename(first), "digest": "0" * 64, "because": "a slip"}
    _again(second, replaces=link)
    os.rename(second, renamed := tmp_path / record_name(_document(second)))
    assert "not among the records before it" in _said(str(renamed))


# -- several writers, and none that ends


def test_several_writers_make_one_chain(report: str, tmp_path: Path) -> None:
    """Programs that enter records at the same time wait for each other: one chain, none lost."""
    command = [*PROGRAM, "record", report, *BY, "--store", str(tmp_path)]
    running = [
        subprocess.Popen(command, cwd=TOP, env=environ(), stdout=subprocess.PIPE, text=True) for _ in range(6)
    ]
    paths = [process.communicate(timeout=120)[0].strip() for process in running]
    assert [process.returncode for process in running] == [0] * 6
    assert len(set(paths)) == 6
    assert max(len(store.verify(path).records) for path in paths) == 6
    assert all(store.verify(path).fault == "" for path in paths)


def test_what_a_killed_process_left_is_removed(report: str, tmp_path: Path) -> None:
    """A temporary file of a process that was killed goes with the next record; all else stays."""
    (tmp_path / ".pcaudit-0123456789ab.tmp").write_text("{", encoding="utf-8")
    (tmp_path / ".mine.tmp").write_text("", encoding="utf-8")
    _kept(report, tmp_path)
    assert not list(tmp_path.glob(".pcaudit-*.tmp"))
    assert (tmp_path / ".mine.tmp").exists()


_HOLD: Final = """
import sys, time
from pcaudit import store
with store._locked(sys.argv[1]):
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_writer_that_does_not_end_is_told(
    report: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who waits too long says so and writes nothing; once the other process is killed it can be written."""
    command = [PROGRAM[0], "-c", _HOLD, str(tmp_path)]
    with subprocess.Popen(command, cwd=TOP, env=environ(), stdout=subprocess.PIPE) as holder:
        try:
            assert holder.stdout is not None and holder.stdout.readline() == b"held\n"
            monkeypatch.setattr(store, "WAIT_SECONDS", 0.2)
            with pytest.raises(UsageError, match="another process has been adding"):
                _kept(report, tmp_path)
            assert not list(tmp_path.glob("*.json"))
        finally:
            holder.kill()
    assert _kept(report, tmp_path)


@pytest.mark.skipif(os.name == "nt", reason="needs POSIX signals")
def test_a_process_killed_at_any_moment_leaves_whole_records(report: str, tmp_path: Path) -> None:
    """Killed a hundred times while it enters records, it leaves whole ones only, in one chain."""
    chance = random.Random(100)  # noqa: S311
    raw = _document(report)
    for number in range(100):
        folder = tmp_path / str(number // 5)
        child = os.fork()
        if not child:
            while True:
                store.add(str(folder), lambda previous, _replaces: record_of(raw, previous))
        time.sleep(chance.uniform(0.0, 0.06))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        names = sorted(folder.glob("*.record.json")) if folder.exists() else []
        chains = [store.verify(str(path)) for path in names]
        assert [chain.fault for chain in chains] == [""] * len(names)
        assert max((len(chain.records) for chain in chains), default=0) == len(names)
    # Else nothing was ever written while it was killed.
    assert len(list(tmp_path.glob("*/*.record.json"))) > 20
    (last,) = _kept(report, folder)
    assert store.verify(last).fault == ""
    assert not list(folder.glob(".pcaudit-*.tmp"))
