"""A survey as one HTML file, in the look of the report.

Its table of PCs can be put in another order without a script: each row carries its place in every
order, and the one that is chosen decides which of them counts.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from pcaudit.core.report import Outcome
from pcaudit.core.survey import Survey, age, bought, counts, deciding, faults, name_of, turned
from pcaudit.core.survey_verdicts import outcome_of_codes
from pcaudit.core.visible import visible
from pcaudit.render import survey_words as words
from pcaudit.render.html_files import shipped
from pcaudit.render.html_page import environment
from pcaudit.render.html_style import sheet
from pcaudit.render.html_words import css_class

if TYPE_CHECKING:
    from jinja2 import Environment

ORDERS: Final = {
    "name": "By name",
    "outcome": "By outcome",
    "short": "By how much is short",
    "age": "Oldest first",
}
"""Orders the table can be put in; the first one is the one it has."""

_WORST: Final = (Outcome.NOT_READY, Outcome.INCONCLUSIVE, Outcome.READY)
_WIDTH: Final = 1000


class Row(NamedTuple):
    """One PC in the table; ``places`` is its place in every order, as a style."""

    name: str
    about: str
    file: str
    outcome: str
    css: str
    age: int
    short: str
    change: str
    places: str


def title(said: Survey) -> str:
    """What the page is of: "400 PCs"."""
    return words.pcs(len(said.pcs))


def outcome_class(outcome: Outcome) -> str:
    """The class that gives an element an outcome's colour."""
    return css_class(words.STYLES[outcome])


def chosen(said: Survey) -> str:
    """Options and parameters in force."""
    options = [f"option {name}" for name in said.heading.options]
    return "; ".join(options + [f"{name} = {value}" for name, value in said.heading.parameters.items()])


def all_named(said: Survey, indexes: tuple[int, ...]) -> str:
    """The PCs of a change by name, as many as a page can hold."""
    names = [name_of(said.pcs[index]) for index in indexes[:60]]
    more = len(indexes) - len(names)
    return ", ".join(names) + (f" and {more} more, in the list below" if more else "")


def _ranks(said: Survey, shown: list[int]) -> dict[str, dict[int, int]]:
    """The place of each PC in every order, by the letter that stands for the order."""
    outcomes = {index: outcome_of_codes(said.pcs[index].codes) for index in shown}
    short = {index: len(deciding(said.pcs[index].codes, said.findings)) for index in shown}
    by_name = sorted(shown, key=lambda index: (name_of(said.pcs[index]).lower(), index))
    place = {index: number for number, index in enumerate(by_name)}
    keys: dict[str, Any] = {
        "n": place.__getitem__,
        "o": lambda index: (_WORST.index(outcomes[index]), place[index]),
        "s": lambda index: (-short[index], place[index]),
        "a": lambda index: (-age(said.pcs[index], said.heading.as_of), place[index]),
    }
    return {
        letter: {index: number for number, index in enumerate(sorted(shown, key=key))}
        for letter, key in keys.items()
    }


def rows(said: Survey) -> list[Row]:
    """The table, in the order of the files."""
    shown = said.shown()
    ranks = _ranks(said, shown)
    found = []
    for index in shown:
        pc, change = said.pcs[index], said.changes[index]
        outcome = outcome_of_codes(pc.codes)
        parts = [pc.model or "", f"serial number {pc.serial_number}" if pc.serial_number else ""]
        found.append(
            Row(
                name_of(pc),
                ", ".join(filter(None, parts)),
                pc.place.file,
                outcome.value,
                outcome_class(outcome),
                age(pc, said.heading.as_of),
                words.blockers(pc.codes, said.findings),
                change.what if change else "",
                ";".join(f"--{letter}:{places[index]}" for letter, places in ranks.items()),
            )
        )
    return found


def bar(said: Survey) -> str:
    """How many PCs come to what, drawn: full where ready, a broken outline where it is not known."""
    total = max(len(said.pcs), 1)
    drawn, left = [], 0.0
    marks = {Outcome.READY: "l", Outcome.INCONCLUSIVE: "d", Outcome.NOT_READY: "o"}
    found = counts(said.pcs)
    for outcome, mark in marks.items():
        width = _WIDTH * found[outcome] / total
        if width:
            drawn.append(
                f'<g class="{outcome_class(outcome)}"><rect class="{mark}" x="{left + 1:.1f}" y="2" '
                f'width="{max(width - 2, 1):.1f}" height="20"/></g>'
            )
        left += width
    text = ", ".join(f"{number} {outcome.value}" for outcome, number in found.items())
    return (
        f'<svg class="bar" viewBox="0 0 {_WIDTH} 24" preserveAspectRatio="none" role="img" '
        f'aria-label="{text}">{"".join(drawn)}</svg>'
    )


def style(said: Survey) -> str:
    """The style sheet of a survey."""
    profile = visible(said.heading.profiles[-1].title, 60) if said.heading.profiles else ""
    head = f"Survey of {title(said)}: {profile}, judged for {said.heading.on.isoformat()}"
    return sheet(head, shipped("report.css") + shipped("survey.css"))


_FUNCTIONS: Final[dict[str, Any]] = {
    "DISCLAIMER": words.DISCLAIMER,
    "ORDERS": ORDERS,
    **{
        function.__name__: function
        for function in (
            *(all_named, bought, chosen, counts, faults, name_of, outcome_class, rows, title, turned),
            *(words.advice, words.against_words, words.ages, words.blockers, words.notes),
            words.what_if_words,
        )
    },
}


@cache
def _environment() -> Environment:
    """The templates, compiled once for a run."""
    return environment(_FUNCTIONS, {"bar": bar, "style": style})


def render(survey: Survey) -> str:
    """Lay a survey out as a page.

    Args:
        survey: What to show.

    Returns:
        A whole HTML document.
    """
    return _environment().get_template("survey.html.j2").render(said=survey) + "\n"
