"""The marks of the verdicts: a level against a limit.

A level past its limit is met, at it marginal, short of it unmet; a question mark stands for a
level that cannot be known, and brackets for a shortfall somebody has accepted.
"""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Verdict

WIDTH: Final = 4
"""Columns every mark takes."""

_ASCII: Final = {
    Verdict.MET: "=|=>",
    Verdict.MARGINAL: "=|  ",
    Verdict.UNMET: "= | ",
    Verdict.UNVERIFIED: "? | ",
    Verdict.ACCEPTED: "(=)|",
    Verdict.NOT_APPLICABLE: " -  ",
}
# U+2586 lower three quarters block, U+2503 heavy vertical, U+254C light double dash.
_DRAWN: Final = {
    Verdict.MET: "\u2586\u2586\u2503\u2586",
    Verdict.MARGINAL: "\u2586\u2586\u2503 ",
    Verdict.UNMET: "\u2586 \u2503 ",
    Verdict.UNVERIFIED: "? \u2503 ",
    Verdict.ACCEPTED: "(\u2586)\u2503",
    Verdict.NOT_APPLICABLE: " \u254c\u254c ",
}


def mark(verdict: Verdict, drawn: bool) -> str:
    """The mark of a verdict, ``WIDTH`` columns wide.

    Args:
        verdict: Which.
        drawn: With block characters; else in ASCII.
    """
    return (_DRAWN if drawn else _ASCII)[verdict]
