"""Worksheets as files: read without repeating a secret, and with the profiles they name."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from typing import BinaryIO, Final, NamedTuple

from pcaudit.core.catalogue import GROUPS
from pcaudit.core.choose import Asked, ask
from pcaudit.core.contradictions import contradictions
from pcaudit.core.places import Path
from pcaudit.core.profile import Profile
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.against import answer_mistakes, beside, choice_mistakes
from pcaudit.core.worksheet.blank import Filled, blank_worksheet, to_answer
from pcaudit.core.worksheet.secrets import may_hold_one, secrets_in, secrets_in_lines
from pcaudit.core.worksheet.sheet import SECTIONS, Worksheet, read_worksheet
from pcaudit.errors import Mistake, MistakesError, Place, UsageError
from pcaudit.files import TOML_LIMIT, Document, Source, name, read_source, toml_document
from pcaudit.loading import load

_PLANNED: Final = ("data", "backup", "place", "network", "calendar", "tasks")
"""Sections that a plan works with, and a fresh worksheet has as examples only."""

_OF_PROFILES: Final = frozenset({"options", "parameters", "based_on"})


class Choice(NamedTuple):
    """What the command line adds to a worksheet, or puts in the place of what it says.

    Attributes:
        profiles: In the place of the worksheet's.
        also: Beside them.
        options: Beside the worksheet's.
        values: Text of parameters by name, before the worksheet's.
    """

    profiles: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    values: Mapping[str, str] = {}


def load_worksheet(path: str, stdin: BinaryIO | None = None) -> Worksheet:
    """Read a worksheet.

    Args:
        path: Its file, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It cannot be read, or is no TOML.
        MistakesError: It holds what resembles a secret, none of which is repeated; else every
            mistake of meaning in it.
    """
    source = read_source(path, TOML_LIMIT, stdin)
    if source.text.lstrip().startswith("{"):
        raise UsageError(
            f"{visible(name(path))} is JSON, and a worksheet is TOML",
            next_step="make one: pcaudit worksheet new PROFILE --output w.toml",
        )
    return worksheet_of(source)


def worksheet_of(source: Source) -> Worksheet:
    """Make a worksheet of a text that was read, as ``load_worksheet`` does."""
    document = _document(source)
    _refuse_profile(document)
    secrets = secrets_in(document.data, document.text, document.place)
    if secrets:
        raise MistakesError(name(source.path), sorted(secrets, key=_line))
    return read_worksheet(
        document.data, name(source.path), document.place, sha256=document.sha256, text=document.text
    )


def _refuse_profile(document: Document) -> None:
    """Tell a profile that was named as a worksheet."""
    keys = document.data.keys()
    asks = keys & (GROUPS.keys() | _OF_PROFILES) - set(SECTIONS)
    arranged = isinstance(document.data.get("arrangements"), list)
    if (asks or arranged) and keys.isdisjoint(set(SECTIONS) - GROUPS.keys() - {"arrangements"}):
        raise UsageError(
            f"{visible(name(document.path))} is a profile, not a worksheet",
            next_step="make a worksheet of it: pcaudit worksheet new PROFILE",
        )


def worksheet_of_text(path: str, text: str, sha256: str) -> Worksheet:
    """A worksheet as a report keeps it.

    Args:
        path: Of its file, as the report names it.
        text: Its text.
        sha256: Digest of its file, which may have had another encoding.

    Raises:
        MistakesError: As ``load_worksheet``.
    """
    return worksheet_of(Source(path, text.encode("utf-8", "surrogatepass"), text))._replace(
        path=path, sha256=sha256
    )


def _line(mistake: Mistake) -> int:
    return mistake.place.line if mistake.place else 0


def _document(source: Source) -> Document:
    """The parsed text; what is wrong with it is not told with a line that resembles a secret."""
    try:
        return toml_document(source)
    except UsageError as error:
        secrets = secrets_in_lines(source.text, name(source.path))
        several = error.mistakes if isinstance(error, MistakesError) else [Mistake("", "", "", error.place)]
        lines = source.text.split("\n")
        where = [one.place for one in several if one.place]
        if not secrets and not any(may_hold_one(lines[one.line - 1]) for one in where if one.line):
            raise
        # The error's own words may quote the line too, so that only its place is told.
        told = [_unshown(place._replace(text="")) for place in where]
        raise MistakesError(name(source.path), sorted([*secrets, *told], key=_line)) from None


def _unshown(place: Place) -> Mistake:
    hint = "look at the quotes and brackets of this line, which is not shown: it may hold a secret"
    return Mistake("", "it cannot be read as TOML from here on", hint, place)


def profiles_of(worksheet: Worksheet, choice: Choice) -> list[str]:
    """Paths of the profiles to ask: the command line's, else the worksheet's; and those beside them.

    Raises:
        UsageError: There are none.
        MistakesError: The worksheet names files that are not there.
    """
    named = [beside(worksheet.path, one) for one in worksheet.use.profiles]
    if not choice.profiles:
        _check_there(worksheet, named)
    paths = [*(choice.profiles or named), *choice.also]
    if not paths:
        raise UsageError(
            f"{visible(worksheet.path)} names no profile",
            next_step='write profiles = ["profile.toml"] into [use], or name one on the command line',
        )
    return list(dict.fromkeys(paths))


def _check_there(worksheet: Worksheet, paths: Sequence[str]) -> None:
    missing = [index for index, path in enumerate(paths) if not os.path.isfile(path)]
    if missing:
        use = worksheet.use
        several = [_missing(worksheet, ("profiles", i), use.profiles[i], paths[i]) for i in missing]
        raise MistakesError(worksheet.path, several)


def _missing(worksheet: Worksheet, key: Path, said: str, path: str) -> Mistake:
    return _told(worksheet, key, f"there is no file {said:.80}", f"looked for {path}")


def _told(worksheet: Worksheet, key: Path, message: str, hint: str) -> Mistake:
    """A mistake at a key of ``[use]``."""
    from pcaudit.core.places import Places, dotted, place_in

    places = Places(worksheet.text)
    where = ("use", *key)
    return Mistake(dotted(where), message, hint, place_in(places, worksheet.path, places.offset(where)))


def ask_all(worksheet: Worksheet, profiles: Sequence[Profile], choice: Choice) -> tuple[Asked, ...]:
    """What is asked of profiles by a worksheet and the command line.

    Raises:
        UsageError: The command line chooses what no profile has.
        MistakesError: The worksheet does, or answers what no profile asks, or profiles contradict
            each other.
    """
    wrong = choice_mistakes(worksheet, profiles)
    if wrong:
        raise MistakesError(worksheet.path, wrong)
    options = dict.fromkeys((*worksheet.use.options, *choice.options))
    asked = ask(profiles, options, {**worksheet.use.parameters, **choice.values})
    mistakes = contradictions(asked)
    if mistakes:
        raise MistakesError(" and ".join(profile.path for profile in profiles), mistakes)
    mistakes = answer_mistakes(worksheet, asked)
    if mistakes:
        raise MistakesError(worksheet.path, sorted(mistakes, key=_line))
    return asked


def asked_by(worksheet: Worksheet, choice: Choice, stdin: BinaryIO | None = None) -> tuple[Asked, ...]:
    """Read the profiles a worksheet and the command line name, and what is asked of them.

    Raises:
        UsageError, MistakesError: As ``profiles_of``, ``load`` and ``ask_all``.
    """
    profiles = [_loaded(worksheet, path, stdin) for path in profiles_of(worksheet, choice)]
    return ask_all(worksheet, profiles, choice)


def _loaded(worksheet: Worksheet, path: str, stdin: BinaryIO | None) -> Profile:
    """A profile; a file that is none is told where the worksheet names it."""
    named = [beside(worksheet.path, one) for one in worksheet.use.profiles]
    try:
        return load(path, stdin)
    except UsageError as error:
        if path not in named or error.place or isinstance(error, MistakesError):
            raise
        hint = "name the file of a profile here"
        told = _told(worksheet, ("profiles", named.index(path)), error.message, hint)
        raise MistakesError(worksheet.path, [told]) from None


def concessions_of(worksheet: Worksheet) -> str | None:
    """Path of the concessions file the worksheet names; None where it names none.

    Raises:
        MistakesError: It names a file that is not there.
    """
    said = worksheet.use.concessions
    if not said:
        return None
    path = beside(worksheet.path, said)
    if not os.path.isfile(path):
        raise MistakesError(worksheet.path, [_missing(worksheet, ("concessions",), said, path)])
    return path


def new_worksheet(asked: Sequence[Asked], known: Filled, output: str) -> str:
    """Write a fresh worksheet, as ``pcaudit.app.new_worksheet`` says."""
    folder = "." if output == "-" else os.path.dirname(output) or "."
    text = blank_worksheet(
        asked, known._replace(profiles=[_seen_from(folder, one) for one in known.profiles])
    )
    try:
        worksheet_of(Source(output, text.encode(), text))  # what it says must be taken when it is read back
    except UsageError:
        _refuse_profiles([each.profile for each in asked])
        raise
    return text


def _refuse_profiles(profiles: Sequence[Profile]) -> None:
    """Tell the lines of profiles that no worksheet may repeat: the worksheet itself is nowhere yet."""
    for source in {one.path: one for profile in profiles for one in profile.sources}.values():
        document = toml_document(Source(source.path, source.text.encode(), source.text))
        mistakes = secrets_in(document.data, "", document.place)
        if mistakes:
            raise MistakesError(
                name(source.path),
                [
                    one._replace(
                        message=one.message.replace(
                            "and a worksheet holds no secret", "and a worksheet would repeat it"
                        ),
                        hint="take it out of the profile",
                    )
                    for one in mistakes
                ],
            )


def _seen_from(folder: str, path: str) -> str:
    """A path relative to a folder, with / between; as it is where that cannot be (another drive)."""
    try:
        return os.path.relpath(path, folder).replace(os.sep, "/")
    except ValueError:
        return os.path.abspath(path)


def checked(worksheet: Worksheet) -> str:
    """Check that a worksheet fits the profiles it names, as ``pcaudit.app.checked`` says."""
    concessions_of(worksheet)
    answers = worksheet.arrangements.by_id.values()
    told = f"{sum(bool(one.state) for one in answers)} of {len(answers)} arrangements answered"
    if not worksheet.use.profiles:
        return f"{told}; it names no profile to check that against{_not_there(worksheet)}"
    asked = asked_by(worksheet, Choice())
    wanted = to_answer(asked)
    left = sum(name not in worksheet.arrangements.by_id for name in wanted)
    more = f", {left} more asked by the profiles" if left else ""
    return f"{told}{more}{_not_there(worksheet)}"


def _not_there(worksheet: Worksheet) -> str:
    """Sections that nobody wrote: a plan cannot work out what stands in them."""
    missing = [name for name in _PLANNED if not getattr(worksheet, name).asked]
    return f"; not there: {', '.join(missing)}" if missing else ""
