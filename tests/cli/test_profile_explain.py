"""``pcaudit profile explain`` through the real program."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from tests.cli.program import PROFILES, WORKSTATION, pcaudit, refused

BASE = '# site\nformat = 1\ntitle = "Site"\n[os.language]\nequal = "en"\n'
OWN = 'format = 1\ntitle = "Balance"\nbased_on = "site.toml"\n[cpu.cores]\nminimum = 4\n'


@pytest.mark.parametrize("profile", sorted(PROFILES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_can_be_explained(profile: Path) -> None:
    """Each example gives a page of 80 columns with its title, its digest and a place to sign."""
    done = pcaudit("profile", "explain", str(profile))
    assert (done.code, done.err) == (0, "")
    assert hashlib.sha256(profile.read_bytes()).hexdigest() in done.out
    assert max(map(len, done.out.splitlines())) <= 80
    assert "\x1b" not in done.out
    assert done.out.splitlines()[-1].startswith("by ___")


def test_a_profile_on_another_names_both_files(tmp_path: Path) -> None:
    """Rows of a base come first, each place with its file, and both files stand with their digests."""
    for name, text in (("site.toml", BASE), ("own.toml", OWN)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    done = pcaudit("profile", "explain", "own.toml", cwd=tmp_path)
    assert done.code == 0
    words = " ".join(done.out.split())
    assert "based on site.toml (line 3)" in words
    assert words.index("site.toml:4, os.language") < words.index("own.toml:4, cpu.cores")
    for text in (BASE, OWN):
        assert hashlib.sha256(text.encode()).hexdigest() in words


def test_the_page_goes_to_a_file(tmp_path: Path) -> None:
    """--output writes the page that standard output would show, and says so unless told not to."""
    page = tmp_path / "page.txt"
    done = pcaudit("profile", "explain", WORKSTATION, "--output", str(page))
    assert (done.code, done.out, done.err) == (0, "", f"page written to {page}\n")
    assert page.read_text(encoding="utf-8") == pcaudit("profile", "explain", WORKSTATION).out
    assert pcaudit("profile", "explain", WORKSTATION, "--output", str(page), "--quiet").err == ""


def test_the_page_takes_the_width_it_is_given() -> None:
    """COLUMNS decides how wide the page is, in a pipe too."""
    wide = pcaudit("profile", "explain", WORKSTATION, COLUMNS="120").out
    assert 110 < max(map(len, wide.splitlines())) <= 120


def test_a_profile_comes_through_standard_input() -> None:
    """A profile in a pipe is explained under the name of standard input."""
    done = pcaudit("profile", "explain", "-", stdin=BASE.encode())
    assert done.code == 0
    assert "file       standard input" in done.out


def test_a_profile_with_mistakes_is_not_explained(tmp_path: Path) -> None:
    """What does not validate gives its mistakes and no page, not even an old one overwritten."""
    page = tmp_path / "page.txt"
    page.write_text("kept", encoding="utf-8")
    bad = BASE.replace("equal", "equals").encode()
    done = pcaudit("profile", "explain", "-", "--output", str(page), stdin=bad)
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith("standard input:5: os.language.equals: unknown key `equals`\n")
    assert page.read_text(encoding="utf-8") == "kept"


@pytest.mark.parametrize("name", ["own.toml", "site.toml"])
def test_no_profile_is_overwritten(tmp_path: Path, name: str) -> None:
    """Neither the profile nor what it is based on can be named as the page's file."""
    for file, text in (("site.toml", BASE), ("own.toml", OWN)):
        (tmp_path / file).write_text(text, encoding="utf-8")
    refused(pcaudit("profile", "explain", "own.toml", "--output", name, cwd=tmp_path), "also an input")
    assert (tmp_path / "own.toml").read_text(encoding="utf-8") == OWN
    assert (tmp_path / "site.toml").read_text(encoding="utf-8") == BASE
