"""Colours of the verdicts: the Okabe-Ito palette, brought to one lightness.

Okabe and Ito, "Color Universal Design (CUD): How to make figures and presentations that are
friendly to colorblind people" (2008), chose hues that people with any colour vision tell apart.
On paper some are too pale for text, and on a black terminal one is too dark. WCAG 2.2 asks a
contrast of 4.5:1 for text (success criterion 1.4.3); a relative luminance from 0.175 to 0.183
gives that against white and against black, so each hue is scaled, in linear light, to 0.179.
One set then serves every background, and no verdict looks weightier than another.
"""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Verdict

Rgb = tuple[int, int, int]

PUBLISHED: Final[dict[Verdict, Rgb]] = {
    Verdict.MET: (0, 114, 178),  # blue
    Verdict.MARGINAL: (230, 159, 0),  # orange
    Verdict.UNMET: (204, 121, 167),  # reddish purple
    Verdict.ACCEPTED: (0, 158, 115),  # bluish green
}
"""The palette's own values, sRGB."""

_GREY: Final[Rgb] = (117, 117, 117)

VERDICTS: Final[dict[Verdict, Rgb]] = {
    Verdict.MET: (0, 123, 191),
    Verdict.MARGINAL: (158, 108, 0),
    Verdict.UNMET: (164, 96, 133),
    Verdict.ACCEPTED: (0, 134, 97),
    Verdict.UNVERIFIED: _GREY,
    Verdict.NOT_APPLICABLE: _GREY,
}
"""The colours used, sRGB: ``PUBLISHED`` scaled in linear light; grey is no hue of the palette."""


def web(rgb: Rgb) -> str:
    """A colour as style sheets write it: ``#007bbf``."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)
