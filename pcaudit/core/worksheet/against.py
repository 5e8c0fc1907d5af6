"""A worksheet held against the profiles it is for: choices and answers that fit none of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pcaudit.core.choose import Asked, ask
from pcaudit.core.measured import QUANTITIES
from pcaudit.core.places import Path, Places, dotted, place_in
from pcaudit.core.plan.wanted import names_to_answer
from pcaudit.core.profile import Profile, WantedArrangement
from pcaudit.core.texts import did_you_mean
from pcaudit.core.units import UnitError
from pcaudit.core.worksheet.arrangements import Answer
from pcaudit.core.worksheet.sheet import Worksheet
from pcaudit.errors import Mistake, UsageError


class _Against:
    """Gathers mistakes of one worksheet."""

    def __init__(self, worksheet: Worksheet) -> None:
        self.worksheet = worksheet
        self.mistakes: list[Mistake] = []
        self._places: Places | None = None

    def wrong(self, path: Path, message: str, hint: str = "") -> None:
        # Places are found only where there is something to say.
        self._places = self._places or Places(self.worksheet.text)
        place = place_in(self._places, self.worksheet.path, self._places.offset(path))
        self.mistakes.append(Mistake(dotted(path), message, hint, place))


def choice_mistakes(worksheet: Worksheet, profiles: Sequence[Profile]) -> list[Mistake]:
    """Options and parameters of ``[use]`` that no profile has, or whose value none allows."""
    against = _Against(worksheet)
    offered = sorted({option.name for profile in profiles for option in profile.options})
    for index, name in enumerate(worksheet.use.options):
        if name not in offered:
            hint = did_you_mean(name, offered) if offered else "the profiles offer no option"
            against.wrong(("use", "options", index), f"no profile has the option {name!r:.60}", hint)
    for name, value in worksheet.use.parameters.items():
        try:
            ask(profiles, (), {name: value})
        except UsageError as error:
            message = error.message.removeprefix(f"--set {name}={value:.40}: ")
            against.wrong(("use", "parameters", name), message, error.next_step)
    return against.mistakes


def _wanted(profiles: Iterable[Profile]) -> list[WantedArrangement]:
    """Every arrangement of the profiles, of options that were not chosen too."""
    found: list[WantedArrangement] = []
    for profile in profiles:
        found += profile.arrangements
        found += (one for option in profile.options for one in option.arrangements)
    return found


def answer_mistakes(worksheet: Worksheet, asked: Sequence[Asked]) -> list[Mistake]:
    """Answers to arrangements that nobody asks, and measured values that are none."""
    against = _Against(worksheet)
    by_id: dict[str, WantedArrangement] = {}
    for one in _wanted(each.profile for each in asked):
        by_id.setdefault(one.id, one)
    by_id |= names_to_answer(asked)
    for name, answer in worksheet.arrangements.by_id.items():
        one_asked = by_id.get(name)
        if one_asked is not None:
            _check_measured(against, answer, one_asked)
        elif not answer.own:
            hint = did_you_mean(name, by_id) if by_id else "the profiles ask for no arrangement"
            more = "; the lab's own says `kind` and `title`"
            against.wrong(("arrangements", name), f"no profile asks for {name!r:.60}", hint + more)
    return against.mistakes


def _check_measured(against: _Against, answer: Answer, asked: WantedArrangement) -> None:
    if not answer.measured:
        return
    path = ("arrangements", answer.id, "measured")
    if asked.measured is None:
        against.wrong(path, "the profile asks for nothing measured here", "write it as a note instead")
        return
    quantity = QUANTITIES[asked.measured.quantity]
    try:
        quantity.read(answer.measured)
    except UnitError as error:
        against.wrong(path, str(error), error.hint)


# -- what the report says of choices


def beside(sheet: str, file: str) -> str:
    """The path of a file that a worksheet names, which is relative to the worksheet."""
    if file.startswith(("/", "\\")) or file[1:2] == ":" or sheet == "-":
        return file
    cut = max(sheet.rfind("/"), sheet.rfind("\\")) + 1
    if ".." not in file:
        return sheet[:cut] + file.removeprefix("./")
    kept: list[str] = []
    for part in (sheet[:cut] + file).replace("\\", "/").split("/"):
        if part == ".." and kept and kept[-1] not in ("", ".."):
            kept.pop()
        elif part != "." or not kept:
            kept.append(part)
    return "/".join(kept).removeprefix("./")


def differences(worksheet: Worksheet, asked: Sequence[Asked]) -> tuple[str, ...]:
    """Where what was asked is not what the worksheet says, one line each."""
    use = worksheet.use
    named = [beside(worksheet.path, one) for one in use.profiles]
    used = [each.profile.path for each in asked]
    lines = [
        f"{path} was asked for, and the worksheet does not name it" for path in used if path not in named
    ]
    lines += [f"{path} is named by the worksheet, and was left out" for path in named if path not in used]
    chosen = sorted({name for each in asked for name in each.options} - set(use.options))
    lines += [f"option {name} was chosen, and the worksheet does not name it" for name in chosen]
    for name, value in sorted({n: each.parameters[n].value for each in asked for n in each.given}.items()):
        said = use.parameters.get(name)
        if said is None or float(said) != float(value):
            other = "the worksheet does not say it" if said is None else f"the worksheet says {said}"
            lines.append(f"parameter {name} was set to {value:g}, and {other}")
    return tuple(lines)
