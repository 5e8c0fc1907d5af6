"""A fresh worksheet: what the profiles ask of people, with blanks to fill in and words on each of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import wrap
from typing import Final, NamedTuple

from pcaudit.core.choose import Asked
from pcaudit.core.plan.in_hand import CREDENTIAL, EXPIRING
from pcaudit.core.plan.wanted import names_to_answer
from pcaudit.core.profile import WantedArrangement
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.blank_words import HEAD, INSTALLATION, OTHERS, PEOPLE, STATES, USE

_WIDTH: Final = 96

DAYS: Final = ("requested", "expected", "expires")
"""Keys that hold days, which stand without quotes."""


class Filled(NamedTuple):
    """What is known already when a worksheet is begun.

    Attributes:
        profiles: Files, as they are named from where the worksheet will lie.
        options: Chosen.
        parameters: Text of each that was chosen.
        day: Installation day, ISO 8601; empty while it is not known.
        site: Where.
        service_life: How long the instrument is to be in use, as written.
        answers: For each arrangement the text behind each key.
    """

    profiles: Sequence[str]
    options: Sequence[str] = ()
    parameters: Mapping[str, str] = {}
    day: str = ""
    site: str = ""
    service_life: str = ""
    answers: Mapping[str, Mapping[str, str]] = {}


def quoted(text: str) -> str:
    r"""A text as a TOML basic string: ``"C:\\Data"``."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in escaped) + '"'


def to_answer(asked: Sequence[Asked]) -> dict[str, WantedArrangement]:
    """Every arrangement by the id a worksheet answers it under, in the order of the profiles."""
    apart = names_to_answer(asked)
    named = {(one.meta.profile, one.id): name for name, one in apart.items()}
    found: dict[str, WantedArrangement] = {}
    for each in asked:
        for one in each.arrangements:
            found.setdefault(named.get((one.meta.profile, one.id), one.id), one)
    return found


def keys_for(one: WantedArrangement) -> tuple[str, ...]:
    """The keys worth asking of an arrangement, ``state`` first."""
    keys = ["state", "holder", "deputy", "kept", "requested", "expected", "expires", "measured", "note"]
    if one.kind != CREDENTIAL:
        keys.remove("deputy")
    if one.measured is None:
        keys.remove("measured")
    return tuple(keys)


def blank_worksheet(asked: Sequence[Asked], filled: Filled) -> str:
    """Write a worksheet.

    Args:
        asked: The profiles, and what was chosen of them.
        filled: What is known already.

    Returns:
        A worksheet that validates; blanks in it are unanswered.
    """
    titles = " and ".join(each.profile.title for each in asked)
    lines = [HEAD.rstrip(), "", f"title = {quoted(visible(f'Installation: {titles}', 200))}", ""]
    lines += _section("installation", INSTALLATION)
    lines += [_pair("day", filled.day, day=True), _pair("site", filled.site)]
    lines += [_pair("service_life", filled.service_life), ""]
    lines += _use(asked, filled)
    lines += ["", PEOPLE.rstrip(), ""]
    lines += _heading("arrangements")
    lines += [STATES.rstrip(), ""]
    for name, one in to_answer(asked).items():
        lines += [*_arrangement(name, one, filled.answers.get(name, {})), ""]
    lines += [OTHERS.rstrip(), ""]
    return "\n".join(lines)


def _heading(title: str) -> list[str]:
    return ["", f"# {'-' * 60} {title}", ""]


def _section(name: str, words: str) -> list[str]:
    return [*_heading(name), words.rstrip(), f"[{name}]"]


def _pair(key: str, value: str, day: bool = False) -> str:
    return f"{key} = {value if day and value and value != 'never' else quoted(value)}"


def _comment(text: str) -> Iterator[str]:
    for line in wrap(visible(" ".join(text.split()), 600), _WIDTH):
        yield f"# {line}"


def _use(asked: Sequence[Asked], filled: Filled) -> list[str]:
    lines = _section("use", USE)
    lines.append(f"profiles = [{', '.join(map(quoted, filled.profiles))}]")
    lines += _comments(_offered(asked))
    lines.append(f"options = [{', '.join(map(quoted, filled.options))}]")
    parameters = ", ".join(f"{name} = {value}" for name, value in filled.parameters.items())
    lines.append(f"parameters = {{ {parameters} }}" if parameters else "parameters = {}")
    lines.append('concessions = ""')
    return lines


def _comments(texts: Iterable[str]) -> list[str]:
    return [line for text in texts for line in _comment(text)]


def _offered(asked: Sequence[Asked]) -> Iterator[str]:
    """What can be chosen and is not, said beside what is."""
    for each in asked:
        for option in each.left_out:
            title = f": {option.title}" if option.title else ""
            yield f"option not chosen: {option.name}{title}"
        for name, parameter in each.profile.parameters.items():
            if name not in each.given:
                title = f" ({parameter.title})" if parameter.title else ""
                yield f"parameter at its default: {name}{title} = {parameter.default:g}"


def _arrangement(name: str, one: WantedArrangement, answer: Mapping[str, str]) -> list[str]:
    meta = one.meta
    lead = f", takes {one.lead_time}" if one.lead_time else ""
    lines = [*_comment(f"{meta.title} ({one.kind}): needed {one.needed}{lead}, by {meta.owner or 'lab'}")]
    lines += _comment(f"why: {meta.because}") if meta.because else []
    lines += _comment(f"do: {meta.remedy}") if meta.remedy else []
    if one.measured is not None:
        lines += _comment(f"measured {one.measured.quantity}: {one.measured.says()}")
    if one.kind in EXPIRING:
        lines += _comment('expires: a day, or "never"')
    bare = all(c.isascii() and (c.isalnum() or c in "-_") for c in name)
    lines.append(f"[arrangements.{name if bare else quoted(name)}]")
    keys = dict.fromkeys((*keys_for(one), *answer))
    return lines + [_pair(key, answer.get(key, ""), key in DAYS) for key in keys]
