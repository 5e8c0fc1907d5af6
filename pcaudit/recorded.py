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


class _Compiler:
    def __init__(self, sources: Sequence[ProfileSource]) -> None:
        self.sources = {_way(source.path): source for source in sources}
        self.documents = {way: document_of(s.path, s.text) for way, s in self.sources.items()}
        self.done: dict[str, Profile] = {}

    def compiled(self, way: str, chain: tuple[str, ...] = ()) -> Profile:
        if way not in self.sources or way in chain:
            raise UsageError(
                f"the record does not hold the profile {visible(way)}, which another is based on",
                next_step="make the report again, and a record of that",
            )
        if way not in self.done:
            source, document = self.sources[way], self.documents[way]
            self.done[way] = compile_profile(
                document.data,
                path=source.path,
                place=document.place,
                sha256=source.sha256,
                text=source.text,
                bases=[self.compiled(base, (*chain, way)) for base in _bases(document)],
            )
        return self.done[way]


def profiles_of(sources: Sequence[ProfileSource]) -> list[Profile]:
    """Compile the profiles of a report from the texts it holds.

    Args:
        sources: Every file, what another is based on too.

    Returns:
        Those that no other is based on, in their order: the ones that were asked.

    Raises:
        UsageError: One is based on a file that is not among them, or is no TOML.
        MistakesError: This version finds mistakes in one.
    """
    compiler = _Compiler(sources)
    below = {base for document in compiler.documents.values() for base in _bases(document)}
    return [compiler.compiled(way) for way in compiler.sources if way not in below]
