"""Choosing a renderer by the name of a format."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Sequence
from typing import Any, Final

import pytest

from pcaudit.errors import UsageError
from pcaudit.render import compare_interface, interface, plan_interface, survey_interface
from pcaudit.render.formats import chosen

_ALL: Final[tuple[tuple[Sequence[str], Callable[[str], Any], str], ...]] = (
    (interface.FORMATS, interface.renderer, "is not a format"),
    (compare_interface.FORMATS, compare_interface.renderer, "is not a format of a comparison"),
    (plan_interface.FORMATS, plan_interface.renderer, "is not a format of a plan"),
    (survey_interface.FORMATS, survey_interface.renderer, "is not a format of a survey"),
)


@pytest.mark.parametrize(("formats", "renderer", "words"), _ALL)
def test_every_format_there_is_can_be_loaded(
    formats: Sequence[str], renderer: Callable[[str], Any], words: str
) -> None:
    """Each name gives a renderer, and any other name is refused with what there is."""
    assert formats
    for name in formats:
        assert callable(renderer(name))
    with pytest.raises(UsageError) as refused:
        renderer("pigment")
    assert str(refused.value) == f"'pigment' {words}"
    assert refused.value.next_step == f"formats: {', '.join(formats)}"


def test_the_screen_is_handed_to_the_format() -> None:
    """What text is laid out for reaches the format that was asked for, and no other is made."""
    assert chosen({"a": lambda screen: f"for {screen}", "b": lambda _: 1 // 0}, "a", 80) == "for 80"


def test_only_the_format_that_is_asked_for_is_loaded() -> None:
    """Asking for JSON does not load the pages or the text."""
    code = (
        "import sys; from pcaudit.render.interface import renderer; renderer('json'); "
        "print(*(one for one in ('json', 'html', 'junit') if 'pcaudit.render.' + one in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["json"]
