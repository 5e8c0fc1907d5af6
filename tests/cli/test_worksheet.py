"""``pcaudit worksheet``: fresh ones, questions at a terminal, and mistakes told without repeating secrets."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path
from typing import Final

import pytest

from tests.cli.program import FIT, WORKSTATION, pcaudit, refused
from tests.cli.talk import Talk, converse

PROFILE: Final = """\
format = 1
title = "Data system"
[cpu.cores]
minimum = 1
[options.mass-detector.cpu.cores]
minimum = 2
[parameters]
instruments = { default = 1 }
[[arrangements]]
id = "licence"
kind = "licence"
title = "Licence"
lead_time = "10 working days"
[[arrangements]]
id = "admin"
kind = "credential"
title = "Local administrator"
[[arrangements]]
id = "room"
kind = "place"
title = "Room"
quantity = "temperature"
maximum = "25 °C"
"""

SECRET: Final = "QX7P2-12F45-GH1JK-67890-LMN0P"  # noqa: S105 - made up

posix = pytest.mark.skipif(os.name == "nt", reason="needs POSIX terminals")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a profile in a folder of its own."""
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "p.toml").write_text(PROFILE, encoding="utf-8")
    (tmp_path / "sheets").mkdir()
    return tmp_path


def _written(folder: Path, text: str) -> str:
    path = folder / "sheets" / "w.toml"
    path.write_text(f'format = 1\ntitle = "W"\n{text}', encoding="utf-8")
    return str(path)


def test_a_fresh_worksheet_validates_where_it_lies(folder: Path) -> None:
    """It names its profile as seen from its own folder, keeps the choices, and can be assessed at once."""
    path = str(folder / "sheets" / "w.toml")
    chosen = ("--option", "mass-detector", "--set", "instruments=2")
    done = pcaudit("worksheet", "new", str(folder / "profiles" / "p.toml"), *chosen, "--output", path)
    assert (done.code, done.out) == (0, "")
    assert done.err == f"written to {path}: fill it in, then: pcaudit worksheet validate {path}\n"
    use = tomllib.loads(Path(path).read_text(encoding="utf-8"))["use"]
    assert use["profiles"] == ["../profiles/p.toml"]
    assert (use["options"], use["parameters"]) == (["mass-detector"], {"instruments": 2})
    checked = pcaudit("worksheet", "validate", path)
    assert (checked.code, checked.err) == (0, "")
    absent = "not there: data, backup, place, network, calendar, tasks"
    assert checked.out == f"{path}: valid, 0 of 3 arrangements answered; {absent}\n"
    assert pcaudit("assess", FIT, "--worksheet", path, "--as-of", "2026-11-26").code == 4


def test_a_fresh_worksheet_goes_into_a_pipe(folder: Path) -> None:
    """Without --output it is the result, and is taken back from standard input."""
    made = pcaudit("worksheet", "new", WORKSTATION)
    assert (made.code, made.err) == (0, "")
    done = pcaudit("worksheet", "validate", "-", stdin=made.out.encode())
    assert (done.code, done.err) == (0, ""), done


def test_a_file_is_never_written_over(folder: Path) -> None:
    """A worksheet that is there is somebody's work."""
    path = _written(folder, "")
    before = Path(path).read_text(encoding="utf-8")
    refused(pcaudit("worksheet", "new", WORKSTATION, "--output", path), "is there already")
    assert Path(path).read_text(encoding="utf-8") == before


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("new", "missing.toml"), ("missing.toml", "no such file")),
        (("new", WORKSTATION, "--option", "none"), ("no option `none`",)),
        (("new", WORKSTATION, "--output", "nowhere/w.toml"), ("there is no folder nowhere",)),
        (("validate", "missing.toml"), ("missing.toml", "no such file")),
        (("validate", FIT), ("is JSON, and a worksheet is TOML",)),
    ],
)
def test_wrong_use_is_refused(arguments: tuple[str, ...], words: tuple[str, ...]) -> None:
    """What cannot be read, chosen or written ends with one clear block."""
    refused(pcaudit("worksheet", *arguments), *words)


def test_mistakes_are_told_as_those_of_profiles(folder: Path) -> None:
    """File, line, the line itself with a mark, the key, and what would be right."""
    path = _written(folder, '[arrangements.licence]\nsate = "in hand"\nexpires = "soon"\n')
    done = pcaudit("worksheet", "validate", path)
    assert (done.code, done.out) == (2, "")
    assert done.err == (
        f"{path}:4: arrangements.licence.sate: unknown key `sate`\n"
        '    sate = "in hand"\n    ^\n    did you mean `state`?\n'
        f"{path}:5: arrangements.licence.expires: `expires` is a day\n"
        '    expires = "soon"\n    ^\n    write expires = 2028-12-31, without quotes, or expires = "never"\n'
        f"{path}: 2 mistakes\n"
    )


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('[use]\nprofiles = ["p.toml"]\n', 4, ("use.profiles[1]", "there is no file p.toml", "looked for")),
        (
            '[use]\nprofiles = ["../profiles/p.toml"]\noptions = ["ms"]\n',
            5,
            ("use.options[1]", "mass-detector"),
        ),
        (
            '[use]\nprofiles = ["../profiles/p.toml"]\n[arrangements.lizence]\nstate = "missing"\n',
            5,
            ("arrangements.lizence", "did you mean `licence`?"),
        ),
        (
            '[use]\nprofiles = ["../profiles/p.toml"]\n[arrangements.room]\nmeasured = "22"\n',
            6,
            ("arrangements.room.measured", "not a temperature", "22 °C"),
        ),
    ],
)
def test_what_does_not_fit_the_profiles_is_told(
    folder: Path, text: str, line: int, words: tuple[str, ...]
) -> None:
    """Files that are not there, choices and answers that no profile has, at their line, by assess too."""
    path = _written(folder, text)
    for done in (pcaudit("worksheet", "validate", path), pcaudit("assess", FIT, "--worksheet", path)):
        assert (done.code, done.out) == (2, ""), done
        assert f"{path}:{line}: " in done.err
        assert all(word in done.err for word in words), done.err


def test_a_mistake_in_a_profile_is_told_there(folder: Path) -> None:
    """A worksheet that is right does not hide a profile that is wrong."""
    (folder / "profiles" / "p.toml").write_text(
        PROFILE.replace("minimum = 2", "minimun = 2"), encoding="utf-8"
    )
    done = pcaudit("worksheet", "validate", _written(folder, '[use]\nprofiles = ["../profiles/p.toml"]\n'))
    assert done.code == 2 and "minimun" in done.err


@pytest.mark.parametrize(
    ("text", "line", "key"),
    [
        (f'[arrangements.licence]\nkept = "{SECRET}"\n', 4, "arrangements.licence.kept: "),
        (
            f'[arrangements.licence]\nnote = "password: {SECRET}"\nreference = true\n',
            4,
            "arrangements.licence.note: ",
        ),
        (f'[people.it]\npassword = "{SECRET}"\n', 4, "people.it.password: "),
        (f"# licence key: {SECRET}\n", 3, "a comment: "),
        (f'[arrangements."{SECRET}"]\nsate = 1\n', 3, "arrangements: "),
        (f'[arrangements.licence]\nkept = "{SECRET}\n', 4, ""),  # no TOML
        (f'password = "{SECRET}" x\n', 3, ""),
        (f"title = '{SECRET}'\n", 3, ""),  # given twice
        (f'[arrangements.licence]\nsate = 1\nkept = "{SECRET}\\u0007"\n', 5, ""),
        (f'[arrangements.licence]\nsate = "{SECRET}"\n', 4, "arrangements.licence.sate: "),
    ],
)
def test_a_secret_is_refused_and_not_repeated(folder: Path, text: str, line: int, key: str) -> None:
    """Line and key of a secret are told; its text is nowhere in what is printed, whatever else is wrong."""
    path = _written(folder, text)
    runs = [
        pcaudit("worksheet", "validate", path),
        pcaudit("assess", WORKSTATION, FIT, "--worksheet", path, "--output", str(folder / "r.txt")),
        pcaudit("worksheet", "validate", "-", stdin=Path(path).read_bytes()),
    ]
    for done in runs:
        assert (done.code, done.out) == (2, ""), done
        assert f":{line}: {key}" in done.err and "resembles" in done.err, done.err
        assert SECRET not in done.err and SECRET[:11] not in done.err
        assert "fault of its own" not in done.err
    assert not (folder / "r.txt").exists()


def test_sections_that_are_not_there_are_named(folder: Path) -> None:
    """What a plan cannot work out does not look finished; with every section there nothing is said."""
    sections = '[data]\n[backup]\n[place]\n[network]\n[[tasks]]\nid = "probe"\n'
    done = pcaudit("worksheet", "validate", _written(folder, sections))
    assert done.out.endswith("it names no profile to check that against; not there: calendar\n")
    done = pcaudit("worksheet", "validate", _written(folder, "[calendar]\n" + sections))
    assert done.out.endswith("it names no profile to check that against\n")


@pytest.mark.parametrize(("day", "told"), [("2020-03-16", True), ("2120-03-18", False)])
def test_a_day_in_the_past_is_remarked_on(folder: Path, day: str, told: bool) -> None:
    """An installation day that is past is valid, for later audits need it, and is remarked on."""
    path = _written(folder, f"[installation]\nday = {day}\n")
    done = pcaudit("worksheet", "validate", path)
    assert done.code == 0
    assert (f"{path}:4: installation.day: {day} is past" in done.err) is told
    assert pcaudit("worksheet", "validate", path, "--quiet") == (0, "", "")


def test_an_order_number_may_look_like_a_key(folder: Path) -> None:
    """`reference = true` lets what looks like a key pass in its own table."""
    text = f'[arrangements.licence]\nkept = "{SECRET}"\nreference = true\nkind = "licence"\ntitle = "L"\n'
    assert pcaudit("worksheet", "validate", _written(folder, text)).code == 0


@pytest.mark.parametrize("option", ["--option", "--set", "--also", "--concessions"])
def test_a_plan_is_told_where_its_choices_stand(folder: Path, option: str) -> None:
    """What other commands take as options a plan takes from [use], and says so: no other is guessed at."""
    done = pcaudit("plan", _written(folder, ""), option, "x=1")
    refused(done, "[use] of the worksheet")
    assert option not in pcaudit("plan", "--help").out
    assert f"{option} " not in _completed("plan")


def _completed(command: str) -> str:
    """The words bash completes a command with."""
    lines = pcaudit("--show-completion", "bash").out.splitlines()
    (line,) = (one for one in lines if one.lstrip().startswith(f'"{command} "'))
    return line


# -- at a terminal


@posix
def test_questions_fill_a_worksheet(folder: Path) -> None:
    """Each answer stands behind its key, a wrong one is asked again, Enter leaves one blank."""
    talk = Talk("worksheet", "new", "../profiles/p.toml", cwd=folder / "sheets")
    converse(
        talk,
        [
            ("Installation day, as 2027-03-15: ", "15.3.2027"),
            ("Installation day, as 2027-03-15: ", "2027-03-15"),
            ("Building and room: ", 'Building "C"'),
            ("Service life", ""),
            ("State: ", "perhaps"),
            ("State: ", "in"),
            ("Who has it: ", "purchasing"),
            ("Where it is kept", "password: hunter2"),
            ("Where it is kept", "safe"),
            ("Last day it is valid, or never: ", "Never"),
            ("State: ", "not needed"),
            ("Why it is not needed: ", ""),
            ("Who says so: ", ""),
            ("State: ", "in hand"),
            ("Who has it: ", ""),
            ("Where it is kept", ""),
            ("Measured temperature, as 22 °C: ", "22"),
            ("Measured temperature, as 22 °C: ", "22 °C"),
            ("File [worksheet.toml]: ", ""),
        ],
    )
    assert talk.end() == 0, talk.seen
    assert "is no day: write it as 2027-03-15" in talk.seen
    assert "resembles a password" in talk.seen and talk.seen.count("hunter2") == 1  # as it was typed
    path = folder / "sheets" / "worksheet.toml"
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert str(data["installation"]["day"]) == "2027-03-15"
    assert data["installation"]["site"] == 'Building "C"'
    licence = data["arrangements"]["licence"]
    assert (licence["state"], licence["holder"], licence["expires"]) == ("in hand", "purchasing", "never")
    assert data["arrangements"]["admin"]["state"] == ""
    assert data["arrangements"]["room"]["measured"] == "22 °C"
    assert pcaudit("worksheet", "validate", str(path)).out.startswith(
        f"{path}: valid, 2 of 3 arrangements answered;"
    )


@posix
@pytest.mark.parametrize("questions", [0, 3, 6])
def test_giving_up_writes_nothing(folder: Path, questions: int) -> None:
    """Ctrl-C at any question ends with 130 and leaves no file."""
    talk = Talk("worksheet", "new", "../profiles/p.toml", cwd=folder / "sheets")
    asked = ["Installation day", "Building and room", "Service life", *["State"] * 3, "File [worksheet.toml]"]
    converse(talk, [(words, "") for words in asked[:questions]])
    talk.wait_for(asked[questions])
    talk.interrupt()
    assert talk.end() == 130
    assert "nothing was written" in talk.seen and "Traceback" not in talk.seen
    assert list((folder / "sheets").iterdir()) == []


@pytest.mark.parametrize(
    "line",
    [
        'site = "Kr0kodil!77Sumpf',
        "site = Kr0kodil!77Sumpf",
        "note = password in Kr0kodil",
        "passphrase = Kr0kodil",
    ],
)
def test_a_line_that_may_hold_a_secret_is_not_shown_for_its_syntax(folder: Path, line: str) -> None:
    """A mistake of syntax is told by its place alone where the line may hold what is refused elsewhere."""
    done = pcaudit("worksheet", "validate", _written(folder, f"[installation]\n{line}\n"))
    assert done.code == 2 and "w.toml:4" in done.err
    assert "Kr0kodil" not in done.err


def test_an_ordinary_line_is_shown_for_its_syntax(folder: Path) -> None:
    """What may hold no secret is shown where its syntax is wrong."""
    done = pcaudit("worksheet", "validate", _written(folder, '[installation]\nsite = "room 7\n'))
    refused(done, 'site = "room 7')


def test_a_profile_of_which_no_worksheet_can_be_made_is_told_with_its_line(folder: Path) -> None:
    """A key in a profile is told where it stands there; a digest is none."""
    profile = folder / "profiles" / "p.toml"
    profile.write_text(PROFILE.replace('title = "Licence"', f'title = "Licence {SECRET}"'), encoding="utf-8")
    done = pcaudit("worksheet", "new", str(profile), "--output", str(folder / "new.toml"))
    assert done.code == 2 and "p.toml:12: arrangements[1].title" in done.err
    assert "new.toml" not in done.err and SECRET not in done.err
    digest = "SHA-256 ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    profile.write_text(PROFILE.replace('title = "Licence"', f'title = "Licence, {digest}"'), encoding="utf-8")
    assert pcaudit("worksheet", "new", str(profile)).code == 0


@pytest.mark.parametrize("command", [("worksheet", "validate"), ("plan",)])
def test_concessions_that_are_not_there_are_told_with_their_line(
    folder: Path, command: tuple[str, ...]
) -> None:
    """A file of concessions that a worksheet names is looked for before anybody counts on it."""
    done = pcaudit(*command, _written(folder, '[use]\nconcessions = "nope.toml"\n'))
    assert done.code == 2 and "w.toml:4: use.concessions: there is no file nope.toml" in done.err


def test_a_worksheet_among_the_profiles_is_told_with_its_line(folder: Path) -> None:
    """What is no profile is told where it is named as one."""
    sheet = _written(folder, '[use]\nprofiles = ["../profiles/p.toml",\n"w.toml"]\n')
    done = pcaudit("worksheet", "validate", sheet)
    assert done.code == 2 and "w.toml:5: use.profiles[2]" in done.err
    assert "is a worksheet, not a profile" in done.err
