"""Mistakes whose cause is not what it looks like: each is told by what was meant."""

from __future__ import annotations

import pytest

from tests.core.builders import mistakes_of

WHEN = "cpu.cores = { minimum = 1, when = { %s } }"
PACKAGE = '[[software.packages]]\nid = "a"\ncount = 0\nname = { matches = "%s" }\n'
OPTION = '[options.shared]\ntitle = "Shared"\n[cpu.cores]\nminimum = 1\n'


@pytest.mark.parametrize(
    ("text", "key", "message", "hint"),
    [
        (WHEN % '"os.domain" = true', 'cpu.cores.when."os.domain"', "true where a text", '{ matches = "*" }'),
        ("os.domain = false", "os.domain", "false where a text", "its name in quotes"),
        ("power.lid_action = false", "power.lid_action", "false where a text", "write one of: nothing"),
        (
            PACKAGE % "[Old Suite*",
            "software.packages[1].name.matches",
            "bracket that is not closed",
            "with ]",
        ),
        (PACKAGE % "Old [1-5] [x", "software.packages[1].name.matches", "bracket that is not closed", "[[]"),
    ],
)
def test_a_wrong_value_is_told_by_what_was_meant(text: str, key: str, message: str, hint: str) -> None:
    """A value that would be read as something that never matches is refused, with how it is written."""
    (mistake,) = mistakes_of(text)
    assert mistake.key == key
    assert message in mistake.message
    assert hint in mistake.hint


# POSIX.1-2017, Shell Command Language, 2.13.1: a ] that comes first in a bracket stands for itself.
@pytest.mark.parametrize("pattern", ["[Oo]ld*", "[]]x", "[!]]x", "[[]x*", "a]", "[1-5][!0-9]*"])
def test_a_closed_bracket_is_read(pattern: str) -> None:
    """What POSIX takes for a bracket expression is one, whatever stands in it."""
    assert mistakes_of(PACKAGE % pattern) == []


@pytest.mark.parametrize("system", ["windows", "macos"])
@pytest.mark.parametrize("scheme", ["debian", "semver", "pep440"])
def test_a_maker_of_numbers_is_compared_by_numbers(system: str, scheme: str) -> None:
    """No other scheme orders the versions of Windows and macOS, in a table or in a `when`."""
    version = f'{{ version = ">=10.0.1", scheme = "{scheme}" }}'
    (table,) = mistakes_of(f'[os]\ntype = "{system}"\nversion = {version}')
    (limit,) = mistakes_of(WHEN % f'"os.type" = "{system}", "os.version" = {version}')
    assert table.key == "os.version" and limit.key == 'cpu.cores.when."os.version"'
    assert f"the {scheme} scheme does not order the versions of {system}" in table.message
    assert table.message == limit.message


def test_a_linux_may_be_compared_by_another_scheme() -> None:
    """A distribution numbers as it likes, so its profile may say how."""
    text = '[os]\ntype = "linux"\nproduct = "A"\nversion = { version = ">=12", scheme = "debian" }'
    assert mistakes_of(text) == []


def test_an_option_may_only_limit_other_tables() -> None:
    """An option with nothing but a title is right where a `when` names it, else it asks nothing."""
    assert mistakes_of(OPTION + "when = { shared = true }") == []
    assert mistakes_of(OPTION + "when = { options.shared = false }") == []
    (mistake,) = mistakes_of(OPTION)
    assert mistake.key == "options.shared" and "asks nothing" in mistake.message
    assert "name it in a `when`" in mistake.hint


def test_a_kind_that_is_no_text_is_told_once() -> None:
    """One fault is one mistake."""
    text = '[[arrangements]]\nid = "a"\ntitle = "x"\nkind = ["licence"]\n[cpu.cores]\nminimum = 1'
    (mistake,) = mistakes_of(text)
    assert (mistake.key, mistake.message) == ("arrangements[1].kind", "`kind` is a text")


def test_an_empty_text_is_not_told_to_be_no_text() -> None:
    """An empty title is a text, and empty."""
    (mistake,) = mistakes_of("cpu.cores = { minimum = 1 }", 'format = 1\ntitle = " "\n')
    assert mistake.message == "`title` is empty"
