"""Profiles with mistakes, through the real command: every mistake at its place with what would be right."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Final, NamedTuple

import pytest

from pcaudit.cli.main import run
from pcaudit.core.places import line_text
from pcaudit.core.visible import visible

HEAD: Final = 'format = 1\ntitle = "A profile"\n'
GOOD: Final = HEAD + "[cpu.cores]\nminimum = 1\n"
SNAPSHOT: Final = str(Path(__file__).parent.parent.parent / "fixtures" / "snapshots" / "fit-workstation.json")


class Told(NamedTuple):
    """One mistake as it must be told.

    Attributes:
        line, column: Where the mark stands.
        says: What the key and message begin with.
        right: What the hint begins with.
    """

    line: int
    column: int
    says: str
    right: str


class Broken(NamedTuple):
    """A profile and all that is wrong with it."""

    name: str
    text: str
    told: tuple[Told, ...]


def _case(block: str) -> Broken:
    name, _, rest = block.partition("\n")
    body, *notes = re.split(r"^>> ", rest.partition("\n# ---- ")[0].strip("\n"), flags=re.MULTILINE)
    told = []
    for note in notes:
        place, _, words = note.strip().partition(" ")
        says, _, right = words.partition(" => ")
        line, _, column = place.partition(":")
        told.append(Told(int(line), int(column), says, right))
    return Broken(name, f"{HEAD}{body}", tuple(told))


def _cases() -> list[Broken]:
    text = (Path(__file__).parent / "test_broken_profiles.txt").read_text(encoding="utf-8")
    return [_case(block) for block in re.split(r"^== ", text, flags=re.MULTILINE)[1:]]


# What cannot stand in a text file that people read, or only at length.
_ODD: Final = [
    Broken(
        "an invisible character",
        HEAD + '[computer]\nmodel = "a\u200bb"\n',
        (Told(4, 1, "computer.model: the text has the invisible character \\u200b", "take it out"),),
    ),
    Broken(
        "a control character in a comment",
        HEAD + "[cpu.cores]\n# bell \x07\nminimum = 1\n",
        (Told(4, 8, "Found invalid character '\\x07'", "take the character out"),),
    ),
    Broken(
        "a carriage return alone",
        HEAD + "[cpu.cores]\rminimum = 1\n",
        (Told(3, 12, "more on this line than one setting", "a carriage return alone ends no line"),),
    ),
    Broken(
        "a pattern of many characters",
        HEAD + f'[computer]\nhost_name = {{ matches = "{"a" * 201}" }}\n',
        (Told(4, 15, "computer.host_name.matches: a pattern of 201 characters", "at most 200"),),
    ),
    Broken(
        "a range of many characters",
        HEAD + f'[computer]\nfirmware_version = "{"1" * 201}"\n',
        (Told(4, 1, "computer.firmware_version: a version range of 201 characters", "at most 200"),),
    ),
    Broken(
        "a number of thousands of digits",
        HEAD + f"[cpu.cores]\nminimum = {'9' * 5000}\n",
        (Told(4, 11, "a number has thousands of digits", "write a number that means something"),),
    ),
    Broken(
        "a comma after the last key in braces",
        HEAD + "[cpu]\ncores = { minimum = 1, }\n",
        (Told(4, 24, "a key cannot begin like this", "no comma stands before"),),
    ),
    # The head itself, from the first line.
    Broken(
        "no format",
        GOOD.partition("\n")[2],
        (Told(1, 1, "a profile begins with its format", "write format = 1"),),
    ),
    Broken(
        "no title",
        GOOD.replace('title = "A profile"\n', ""),
        (Told(1, 1, "a profile has a title", "write title"),),
    ),
    Broken(
        "a newer format",
        GOOD.replace("format = 1", "format = 2"),
        (Told(1, 1, "format: profile format 2 is newer", "this version of pcaudit reads up to format 1"),),
    ),
    Broken(
        "a format in quotes",
        GOOD.replace("format = 1", 'format = "1"'),
        (Told(1, 1, "format: the format is a number from 1 up", "write format = 1"),),
    ),
    Broken(
        "a format that is true",
        GOOD.replace("format = 1", "format = true"),
        (Told(1, 1, "format: the format is a number from 1 up", "write format = 1"),),
    ),
    Broken(
        "format nought",
        GOOD.replace("format = 1", "format = 0"),
        (Told(1, 1, "format: the format is a number from 1 up", "write format = 1"),),
    ),
    Broken(
        "a title that is a number",
        GOOD.replace('"A profile"', "5"),
        (Told(2, 1, "title: `title` is a text", 'write title = "..."'),),
    ),
    Broken(
        "a blank title",
        GOOD.replace('"A profile"', '" "'),
        (Told(2, 1, "title: `title` is empty", 'write title = "..."'),),
    ),
]
CASES: Final = [*_cases(), *_ODD]


def _blocks(told: str, count: int) -> list[list[str]]:
    """What is told, a block for each mistake; the count after them is checked and taken off."""
    blocks: list[list[str]] = []
    for line in told.splitlines():
        if line.startswith("    "):
            blocks[-1].append(line[4:])
        else:
            blocks.append([line])
    if len(blocks) > count:
        assert blocks.pop() == [f"profile.toml: {count} mistake{'s' * (count != 1)}"]
    return blocks


def _refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run the command; what it told of a refusal, and nothing else."""
    assert run(list(arguments)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err and "fault of its own" not in err
    return err


@pytest.mark.parametrize("broken", CASES, ids=[case.name for case in CASES])
def test_every_mistake_is_told_at_its_place(
    broken: Broken, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each mistake shows file and line, key, the line itself, a mark under the place and what is right."""
    monkeypatch.chdir(tmp_path)
    Path("profile.toml").write_bytes(broken.text.encode())
    err = _refused(capsys, "profile", "validate", "profile.toml")
    assert _refused(capsys, "assess", "profile.toml", SNAPSHOT) == err
    blocks = _blocks(err, len(broken.told))
    assert len(blocks) == len(broken.told), err
    lines = broken.text.split("\n")
    for block, told in zip(blocks, broken.told, strict=True):
        first, shown, mark, right = block
        assert first.startswith(f"profile.toml:{told.line}: {told.says}")
        line = lines[told.line - 1]
        assert shown == visible(line_text(line, told.column).strip(), 160)
        before = line[: told.column - 1]
        assert mark == " " * len(visible(before.lstrip(), 160)) + "^"
        assert right.startswith(told.right)


def test_there_are_enough_of_them() -> None:
    """More than a hundred profiles have one mistake and eight or more have five; no two share a name."""
    assert len({case.name for case in CASES}) == len(CASES)
    sizes = [len(case.told) for case in CASES]
    assert set(sizes) == {1, 5}
    assert sizes.count(1) >= 250 and sizes.count(5) >= 8


# -- files whose bytes are the mistake


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (GOOD.replace("profile", "caf\xe9").encode("latin-1"), "profile.toml:2: byte 25 (0xe9) is not UTF-8"),
        (
            "\ufeff".encode() + GOOD.replace("profile", "caf\xe9").encode("latin-1"),
            "profile.toml:2: byte 28 (0xe9)",
        ),
        (GOOD.encode() + b"# \xc3", "profile.toml:5: byte 57 (0xc3) is not UTF-8"),
        (GOOD.encode() + b"# \xed\xa0\x80\n", "profile.toml:5: byte 57 (0xed) is not UTF-8"),  # a surrogate
        (GOOD.encode("utf-16-le"), "profile.toml is not text"),  # no byte-order mark
        (b"\xff\xfe" + GOOD.encode("utf-16-le")[:-1], "profile.toml is damaged UTF-16"),
        (GOOD.encode("utf-32"), "profile.toml is not text"),
        (b"\xff\xfe" + "a = '\0'".encode("utf-16-le"), "profile.toml is not text"),
        (GOOD.encode() + b"#" * (1 << 20), "profile.toml is larger than 1 MiB"),
        (b"", "profile.toml is empty"),
        (b"\xef\xbb\xbf \r\n", "profile.toml is empty"),
    ],
    ids=[
        *("Latin-1", "Latin-1 after a mark", "cut in a character", "a surrogate in UTF-8", "UTF-16 unmarked"),
        *("half a unit of UTF-16", "UTF-32", "a zero in UTF-16", "too large", "empty", "nothing but blanks"),
    ],
)
def test_what_is_no_text_is_refused(
    raw: bytes, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bytes that are no UTF-8 and no marked UTF-16, too many or none are refused with what to do."""
    monkeypatch.chdir(tmp_path)
    Path("profile.toml").write_bytes(raw)
    first, *rest = _refused(capsys, "profile", "validate", "profile.toml").splitlines()
    assert first.startswith(told)
    assert len(rest) == 1 and rest[0].startswith("    ")


@pytest.mark.parametrize("size", [(1 << 20) - 1, 1 << 20])
def test_a_mebibyte_is_taken(size: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The limit itself is inside."""
    path = tmp_path / "profile.toml"
    path.write_bytes(GOOD.encode() + b"#" * (size - len(GOOD)))
    assert run(["profile", "validate", str(path), "--quiet"]) == 0
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be", "utf-8-sig"])
def test_a_mistake_in_another_encoding_has_the_same_place(
    encoding: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A byte-order mark moves no line and no column."""
    monkeypatch.chdir(tmp_path)
    text = HEAD.replace("profile", "pr\xf6file") + '[memory.installed]\nminimun = "16 GB"\n'
    mark = "\ufeff" if encoding == "utf-16-be" else ""
    Path("profile.toml").write_bytes((mark + text).encode(encoding))
    first, shown, place, _right, _count = _refused(capsys, "profile", "validate", "profile.toml").splitlines()
    assert first.startswith("profile.toml:4: memory.installed.minimun")
    assert (shown, place) == ('    minimun = "16 GB"', "    ^")
    # A mistake in the first line, where the mark of order stands.
    Path("profile.toml").write_bytes((mark + "format = 16 GB\n").encode(encoding))
    first, shown, place, _right = _refused(capsys, "profile", "validate", "profile.toml").splitlines()
    assert first.startswith("profile.toml:1: ") and shown.index("GB") == place.index("^")


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("a" + ".a" * 32_767 + " = 1\n", "a key has more than 8 parts"),
        ("[a" + ".a" * 32_767 + "]\n", "a key has more than 8 parts"),
        ("a = " + "[" * 60_000 + "]" * 60_000 + "\n", "brackets are nested more than 16 deep"),
        ("a = " + "{a=" * 20_000 + "1" + "}" * 20_000 + "\n", "brackets are nested more than 16 deep"),
    ],
    ids=["a dotted key", "a dotted table", "brackets", "braces"],
)
def test_what_is_dear_to_read_is_refused_at_once(
    body: str, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """64 KB of one key and thousands of brackets are refused at their line in well under a second."""
    monkeypatch.chdir(tmp_path)
    Path("profile.toml").write_text(HEAD + body, encoding="utf-8")
    began = time.perf_counter()
    err = _refused(capsys, "profile", "validate", "profile.toml")
    assert time.perf_counter() - began < 0.5
    assert err.startswith(f"profile.toml:3: {told}")
    assert len(err) < 1000


# -- mistakes that take more than one file


def test_the_largest_document_allowed_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Eight parts of a key and sixteen levels of brackets are inside: only their meaning is refused."""
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + "a.b.c.d.e.f.g.h = 1\nb = " + "[" * 16 + "]" * 16 + "\n", encoding="utf-8")
    err = _refused(capsys, "profile", "validate", str(path))
    assert "unknown section `a`" in err and "unknown section `b`" in err
    assert "parts" not in err and "deep" not in err


@pytest.mark.parametrize(
    ("files", "place", "says"),
    [
        (
            {"profile.toml": ["a.toml"], "a.toml": ["b.toml"], "b.toml": ["a.toml"]},
            "b.toml:3",
            "a.toml is based on this file in turn",
        ),
        (
            {"profile.toml": ["a.toml"], "a.toml": ["profile.toml"]},
            "a.toml:3",
            "profile.toml is based on this file in turn",
        ),
        ({"profile.toml": ["site/a.toml"], "site/a.toml": ["../../x.toml"]}, "site/a.toml:3", "lies outside"),
        (
            {"profile.toml": ["site/a.toml"], "site/a.toml": ["b.toml"]},
            "site/a.toml:3",
            "there is no file b.toml",
        ),
        (
            {f"{'profile' if n == 0 else n}.toml": [f"{n + 1}.toml"] for n in range(17)} | {"17.toml": []},
            "15.toml:3",
            "more than 16 profiles based on each other",
        ),
    ],
    ids=[
        "a circle of two",
        "a circle of all",
        "out of the folder",
        "missing further down",
        "too long a chain",
    ],
)
def test_bases_that_lead_nowhere(
    files: dict[str, list[str]],
    place: str,
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A base that is missing, outside or based on itself is told in the file that names it."""
    monkeypatch.chdir(tmp_path)
    for name, bases in files.items():
        Path(name).parent.mkdir(exist_ok=True)
        based = f"based_on = {bases}\n".replace("'", '"') if bases else ""
        Path(name).write_text(HEAD + based + "[cpu.cores]\nminimum = 1\n", encoding="utf-8")
    first = _refused(capsys, "profile", "validate", "profile.toml").splitlines()[0]
    assert first.startswith(f"{place}: based_on: ")
    assert says in first


def test_a_mistake_in_a_base_is_told_in_the_base(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The file and line are the base's own, not those of the profile that names it."""
    monkeypatch.chdir(tmp_path)
    Path("profile.toml").write_text(HEAD + 'based_on = ["good.toml", "bad.toml"]\n', encoding="utf-8")
    Path("good.toml").write_text(GOOD, encoding="utf-8")
    Path("bad.toml").write_text(HEAD + "[cpu.coers]\nminimum = 1\n", encoding="utf-8")
    err = _refused(capsys, "profile", "validate", "profile.toml")
    assert err.startswith("bad.toml:3: cpu.coers: no reading `cpu.coers`")
    assert err.splitlines()[-1] == "bad.toml: 1 mistake"
