"""``pcaudit profile new``: from flags, without any, and after questions at a terminal."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.cli.program import FIT, pcaudit, refused
from tests.cli.talk import Talk, converse


def test_a_starter_from_flags_validates(tmp_path: Path) -> None:
    """Flags become conditions; the file validates, and can be assessed, as it was written."""
    path = str(tmp_path / "new.toml")
    flags = ["--os", "windows", "--os-edition", "pro, enterprise", "--os-version", ">=10.0.22000"]
    flags += ["--memory", "16 GB", "--ports", "2"]
    done = pcaudit("profile", "new", "--title", "Balance logger", *flags, "--output", path)
    assert (done.code, done.out) == (0, "")
    assert done.err == f"written to {path}: edit it, then: pcaudit profile validate {path}\n"
    checked = pcaudit("profile", "validate", path)
    assert (checked.code, checked.err) == (0, "")
    assert checked.out == f"{path}: valid, 5 conditions, 0 arrangements\n"
    report = pcaudit("assess", path, FIT)
    assert report.code in (0, 3, 4)
    assert "Balance logger" in report.out


def test_without_a_terminal_nothing_is_asked() -> None:
    """Without flags and without a terminal a starter with a placeholder title goes to standard output."""
    done = pcaudit("profile", "new")
    assert (done.code, done.err) == (0, "")
    assert 'title = "Name of the instrument software"' in done.out
    checked = pcaudit("profile", "validate", "-", stdin=done.out.encode())
    assert (checked.code, checked.err) == (0, "")
    assert checked.out == "standard input: valid, 2 conditions, 0 arrangements\n"


@pytest.mark.parametrize(
    ("flags", "words"),
    [
        (["--memory", "16 gb"], ("--memory: 'gb' is not a unit", "did you mean 'GB'?")),
        (["--memory", ""], ("--memory: an empty answer", "16 GB")),
        (["--os", "win"], ("--os: 'win' is no word",)),
        (["--os-version", ">=12"], ("--os-version: it means nothing without --os",)),
        (["--os", "linux", "--os-version", ">=12"], ("--os-version: ", "--os-product")),
        (["--os", "macos", "--os-edition", "pro"], ("--os-edition: only windows has editions",)),
        (["--cores", "0"], ("--cores: 0 asks nothing",)),
        (["--screen", "wide"], ("--screen: 'wide' is no width and height", "1920x1080")),
        (["--memory-recommended", "8 GB", "--memory", "16 GB"], ("--memory-recommended: ", "looser")),
        (["--title", "a\x1b[2Jb"], ("--title: ", "\\x1b")),
        (["--title", os.fsdecode(b"a\xffb")], ("--title: ", "\\udcff")),
    ],
)
def test_a_wrong_flag_leaves_no_file(tmp_path: Path, flags: list[str], words: tuple[str, ...]) -> None:
    """A flag whose value is not right is refused with what would be, and nothing is written."""
    path = tmp_path / "new.toml"
    refused(pcaudit("profile", "new", *flags, "--output", str(path)), *words)
    assert list(tmp_path.iterdir()) == []


def test_no_file_is_overwritten(tmp_path: Path) -> None:
    """A file that is there stays as it is."""
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    refused(pcaudit("profile", "new", "--title", "x", "--output", str(path)), "is there already")
    assert path.read_text(encoding="utf-8") == "mine"
    assert list(tmp_path.iterdir()) == [path]


def test_no_file_behind_a_link_is_overwritten(tmp_path: Path) -> None:
    """A link to a file is the file it leads to."""
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    refused(pcaudit("profile", "new", "--output", str(link)), "is there already")
    assert path.read_text(encoding="utf-8") == "mine" and link.is_symlink()


def test_where_no_file_can_be(tmp_path: Path) -> None:
    """A folder, a missing folder and an empty name are refused with what to do."""
    refused(pcaudit("profile", "new", "--output", str(tmp_path)), "is a folder")
    refused(pcaudit("profile", "new", "--output", str(tmp_path / "no" / "x.toml")), "there is no folder")
    refused(pcaudit("profile", "new", "--output", ""), "the file name is empty")


def test_a_title_stays_what_it_is(tmp_path: Path) -> None:
    """Quotes, backslashes and other scripts in a title come back in the report."""
    path = str(tmp_path / "new.toml")
    title = 'Messger\u00e4t "A" \\ \u6e2c\u5b9a'
    assert pcaudit("profile", "new", "--title", title, "-o", path, "-q").err == ""
    assert pcaudit("assess", path, FIT).out.splitlines()[1] == title


def test_a_version_that_says_nothing_is_remarked_on_at_once(tmp_path: Path) -> None:
    """What validate would remark on is said when the file is written, which it is all the same."""
    path = str(tmp_path / "new.toml")
    done = pcaudit("profile", "new", "--os", "windows", "--os-version", "<11", "--output", path)
    assert done.code == 0
    assert "os.any_of[1].version: `<11` excludes nothing newer" in done.err
    assert Path(path).exists()


# -- at a terminal


posix = pytest.mark.skipif(os.name == "nt", reason="needs POSIX terminals")


@posix
def test_questions_at_a_terminal(tmp_path: Path) -> None:
    """Each answer becomes a condition, a wrong one is asked again, Enter leaves one out."""
    talk = Talk("profile", "new", cwd=tmp_path)
    converse(
        talk,
        [
            ("Title: ", 'The "fast" logger'),
            ("Operating system: ", "win"),
            ("Operating system: ", "windows"),
            ("Editions of it: ", ""),
            ("Versions of it: ", ""),
            ("Memory fitted, at least: ", ">=16 GB"),
            ("Memory fitted, at least: ", "16"),
            ("Memory fitted, at least: ", "16 GB"),
            ("Memory recommended: ", "8 GB"),
            ("Memory recommended: ", ""),
            ("Processor cores, at least: ", "4"),
            ("Free space on the system volume, at least: ", ""),
            ("Screen, at least: ", ""),
            ("Wired network ports, at least: ", ""),
            ("File [the-fast-logger.toml]: ", ""),
        ],
    )
    assert talk.end() == 0, talk.seen
    assert "'win' is no word for operating system" in talk.seen
    assert "'16' has no unit: write a memory size such as \"16 GB\"" in talk.seen
    assert "begins with a sign: write the amount alone, such as 16 GB" in talk.seen
    assert "looser than the minimum" in talk.seen
    path = tmp_path / "the-fast-logger.toml"
    done = pcaudit("profile", "validate", str(path))
    assert done.out == f"{path}: valid, 5 conditions, 0 arrangements\n"
    assert 'title = "The \\"fast\\" logger"' in path.read_text(encoding="utf-8")


@posix
def test_an_answer_that_says_nothing_is_remarked_on_at_once(tmp_path: Path) -> None:
    """What is remarked on an answer is said at its question; Enter keeps it, another answer replaces it."""
    flags = ["--memory", "8 GB", "--cores", "2", "--free-space", "1 GB", "--screen", "1x1", "--ports", "1"]
    talk = Talk("profile", "new", *flags, "--os", "windows", "--output", "new.toml", cwd=tmp_path)
    converse(
        talk,
        [
            ("Title: ", "x"),
            ("Editions of it: ", ""),
            ("Versions of it: ", ">=22631"),
            ("Versions of it [>=22631]: ", ">=10.0.22631"),
            ("Versions of it [>=10.0.22631]: ", ""),
            ("Memory recommended: ", ""),
        ],
    )
    assert talk.end() == 0, talk.seen
    assert "met by no Windows" in talk.seen and "write >=10.0.22631" in talk.seen
    assert "Home and S mode have the same versions" in talk.seen
    assert 'version = ">=10.0.22631"' in (tmp_path / "new.toml").read_text(encoding="utf-8")


@posix
def test_what_flags_say_is_not_asked_again(tmp_path: Path) -> None:
    """Questions are asked only for what no flag answered; a file that is there is asked for again."""
    (tmp_path / "profile.toml").write_text("mine", encoding="utf-8")
    flags = ["--memory", "8 GB", "--cores", "2", "--free-space", "1 GB", "--screen", "1x1", "--ports", "1"]
    talk = Talk("profile", "new", *flags, "--os", "linux", cwd=tmp_path)
    converse(
        talk,
        [
            ("Title: ", ""),
            ("Product: ", ""),
            ("Memory recommended: ", ""),
            ("File [profile.toml]: ", ""),
            ("File [profile.toml]: ", "other.toml"),
        ],
    )
    assert talk.end() == 0, talk.seen
    assert "profile.toml is there already" in talk.seen
    assert "Versions of it" not in talk.seen
    assert sorted(path.name for path in tmp_path.iterdir()) == ["other.toml", "profile.toml"]
    assert (tmp_path / "profile.toml").read_text(encoding="utf-8") == "mine"


@posix
@pytest.mark.parametrize("after", ["Title: ", "File [profile.toml]: "])
def test_giving_up_leaves_no_file(tmp_path: Path, after: str) -> None:
    """Ctrl-C at any question ends with 130, says that nothing was written, and nothing was."""
    talk = Talk("profile", "new", cwd=tmp_path)
    asked = ["Title", "system", "fitted, at least", "cores, at least", "volume, at least", "Screen, at least"]
    if after != "Title: ":
        converse(talk, [*((f"{words}: ", "") for words in asked), ("ports, at least: ", "")])
    talk.wait_for(after)
    talk.interrupt()
    assert talk.end() == 130
    assert "nothing was written" in talk.seen and "Traceback" not in talk.seen
    assert list(tmp_path.iterdir()) == []


@posix
def test_a_title_given_at_a_terminal_asks_nothing(tmp_path: Path) -> None:
    """With --title there are no questions, at a terminal either."""
    talk = Talk("profile", "new", "--title", "x", "--output", "new.toml", cwd=tmp_path)
    assert talk.end() == 0
    assert (tmp_path / "new.toml").exists()
    assert "Operating system" not in talk.seen
