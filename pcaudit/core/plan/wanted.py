"""Which arrangements are wanted: those of the profiles and of the lab, each with the answer it has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from pcaudit.core.choose import Asked
from pcaudit.core.compile import NEEDED
from pcaudit.core.context import Context
from pcaudit.core.derive import Readings
from pcaudit.core.profile import Meta, WantedArrangement
from pcaudit.core.texts import fold
from pcaudit.core.worksheet.arrangements import Answer
from pcaudit.core.worksheet.sheet import Worksheet

SLASH: Final = "/"
"""Between the stem of a profile and an id that several profiles use for different things."""


class Wanted(NamedTuple):
    """An arrangement, what limits it, and its answer.

    Attributes:
        id: Its own; with the stem of its profile before it where several use one id for different things.
        asked: As the profile, or the lab, asks it.
        context: In which its ``when`` is judged.
        answer: The worksheet's; None where that has none.
        shared: Ids to answer instead, where the worksheet's answer could mean either of several.
    """

    id: str
    asked: WantedArrangement
    context: Context
    answer: Answer | None
    shared: tuple[str, ...] = ()


def stem(path: str) -> str:
    """The name of a file without its folder and ending."""
    name = path.replace("\\", "/").rpartition("/")[2]
    return name.rpartition(".")[0] or name


def _same(first: WantedArrangement, second: WantedArrangement) -> bool:
    """Whether two profiles mean one thing: they say it in one file, or in the same words."""
    if first.meta.profile == second.meta.profile:
        return True
    words = [(one.kind, fold(one.meta.title), one.measured) for one in (first, second)]
    return words[0] == words[1]


def _stems(asked: Sequence[Asked]) -> dict[str, str]:
    """A short name for each file that asks for arrangements; files of one name are numbered."""
    files = dict.fromkeys(one.meta.profile for each in asked for one in each.arrangements)
    used: dict[str, int] = {}
    names = {}
    for file in files:
        name = stem(file)
        used[name] = used.get(name, 0) + 1
        names[file] = name if used[name] == 1 else f"{name}-{used[name]}"
    return names


def _different(asked: Sequence[Asked], stems: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """Ids that several profiles use for different things, and the ids that tell those apart."""
    by_id: dict[str, list[WantedArrangement]] = {}
    for each in asked:
        for one in each.arrangements:
            by_id.setdefault(one.id, []).append(one)
    return {
        name: tuple(dict.fromkeys(f"{stems[one.meta.profile]}{SLASH}{name}" for one in several))
        for name, several in by_id.items()
        if not all(_same(several[0], one) for one in several)
    }


def names_to_answer(asked: Sequence[Asked]) -> dict[str, WantedArrangement]:
    """Arrangements by the id that tells them apart, where several profiles use one id."""
    stems = _stems(asked)
    different = _different(asked, stems)
    return {
        f"{stems[one.meta.profile]}{SLASH}{one.id}": one
        for each in asked
        for one in each.arrangements
        if one.id in different
    }


def wanted(asked: Sequence[Asked], readings: Readings, worksheet: Worksheet) -> list[Wanted]:
    """Every arrangement, in the order of the profiles, the lab's own last."""
    answers = worksheet.arrangements.by_id
    found = list(_of_profiles(asked, readings, answers))
    used = {one.asked.id for one in found} | {one.id for one in found}
    nothing = Context(readings, {}, frozenset())
    for name, answer in answers.items():
        if answer.own and name not in used:
            found.append(Wanted(name, _own(answer, worksheet.path), nothing, answer))
    return found


def _of_profiles(
    asked: Sequence[Asked], readings: Readings, answers: Mapping[str, Answer]
) -> Iterator[Wanted]:
    stems = _stems(asked)
    different = _different(asked, stems)
    for each in asked:
        context = Context(readings, each.parameters, each.options)
        for one in each.arrangements:
            names = different.get(one.id, ())
            name = f"{stems[one.meta.profile]}{SLASH}{one.id}" if names else one.id
            yield Wanted(name, one, context, answers.get(name), names if one.id in answers else ())


def _own(answer: Answer, file: str) -> WantedArrangement:
    owner = answer.owner or "lab"
    meta = Meta(answer.title, "", "", owner, False, file, answer.line)
    return WantedArrangement(answer.id, answer.kind, answer.needed or NEEDED[0], answer.lead_time, meta)
