"""Places for tests, from the text people write."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Final

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.places import place_in
from pcaudit.core.plan.electrical_rules import ElectricalKnowledge
from pcaudit.core.plan.place import place_sections
from pcaudit.core.plan.section import Figure, Section
from pcaudit.core.toml_text import parse_toml
from pcaudit.core.worksheet.place import Site, read_place
from pcaudit.core.worksheet.reader import Reader
from pcaudit.errors import Mistake, Place
from pcaudit.loading import electrical

FILE: Final = "w.toml"
ON: Final = date(2027, 3, 15)
AS_OF: Final = date(2026, 11, 25)

MET, MARGINAL, UNMET, UNVERIFIED = (
    Verdict.MET,
    Verdict.MARGINAL,
    Verdict.UNMET,
    Verdict.UNVERIFIED,
)
BETTER_TO_WORSE: Final = (MET, MARGINAL, UNVERIFIED, UNMET)


@cache
def shipped() -> ElectricalKnowledge:
    """The shipped electrical knowledge."""
    return electrical()


def read(text: str) -> tuple[Site, list[Mistake]]:
    """The place that a worksheet's text tells, and the mistakes in it."""
    data, places = parse_toml(text, FILE)

    def place(path: tuple[str | int, ...]) -> Place:
        return place_in(places, FILE, places.offset(path))

    reader = Reader(FILE, place)
    return read_place(reader, data), reader.mistakes


def site(text: str) -> Site:
    """The place that a text without mistakes tells."""
    found, mistakes = read(text)
    assert not mistakes, mistakes
    return found


def sections(text: str) -> dict[str, Section]:
    """Sections by name."""
    made = place_sections(site(text), None, shipped(), ON, AS_OF)
    return {one.name: one for one in made}


def findings(text: str) -> dict[str, Finding]:
    """Findings by what stands behind ``place.``."""
    found = [finding for one in sections(text).values() for finding in one.findings]
    ids = [one.id for one in found]
    assert len(set(ids)) == len(ids), "ids are unique"
    return {one.id.removeprefix("place."): one for one in found}


def verdicts(text: str) -> dict[str, Verdict]:
    """Verdicts by what stands behind ``place.``."""
    return {name: one.verdict for name, one in findings(text).items()}


def figures(text: str) -> dict[str, Figure]:
    """Figures by what stands behind ``place.``."""
    found = [figure for one in sections(text).values() for figure in one.figures]
    ids = [one.id for one in found]
    assert len(set(ids)) == len(ids), "ids are unique"
    return {one.id.removeprefix("place."): one for one in found}


def place_text(country: str = "", **tables: list[str]) -> str:
    """A section ``place`` from the bodies of its tables: ``things=['id = "a"']``."""
    out = ["[place]", f'country = "{country}"']
    for name, bodies in tables.items():
        out += [f"[[place.{name}]]\n{body}" for body in bodies]
    return "\n".join(out) + "\n"
