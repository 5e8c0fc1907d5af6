"""The style sheet of an HTML page, with its colours and its running head."""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Report
from pcaudit.core.visible import visible
from pcaudit.render.colours import DARK, LIGHT, Theme, web
from pcaudit.render.html_files import shipped
from pcaudit.render.sections.head import outcome_words

_PLAIN: Final = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:-_()")
_HOST: Final = 60  # characters of the host name that fit the head of a sheet


def css_text(text: str) -> str:
    """A text as a string of a style sheet.

    Everything but plain letters, digits and a few marks becomes an escape (CSS Syntax Level 3,
    4.3.7), so that no text can end the string or the element around it.
    """
    return '"' + "".join(c if c in _PLAIN else f"\\{ord(c):06x} " for c in text) + '"'


def _colours(theme: Theme) -> str:
    named = {
        "page": theme.page,
        "panel": theme.panel,
        "ink": theme.ink,
        "quiet": theme.quiet,
        "line": theme.line,
    }
    verdicts = {verdict.name.lower().replace("_", "-"): rgb for verdict, rgb in theme.verdicts.items()}
    return ";".join(f"--{name}:{web(rgb)}" for name, rgb in {**named, **verdicts}.items())


def _head(report: Report) -> str:
    host = visible(report.computer.get("host_name") or "this PC", _HOST)
    return f"{host}: {outcome_words(report)}, judged for {report.on.isoformat()}"


def sheet(head: str, rules: str) -> str:
    """The style sheet of a page, whole.

    Args:
        head: Stands at the top of every sheet of paper.
        rules: Of this package, in whatever colours the reader prefers.
    """
    return (
        f":root{{{_colours(LIGHT)}}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{_colours(DARK)}}}}}\n"
        f"{rules}"
        f"@page{{@top-left{{content:{css_text(head)}}}}}\n"
    )


def style(report: Report) -> str:
    """The style sheet of a report.

    Args:
        report: Whose host name, outcome and day stand at the top of every sheet of paper.
    """
    parts = shipped("plan.css") if report.sections else ""
    return sheet(_head(report), shipped("report.css") + parts)
