"""A profile in plain sentences: numbered rows to be held against paper, one by one.

Everything the profile says is said, each row with the place that says it. Nothing is judged and
no option or parameter is chosen: the page shows the whole profile.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pcaudit.core.catalogue import GROUPS
from pcaudit.core.clauses import Names
from pcaudit.core.explain_legend import legend
from pcaudit.core.explain_rows import (
    Note,
    Way,
    any_of_sentence,
    arrangement_sentence,
    items_sentence,
    notes_of,
    option_sentence,
    parameter_sentence,
    scalar_sentence,
    ways_of,
)
from pcaudit.core.explain_sources import SourceFile, arrangements_before, source_file
from pcaudit.core.profile import (
    AnyOf,
    Condition,
    Items,
    Option,
    Parameter,
    Profile,
    Scalar,
    WantedArrangement,
)
from pcaudit.core.profile_counts import counts_words


class Row(NamedTuple):
    """One thing the profile says, to be ticked off.

    Attributes:
        number: From 1, through the whole page.
        id: As findings call it.
        text: Its sentences.
        ways: Alternatives, of which one must hold.
        notes: Why, what to do, by whom.
        profile, line: Where it stands.
    """

    number: int
    id: str
    text: str
    ways: tuple[Way, ...]
    notes: tuple[Note, ...]
    profile: str
    line: int


class Section(NamedTuple):
    """Rows under a title.

    Attributes:
        title: For people.
        within: It is a part of the section before it.
        rows: One or more.
    """

    title: str
    within: bool
    rows: tuple[Row, ...]


class Explanation(NamedTuple):
    """A profile in sentences.

    Attributes:
        title: The profile's own.
        counts: How much it says, in words.
        files: What it is made of, the file itself first, then what it is based on.
        legend: How the rows are to be read.
        sections: Parameters, conditions by group, arrangements, options.
    """

    title: str
    counts: str
    files: tuple[SourceFile, ...]
    legend: tuple[str, ...]
    sections: tuple[Section, ...]


class _Writer:
    """Writes rows and numbers them.

    Args:
        profile: Whose rows they are.
    """

    def __init__(self, profile: Profile) -> None:
        self._names = Names(profile.parameters, profile.options)
        self._before = arrangements_before(profile.sources)
        self._several = len(profile.sources) > 1
        self._number = 0
        self._items: dict[str, int] = {}
        self._arrangements: dict[str, int] = {}

    def _row(
        self,
        name: str,
        text: str,
        place: tuple[str, int],
        notes: tuple[Note, ...] = (),
        ways: tuple[Way, ...] = (),
    ) -> Row:
        self._number += 1
        return Row(self._number, name, text, ways, notes, *place)

    def parameter(self, one: Parameter) -> Row:
        """A number the lab chooses."""
        return self._row(one.name, parameter_sentence(one), (one.profile, one.line))

    def condition(self, one: Condition) -> Row:
        """A condition of any kind."""
        place = one.meta.profile, one.meta.line
        if isinstance(one, AnyOf):
            return self._row(one.id, any_of_sentence(one, self._names), place, ways=ways_of(one, self._names))
        if isinstance(one, Scalar):
            return self._row(one.id, scalar_sentence(one, self._names), place, notes_of(one.meta))
        return self._row(one.id, self._of_items(one), place, notes_of(one.meta))

    def _of_items(self, one: Items) -> str:
        text = items_sentence(one, self._names)
        first = self._items.setdefault(one.id, self._number + 1)
        if first <= self._number:
            text += (
                f" The same items as in row {first} are meant: what both rows ask is asked of them together."
            )
        return text

    def arrangement(self, one: WantedArrangement) -> Row:
        """Something people must have ready."""
        place = one.meta.profile, one.meta.line
        text = arrangement_sentence(one, self._names)
        first = self._arrangements.setdefault(one.id, self._number + 1)
        if first <= self._number:
            text += f" Where this option is chosen, this takes the place of row {first}."
        if self._several:
            for file, line in self._before.get(one.id, {}).get(one.meta.profile, ()):
                text += f" This takes the place of what {file} says under the same id in line {line}."
        return self._row(one.id, text, place, notes_of(one.meta))

    def groups(self, conditions: Iterable[Condition], within: bool) -> list[Section]:
        """Conditions by group, groups in the catalogue's order."""
        found: dict[str, list[Condition]] = {group: [] for group in GROUPS}
        for one in conditions:
            found[one.group if isinstance(one, AnyOf) else one.record.group].append(one)
        return [
            Section(GROUPS[group], within, tuple(self.condition(one) for one in members))
            for group, members in found.items()
            if members
        ]

    def arrangements(self, wanted: Sequence[WantedArrangement], within: bool) -> list[Section]:
        """The section on arrangements, if there are any."""
        rows = tuple(self.arrangement(one) for one in wanted)
        return [Section("What people must have ready", within, rows)] if rows else []

    def option(self, one: Option) -> list[Section]:
        """An option, and what choosing it adds."""
        self._number += 1
        number = self._number
        parts = [*self.groups(one.conditions, True), *self.arrangements(one.arrangements, True)]
        text = option_sentence(one, number + 1, self._number)
        row = Row(number, one.name, text, (), (), one.profile, one.line)
        return [Section("Option", False, (row,)), *parts]


def explain(profile: Profile) -> Explanation:
    """Put a profile into sentences.

    Args:
        profile: Compiled, with the text of its files.

    Returns:
        Everything it says; texts of the profile stand as they are: whoever prints them makes
        them safe to show.
    """
    writer = _Writer(profile)
    parameters = tuple(writer.parameter(one) for one in profile.parameters.values())
    sections = [Section("Parameters", False, parameters)] if parameters else []
    sections += writer.groups(profile.conditions, False)
    sections += writer.arrangements(profile.arrangements, False)
    for option in profile.options:
        sections += writer.option(option)
    *below, own = profile.sources
    return Explanation(
        title=profile.title,
        counts=counts_words(profile),
        files=tuple(source_file(one) for one in (own, *below)),
        legend=legend(profile),
        sections=tuple(sections),
    )
