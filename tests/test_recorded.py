"""Compiling profiles from the texts that a report holds."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pcaudit.core.profile import ProfileSource
from pcaudit.errors import UsageError
from pcaudit.loading import load
from pcaudit.recorded import perhaps_asked, profiles_of
from tests.cli.program import PROFILES

BASE = 'format = 1\ntitle = "Base"\n[cpu.cores]\nminimum = 4\n'
TOP = 'format = 1\ntitle = "Top"\nbased_on = ["parts/base.toml"]\n[memory.installed]\nminimum = "16 GB"\n'


def _source(path: str, text: str) -> ProfileSource:
    return ProfileSource(path, path, "0" * 64, text)


@pytest.mark.parametrize(
    ("top", "base"),
    [
        ("top.toml", "parts/base.toml"),
        ("lab/top.toml", "lab/parts/base.toml"),
        ("./lab/../lab/top.toml", "lab/parts/base.toml"),
        ("..\\lab\\top.toml", "..\\lab\\parts\\base.toml"),
        ("C:\\lab\\top.toml", "C:\\lab\\parts\\base.toml"),
        ("/lab/top.toml", "/lab/parts/base.toml"),
    ],
)
def test_a_profile_finds_what_it_is_based_on(top: str, base: str) -> None:
    """Whatever system wrote the paths, the base is found among the texts, and only the top was asked."""
    (profile,) = profiles_of([_source(base, BASE), _source(top, TOP)])
    assert profile.title == "Top"
    assert [condition.id for condition in profile.conditions] == ["cpu.cores", "memory.installed"]


def test_several_profiles_keep_their_order() -> None:
    """Profiles that no other is based on are all that were asked, in their order."""
    other = _source("other.toml", BASE.replace("Base", "Other"))
    found = profiles_of([_source("parts/base.toml", BASE), _source("top.toml", TOP), other])
    assert [profile.title for profile in found] == ["Top", "Other"]


def test_a_base_that_is_not_there_is_told() -> None:
    """A report without the text of a base cannot be judged again."""
    with pytest.raises(UsageError, match=r"does not hold the profile parts/base\.toml"):
        profiles_of([_source("top.toml", TOP)])


def test_a_circle_is_told() -> None:
    """Two texts that are based on each other, and a third on one of them, cannot be compiled."""
    first = _source("a.toml", TOP.replace("parts/base.toml", "b.toml"))
    second = _source("b.toml", TOP.replace("parts/base.toml", "a.toml"))
    third = _source("c.toml", TOP.replace("parts/base.toml", "a.toml"))
    with pytest.raises(UsageError, match="does not hold the profile"):
        profiles_of([first, second, third])


@pytest.mark.parametrize("path", sorted(PROFILES.glob("*.toml")), ids=lambda path: path.stem)
def test_the_shipped_profiles_compile_the_same(path: Path) -> None:
    """From its own text a profile becomes what it became when it was read from its file."""
    read = load(os.path.relpath(path))
    (again,) = profiles_of(read.sources)
    assert again == read


def test_what_was_asked_is_taken_by_its_position() -> None:
    """A base that was asked for too is one of the profiles, in the order asked, and may be so twice."""
    sources = [_source("parts/base.toml", BASE), _source("top.toml", TOP)]
    for asked, titles in (((1, 0), ["Top", "Base"]), ((0, 1, 0), ["Base", "Top", "Base"])):
        assert [profile.title for profile in profiles_of(sources, asked)] == titles


def test_two_spellings_of_one_file_stay_apart() -> None:
    """A file that is a base and was asked for by another spelling keeps both, whichever stands first."""
    base, other, top = (
        _source(path, text)
        for path, text in (("parts/base.toml", BASE), ("./parts/base.toml", BASE), ("top.toml", TOP))
    )
    for sources, asked in (((base, top, other), (1, 2)), ((other, base, top), (2, 0))):
        found = profiles_of(sources, asked)
        assert [profile.path for profile in found] == ["top.toml", "./parts/base.toml"]
        assert [source.path for source in found[0].sources] == ["parts/base.toml", "top.toml"]
        assert perhaps_asked(sources) == ["parts/base.toml"]


def test_a_profile_that_nobody_asked_for_is_told() -> None:
    """A file that neither was asked for nor anything asked is based on contradicts what was asked."""
    sources = [_source("parts/base.toml", BASE), _source("top.toml", TOP)]
    with pytest.raises(UsageError, match=r"holds the profile top\.toml, which was not asked for"):
        profiles_of(sources, (0,))


def test_profiles_that_are_all_based_on_each_other_are_told() -> None:
    """Where none is left that no other is based on, nothing can have been asked."""
    first = _source("a.toml", TOP.replace("parts/base.toml", "b.toml"))
    second = _source("b.toml", TOP.replace("parts/base.toml", "a.toml"))
    with pytest.raises(UsageError, match="does not hold together"):
        profiles_of([first, second])
