"""Colours of the HTML report, on a light and on a dark screen."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from typing import Final

import pytest

from pcaudit.core.report import Verdict
from pcaudit.render import html_style
from pcaudit.render.colours import DARK, LIGHT, PUBLISHED, Theme, web
from pcaudit.render.html_style import style
from tests.render.samples import report
from tests.render.vision import DEFICIENCIES, contrast, difference, linear

THEMES: Final = {"light": LIGHT, "dark": DARK}
SHEET: Final = Path(html_style.__file__).with_name("templates").joinpath("report.css").read_text("utf-8")

themes = pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)


@themes
@pytest.mark.parametrize("background", ["page", "panel"])
def test_every_text_reaches_the_contrast(theme: Theme, background: str) -> None:
    """Every colour a text or a gauge has reaches 4.5:1 on every background (WCAG 2.2, 1.4.3)."""
    behind = getattr(theme, background)
    for colour in (theme.ink, theme.quiet, *theme.verdicts.values()):
        assert contrast(colour, behind) >= 4.5, web(colour)


def test_the_style_sheet_has_no_other_colours() -> None:
    """The pairs of colours that are tested are all there are: the sheet names no colour of its own."""
    assert not re.findall(r"#[0-9a-f]{3,8}\b|rgba?\(|hsla?\(|opacity|filter:|mix-blend", SHEET)
    declared = re.findall(r"[{;](color|background|border[a-z-]*|outline|fill|stroke):([^;}]+)", SHEET)
    used = {
        (name, word)
        for name, value in declared
        for word in re.findall(r"var\(--([a-z-]+)\)|\b(currentColor|transparent)\b", value)
        for word in word
        if word
    }
    texts = {word for name, word in used if name in ("color", "fill", "stroke")} - {"currentColor"}
    assert texts == {"ink", "quiet", *(v.name.lower().replace("_", "-") for v in Verdict)}
    behind = {word for name, word in used if name == "background"}
    # Graduations under a heading are lines of the quiet colour; no text stands on them.
    assert behind == {"page", "panel", "quiet", "transparent"}


@themes
@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_verdicts_are_told_apart(theme: Theme, deficiency: str) -> None:
    """No two verdicts look alike, to people of any of the common kinds of colour vision."""
    colours = {web(rgb): rgb for rgb in theme.verdicts.values()}
    assert len(colours) == 5  # what is not known and what does not apply share the grey
    for first, second in itertools.combinations(colours.values(), 2):
        # Five times what is just noticeable side by side (Mahy et al., 1994: 2.3).
        assert difference(first, second, deficiency) > 11.5, (web(first), web(second))


def test_the_simulation_knows_who_mixes_up_what() -> None:
    """Simulated, a red and a green that people mix up come near each other, and stay apart for others."""
    red, green = (170, 80, 60), (130, 105, 50)
    assert difference(red, green, "deuteranopia") < difference(red, green, "none") / 3


@themes
@pytest.mark.parametrize("verdict", PUBLISHED)
def test_hues_are_the_palette_s(theme: Theme, verdict: Verdict) -> None:
    """Each hue is the published one of Okabe and Ito, only its light is scaled."""
    published, used = (list(map(linear, table[verdict])) for table in (PUBLISHED, theme.verdicts))
    factor = sum(used) / sum(published)
    assert used == pytest.approx([channel * factor for channel in published], abs=0.006)


def test_both_themes_are_in_the_page_and_paper_takes_the_light_one() -> None:
    """A screen that prefers dark gets the dark colours; everything else, paper too, the light ones."""
    written = style(report())
    light, _, dark = written.partition("@media screen and (prefers-color-scheme:dark)")
    for verdict in Verdict:
        name = f"--{verdict.name.lower().replace('_', '-')}:"
        assert name + web(LIGHT.verdicts[verdict]) in light
        assert name + web(DARK.verdicts[verdict]) in dark.partition("}}")[0]
    assert f"--page:{web(LIGHT.page)}" in light and f"--page:{web(DARK.page)}" in dark
