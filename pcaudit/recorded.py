"""Profiles and concessions as a record holds them: compiled from its own texts, no file read."""

from __future__ import annotations

import posixpath
from collections.abc import Sequence

from pcaudit.core.compile import compile_profile
from pcaudit.core.profile import Profile, ProfileSource
from pcaudit.core.visible import visible
from pcaudit.errors import UsageError
from pcaudit.files import Document, Source, toml_document


def _way(path: str) -> str:
    """A path in one spelling, whatever system wrote it."""
    return posixpath.normpath(path.replace("\\", "/"))


def document_of(path: str, text: str) -> Document:
    """A TOML text as if it had been read from ``path``.

    Raises:
        UsageError: It is not TOML.
    """
    return toml_document(Source(path, text.encode("utf-8", "surrogatepass"), text))


def _bases(document: Document) -> list[str]:
    raw = document.data.get("based_on", [])
    names = raw if isinstance(raw, list) else [raw]
    folder = posixpath.dirname(_way(document.path))
    return [_way(posixpath.join(folder, name)) for name in names if isinstance(name, str)]


def _wrong(what: str) -> UsageError:
    return UsageError(what, next_step="make the report again, and a record of that")


class _Compiler:
    """Compiles profiles by their position, for one file may stand among them under two spellings."""

    def __init__(self, sources: Sequence[ProfileSource]) -> None:
        self.sources = sources
        self.documents = [document_of(source.path, source.text) for source in sources]
        ways = [_way(source.path) for source in sources]
        # A base is called by the plainest spelling of its path, so that one comes before the others.
        order = sorted(range(len(sources)), key=lambda number: sources[number].path == ways[number])
        self.places = {ways[number]: number for number in order}
        self.done: dict[int, Profile] = {}

    def below(self, number: int) -> list[str]:
        """What a profile is based on."""
        return _bases(self.documents[number])

    def compiled(self, number: int, chain: tuple[int, ...] = ()) -> Profile:
        if number not in self.done:
            source, document = self.sources[number], self.documents[number]
            self.done[number] = compile_profile(
                document.data,
                path=source.path,
                place=document.place,
                sha256=source.sha256,
                text=source.text,
                bases=[self._base(way, (*chain, number)) for way in self.below(number)],
            )
        return self.done[number]

    def _base(self, way: str, chain: tuple[int, ...]) -> Profile:
        number = self.places.get(way)
        if number is None or number in chain:
            raise _wrong(f"the record does not hold the profile {visible(way)}, which another is based on")
        return self.compiled(number, chain)


def _based_upon(compiler: _Compiler) -> set[int]:
    ways = [way for number in range(len(compiler.sources)) for way in compiler.below(number)]
    return {compiler.places[way] for way in ways if way in compiler.places}


def _check_all_used(sources: Sequence[ProfileSource], profiles: Sequence[Profile]) -> None:
    used = {source.path for profile in profiles for source in profile.sources}
    for source in sources:
        if source.path not in used:
            raise _wrong(
                f"what was asked does not hold together: it holds the profile {visible(source.path)}, "
                "which was not asked for, and on which nothing is based that was"
            )


def profiles_of(sources: Sequence[ProfileSource], asked: Sequence[int] | None = None) -> list[Profile]:
    """Compile the profiles of a report from the texts it holds.

    Args:
        sources: Every file, what another is based on too.
        asked: Positions of those that were asked for, in the order asked; None where the report
            does not say, as those of earlier builds. Then those that no other is based on.

    Returns:
        The ones that were asked.

    Raises:
        UsageError: One is based on a file that is not among them, or is no TOML; one was neither
            asked for nor is another based on it.
        MistakesError: This version finds mistakes in one.
    """
    compiler = _Compiler(sources)
    if asked is None:
        below = _based_upon(compiler)
        asked = [number for number in range(len(sources)) if number not in below]
    profiles = [compiler.compiled(number) for number in asked]
    _check_all_used(sources, profiles)
    return profiles


def perhaps_asked(sources: Sequence[ProfileSource]) -> list[str]:
    """Paths of the profiles that may or may not have been asked for, where a report does not say.

    Args:
        sources: Every file, what another is based on too.

    Returns:
        Those that another is based on.

    Raises:
        UsageError: One is no TOML.
    """
    below = _based_upon(_Compiler(sources))
    return [source.path for number, source in enumerate(sources) if number in below]
