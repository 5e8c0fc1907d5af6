"""Colours of the verdicts: the Okabe-Ito palette, brought to one lightness.

Okabe and Ito, "Color Universal Design (CUD): How to make figures and presentations that are
friendly to colorblind people" (2008), chose hues that people with any colour vision tell apart.
On paper some are too pale for text, and on a black terminal one is too dark. WCAG 2.2 asks a
contrast of 4.5:1 for text (success criterion 1.4.3); a relative luminance from 0.175 to 0.183
gives that against white and against black, so each hue is scaled, in linear light, to 0.179.
One set then serves every background, and no verdict looks weightier than another.
"""

from __future__ import annotations

from typing import Final, NamedTuple

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


_LIGHT_INK: Final[dict[Verdict, Rgb]] = {
    Verdict.MET: (0, 98, 154),
    Verdict.MARGINAL: (145, 99, 0),
    Verdict.UNMET: (155, 91, 127),
    Verdict.ACCEPTED: (0, 115, 83),
    Verdict.UNVERIFIED: (63, 63, 63),
    Verdict.NOT_APPLICABLE: (63, 63, 63),
}
_DARK_INK: Final[dict[Verdict, Rgb]] = {
    Verdict.MET: (0, 151, 233),
    Verdict.MARGINAL: (231, 160, 0),
    Verdict.UNMET: (200, 118, 164),
    Verdict.ACCEPTED: (0, 184, 134),
    Verdict.UNVERIFIED: (203, 203, 203),
    Verdict.NOT_APPLICABLE: (203, 203, 203),
}


class Theme(NamedTuple):
    """Colours of a page, sRGB.

    Attributes:
        page: Behind everything.
        panel: Behind what stands out.
        ink: Text.
        quiet: Text that may be read second.
        line: Rules and frames, which carry no meaning of their own.
        verdicts: Of each verdict, for text and gauges. A page has two backgrounds of its own, so
            the hues need not share one lightness as on a terminal: they are scaled apart, which
            keeps unmet and accepted further from each other where green and purple look alike.
    """

    page: Rgb
    panel: Rgb
    ink: Rgb
    quiet: Rgb
    line: Rgb
    verdicts: dict[Verdict, Rgb]


LIGHT: Final = Theme(
    (255, 255, 255), (246, 247, 248), (22, 26, 31), (77, 84, 92), (188, 193, 199), _LIGHT_INK
)
DARK: Final = Theme((18, 20, 23), (32, 36, 41), (232, 234, 237), (170, 177, 185), (78, 85, 93), _DARK_INK)
"""Themes of pages, for a light and a dark screen; paper takes the light one."""


def web(rgb: Rgb) -> str:
    """A colour as style sheets write it: ``#007bbf``."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)
