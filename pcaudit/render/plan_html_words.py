"""What the templates of a plan, and of its parts in a report, ask of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Final

from pcaudit.core.finding import Outcome
from pcaudit.core.plan.document import Plan
from pcaudit.core.plan.section import Table
from pcaudit.render import curve_svg, gauge_svg
from pcaudit.render.amounts import amount_words
from pcaudit.render.plan_arrangements import NOTHING, OTHERS_TITLE, answer_words, is_settled
from pcaudit.render.plan_text import (
    LIMITS,
    counts_words,
    day_words,
    held_open_short,
    pc_words,
    statement,
    to_do,
)
from pcaudit.render.sections.plan_section import NOT_ASKED, glances, inputs_words

_SHORT: Final = 12
"""Characters of a day, a time, an amount or a short word."""

_CLASSES: Final = {
    Outcome.READY: "met",
    Outcome.NOT_READY: "unmet",
    Outcome.INCONCLUSIVE: "unverified",
}


def plan_class(plan: Plan) -> str:
    """The class that gives an element the colour of the whole plan."""
    return _CLASSES[plan.outcome]


def plan_gauge(plan: Plan) -> str:
    """The gauge of the outcome, by everything that binds."""
    return gauge_svg.outcome(*held_open_short(plan))


def _wordless(text: str) -> bool:
    return not any(map(str.isalpha, text))


def row_head(table: Table) -> int:
    """Which column says what a row is about: the first that is filled in each row, and with words."""
    for number, column in enumerate(zip(*table.rows, strict=True)):
        if all(column) and not all(map(_wordless, column)):
            return number
    return 0


def column_class(table: Table, number: int) -> str:
    """The class of a column: "figures" of numbers alone, "short" where none of it need be folded."""
    texts = [row[number] for row in table.rows if row[number]]
    if texts and all(text.replace(" ", "").replace(".", "", 1).isdigit() for text in texts):
        return "figures"
    return "short" if all(len(text) <= _SHORT for text in (table.columns[number], *texts)) else ""


def short_paths(plan: Plan) -> dict[str, str]:
    """The file of each finding without its folder, where that still tells the files apart."""
    paths = {finding.profile for finding in plan.every} | {one.profile for one in plan.arrangements}
    short = {path: re.split(r"[/\\]", path)[-1] for path in paths}
    names = list(short.values())
    return {path: name for path, name in short.items() if names.count(name) == 1}


FUNCTIONS: Final[dict[str, Any]] = {
    "LIMITS": LIMITS,
    "plan_statement": statement,
    "amount_words": amount_words,
    "inputs_words": inputs_words,
    "NOT_ASKED": NOT_ASKED,
    "glances": glances,
    "OTHERS_TITLE": OTHERS_TITLE,
    "NOTHING": NOTHING,
    "answer_words": answer_words,
    "is_settled": is_settled,
    "row_head": row_head,
    "column_class": column_class,
    "day_words": day_words,
    "plan_class": plan_class,
    "plan_to_do": to_do,
    "plan_pc_words": pc_words,
    "plan_counts": counts_words,
}
"""What the templates may call, by name."""

MARKUP: Final[dict[str, Callable[..., str]]] = {
    "curve_drawing": curve_svg.draw,
    "dash": curve_svg.dash,
    "plan_gauge": plan_gauge,
}
"""The same for what gives markup."""
