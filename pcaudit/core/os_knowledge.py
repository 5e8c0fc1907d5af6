"""What is known of operating-system releases, and the readings that follow from it.

``read`` makes the knowledge from a parsed knowledge file; ``feature_release``, ``servicing`` and
``support_ends`` derive the readings of those names. Windows is judged by build and edition, for the
product's name is not to be trusted: the client, its long-term channel and the server share builds.
A release, edition or date the knowledge does not hold is unknown, never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import EDITIONS, OS_TYPES
from pcaudit.core.knowledge_data import KnowledgeError, need, only, optional_text, tables, texts, word
from pcaudit.core.snapshot import Form, Observation, known, unknown
from pcaudit.core.texts import fold

FORMAT: Final = 1
"""Newest format of the knowledge file this version reads."""

SERVICING: Final = ("general", "long-term")
"""Servicing channels; long-term only where the maker itself calls the release that."""

Get = Callable[[str], Observation]
_Version = tuple[str, ...]


class Line(NamedTuple):
    """A line of Windows servicing: editions whose updates end on the same day.

    Attributes:
        name: As releases name it.
        title: Name for people.
        servicing: One of ``SERVICING``.
        editions: Values of ``os.edition`` that may be of this line.
        edition_ids: Values of ``os.edition_id`` that are of this line and no other, folded.
    """

    name: str
    title: str
    servicing: str
    editions: frozenset[str]
    edition_ids: frozenset[str]


class Release(NamedTuple):
    """One release, on Windows in one line of servicing.

    Attributes:
        product: Product it belongs to.
        name: The release's own name; empty where it has none.
        servicing: One of ``SERVICING``.
        ends: Last day of free security updates, or why no day is known.
        source: Where the data come from.
        note: What another source says of the day, or what is not counted.
        line: Windows line of servicing.
        doubt: Why the version does not tell the release; empty where it does.
    """

    product: str
    name: str
    servicing: str
    ends: date | str
    source: str
    note: str = ""
    line: Line | None = None
    doubt: str = ""


class OsKnowledge(NamedTuple):
    """Everything known of releases.

    Attributes:
        date: Day the knowledge was gathered.
        lines: Windows lines of servicing.
        builds: Windows releases by build.
        products: Releases of macOS and Linux by ``os.type`` and folded product, then by version.
    """

    date: date
    lines: tuple[Line, ...]
    builds: Mapping[int, tuple[Release, ...]]
    products: Mapping[tuple[str, str], Mapping[_Version, Release]]


# -- reading the file


def _end(table: Mapping[str, Any], key: str, where: str) -> date | str:
    value = table.get(key)
    if type(value) is date:
        return value
    if isinstance(value, str) and value.strip():
        return value
    raise KnowledgeError(f"{where}{key}", "must be a date without time, or a text saying why none is known")


def _sources(meta: Mapping[str, Any]) -> dict[str, str]:
    titles: dict[str, str] = {}
    for table, where in tables(meta, "sources", "meta."):
        only(table, ("id", "title"), where)
        identifier = need(table, "id", str, where)
        if identifier in titles:
            raise KnowledgeError(f"{where}id", f"{identifier!r:.60} stands twice")
        titles[identifier] = need(table, "title", str, where)
    return titles


def _lines(by_name: Mapping[str, Any]) -> dict[str, Line]:
    lines: dict[str, Line] = {}
    owners: dict[str, str] = {}
    for name in by_name:
        table, where = need(by_name, name, dict, "windows.lines."), f"windows.lines.{name}."
        only(table, ("title", "servicing", "editions", "edition_ids"), where)
        editions = texts(table, "editions", where)
        for edition in editions:
            if edition not in EDITIONS:
                raise KnowledgeError(f"{where}editions", f"{edition!r:.60} is none of: {', '.join(EDITIONS)}")
        identifiers = frozenset(fold(text) for text in texts(table, "edition_ids", where))
        for identifier in identifiers:
            if owners.setdefault(identifier, name) != name:
                raise KnowledgeError(
                    f"{where}edition_ids", f"{identifier!r:.60} is of {owners[identifier]} too"
                )
        title = need(table, "title", str, where)
        servicing = word(table, "servicing", SERVICING, where)
        lines[name] = Line(name, title, servicing, frozenset(editions), identifiers)
    return lines


def _source(table: Mapping[str, Any], default: str, titles: Mapping[str, str], where: str) -> str:
    if "source" not in table:
        return titles[default]
    return titles[word(table, "source", titles, where)]


def _windows(
    windows: Mapping[str, Any], titles: Mapping[str, str]
) -> tuple[tuple[Line, ...], dict[int, tuple[Release, ...]]]:
    only(windows, ("lines", "source", "releases"), "windows.")
    lines = _lines(need(windows, "lines", dict, "windows."))
    default = word(windows, "source", titles, "windows.")
    builds: dict[int, tuple[Release, ...]] = {}
    for table, where in tables(windows, "releases", "windows."):
        only(table, ("product", "release", "build", "ends", "source", "note"), where)
        product, name = (need(table, key, str, where) for key in ("product", "release"))
        source, note = _source(table, default, titles, where), optional_text(table, "note", where)
        build = need(table, "build", int, where)
        ends = need(table, "ends", dict, where)
        for key in ends:
            if key not in lines:
                raise KnowledgeError(f"{where}ends.{key}", f"no line of servicing; lines: {', '.join(lines)}")
            before = builds.get(build, ())
            if any(other.line is lines[key] or other.name != name for other in before):
                raise KnowledgeError(f"{where}build", f"{build} stands twice, for {key} or by another name")
            end = _end(ends, key, f"{where}ends.")
            release = Release(product, name, lines[key].servicing, end, source, note, lines[key])
            builds[build] = (*before, release)
    return tuple(lines.values()), builds


_VERSION = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9}){0,5}", re.ASCII)


def _release(
    table: Mapping[str, Any], product: str, default: str, titles: Mapping[str, str], where: str
) -> Release:
    if "doubt" in table:
        only(table, ("version", "doubt"), where)
        return Release(product, "", "", "", "", doubt=need(table, "doubt", str, where))
    only(table, ("version", "release", "servicing", "ends", "source", "note"), where)
    return Release(
        product,
        optional_text(table, "release", where),
        word(table, "servicing", SERVICING, where),
        _end(table, "ends", where),
        _source(table, default, titles, where),
        optional_text(table, "note", where),
    )


def _versions(product: Mapping[str, Any], titles: Mapping[str, str], where: str) -> dict[_Version, Release]:
    name = texts(product, "names", where)[0]
    default = word(product, "source", titles, where)
    versions: dict[_Version, Release] = {}
    for table, place in tables(product, "releases", where):
        text = need(table, "version", str, place)
        if not _VERSION.fullmatch(text):
            raise KnowledgeError(f"{place}version", f"{text!r:.60} is not digits with points between them")
        version = tuple(text.split("."))
        if version in versions:
            raise KnowledgeError(f"{place}version", f"{text} stands twice")
        versions[version] = _release(table, name, default, titles, place)
    return versions


def read(data: Mapping[str, Any]) -> OsKnowledge:
    """Make the knowledge from a parsed knowledge file (``knowledge/os.toml``).

    Args:
        data: The parsed TOML document.

    Returns:
        The knowledge.

    Raises:
        KnowledgeError: Something is missing, of the wrong type, unknown, said twice, or the format
            is newer than this version reads; ``key`` says where.
    """
    only(data, ("meta", "windows", "products"), "")
    meta = need(data, "meta", dict, "")
    form = need(meta, "format", int, "meta.")
    if form != FORMAT:
        raise KnowledgeError("meta.format", f"{form} is not what this version of pcaudit reads ({FORMAT})")
    only(meta, ("format", "date", "sources"), "meta.")
    gathered = need(meta, "date", date, "meta.")
    titles = _sources(meta)
    lines, builds = _windows(need(data, "windows", dict, ""), titles)
    products: dict[tuple[str, str], Mapping[_Version, Release]] = {}
    for table, where in tables(data, "products", ""):
        only(table, ("type", "names", "source", "releases"), where)
        os_type = word(table, "type", OS_TYPES, where)
        versions = _versions(table, titles, where)
        for name in texts(table, "names", where):
            if (os_type, fold(name)) in products:
                raise KnowledgeError(f"{where}names", f"{name!r:.60} stands twice")
            products[os_type, fold(name)] = versions
    return OsKnowledge(gathered, lines, builds, products)


# -- finding the release of a PC


class _Found(NamedTuple):
    """What a PC may be running.

    ``subject`` names it for people; ``releases`` are all it may be, one where that is certain.
    ``open`` says what keeps them apart; where ``missing`` is set, it may be none of them.
    """

    subject: str
    releases: tuple[Release, ...]
    open: str = ""
    missing: str = ""


_Sought = _Found | str  # a text is the reason why nothing is found


def _value(get: Get, name: str) -> str:
    """The text of a reading, empty where it is not known."""
    seen = get(name)
    return seen.value if seen.form is Form.KNOWN and isinstance(seen.value, str) else ""


def _why_not(get: Get, name: str, what: str) -> str:
    return f"{what} is not known: {get(name).why or 'no reason given'}"


def _newer(what: str, knowledge: OsKnowledge) -> str:
    gathered = knowledge.date.isoformat()
    return f"{what} is newer than the knowledge of {gathered}: lay a newer file over it with --knowledge"


def _not_held(what: str, knowledge: OsKnowledge) -> str:
    gathered = knowledge.date.isoformat()
    return f"{what} is not in the knowledge of {gathered}: a file laid over it with --knowledge can add it"


def _build(version: str, knowledge: OsKnowledge) -> int | str:
    """The build of a Windows version, or why the knowledge cannot hold it."""
    parts = version.split(".")
    if not _VERSION.fullmatch(version) or len(parts) < 3:
        return f"the version {version[:60]!r} does not name a build, as 10.0.19045 does"
    system = (int(parts[0]), int(parts[1]))
    # Windows 10, 11 and the servers since 2016 all call themselves 10.0.
    if system != (10, 0):
        what = f"Windows version {version[:60]}"
        return _newer(what, knowledge) if system > (10, 0) else _not_held(what, knowledge)
    return int(parts[2])


def _no_release(build: int, knowledge: OsKnowledge) -> str:
    if build > max(knowledge.builds, default=0):
        return _newer(f"build {build}", knowledge)
    return _not_held(f"build {build} (a preview, or newer than the knowledge)", knowledge)


def _of_edition(get: Get, releases: tuple[Release, ...]) -> tuple[Release, ...]:
    """Releases that a PC may be running by its edition and product, where its identifier is not known."""
    edition = _value(get, "os.edition")
    left = tuple(r for r in releases if not edition or (r.line and edition in r.line.editions))
    product = fold(_value(get, "os.product"))
    # A client is not told from a server by a product without that word, but a server by one with it.
    if "server" not in product.split():
        return left
    left = tuple(r for r in left if fold(r.product).startswith("windows server"))
    named = tuple(r for r in left if product.startswith(fold(r.product)))
    return named or left


def _windows_found(get: Get, knowledge: OsKnowledge) -> _Sought:
    version = _value(get, "os.version")
    if not version:
        return _why_not(get, "os.version", "the Windows version")
    build = _build(version, knowledge)
    if isinstance(build, str):
        return build
    releases = knowledge.builds.get(build, ())
    if not releases:
        return _no_release(build, knowledge)
    subject, identifier = f"Windows build {build}", _value(get, "os.edition_id")
    if not identifier:
        left = _of_edition(get, releases)
        reason = _why_not(get, "os.edition_id", "which edition it is depends on os.edition_id, and that")
        return _Found(subject, left, reason) if left else _contradiction(get, subject)
    line = next((line for line in knowledge.lines if fold(identifier) in line.edition_ids), None)
    if line is None:
        what = f"the edition identifier {identifier[:60]!r}"
        return _Found(subject, releases, missing=_not_held(what, knowledge))
    edition = _value(get, "os.edition")
    left = tuple(r for r in releases if r.line is line)
    if not left or (edition and edition not in line.editions):
        return _contradiction(get, subject)
    return _Found(f"{subject}, {line.title}", left)


def _contradiction(get: Get, subject: str) -> str:
    names = ("os.product", "os.edition", "os.edition_id")
    said = ", ".join(f"{name} {value[:60]!r}" for name in names if (value := _value(get, name)))
    return f"the readings contradict each other: no release of {subject} has {said}"


def _version_found(get: Get, os_type: str, knowledge: OsKnowledge) -> _Sought:
    product, version = _value(get, "os.product"), _value(get, "os.version")
    if not product:
        return _why_not(get, "os.product", "the product")
    versions = knowledge.products.get((os_type, fold(product)))
    if versions is None:
        return _not_held(f"{product[:60]!r}", knowledge)
    if not version:
        return _why_not(get, "os.version", f"the version of {product[:60]}")
    if not _VERSION.fullmatch(version):
        return f"the version {version[:60]!r} of {product[:60]} is not digits with points between them"
    subject, parts = f"{product[:60]} {version[:60]}", tuple(version.split("."))
    release = next((r for v, r in versions.items() if parts[: len(v)] == v), None)
    if release:
        return release.doubt or _Found(subject, (release,))
    newest = max((tuple(map(int, held)) for held in versions), default=())
    return _newer(subject, knowledge) if tuple(map(int, parts)) > newest else _not_held(subject, knowledge)


def _find(get: Get, knowledge: OsKnowledge) -> _Sought:
    os_type = _value(get, "os.type")
    if not os_type:
        return _why_not(get, "os.type", "the operating system")
    if os_type == "windows":
        return _windows_found(get, knowledge)
    return _version_found(get, os_type, knowledge)


# -- the readings


def _gathered(found: _Found, knowledge: OsKnowledge, phrase: str = "knowledge of") -> str:
    sources = "; ".join(dict.fromkeys(release.source for release in found.releases))
    return f"{found.subject}: {sources}; {phrase} {knowledge.date.isoformat()}"


def _told_apart(found: _Found, answers: Mapping[str, str]) -> Observation:
    said = "; ".join(f"{title}: {answer}" for title, answer in answers.items())
    return unknown(f"{found.open} ({said})")


def _titled(found: _Found, ask: Callable[[Release], str]) -> dict[str, str]:
    """The answers by the line of servicing they are for."""
    return {r.line.title if r.line else r.product: ask(r) for r in found.releases}


def feature_release(get: Get, knowledge: OsKnowledge) -> Observation:
    """The release's own name, such as 24H2 or bookworm.

    Args:
        get: Gives the observation of a reading by its name.
        knowledge: What is known of releases.

    Returns:
        The name, or why it is not known.
    """
    found = _find(get, knowledge)
    if isinstance(found, str):
        return unknown(found)
    # All releases of a build have one name (``read`` sees to it), so the edition does not matter.
    name = found.releases[0].name
    if not name:
        return unknown(f"{found.subject}: the release has no name of its own in {_held(knowledge)}")
    return known(name, _gathered(found, knowledge))


def _held(knowledge: OsKnowledge) -> str:
    return f"the knowledge of {knowledge.date.isoformat()}"


def servicing(get: Get, knowledge: OsKnowledge) -> Observation:
    """The servicing channel: general, or long-term where the maker itself calls it that.

    Args:
        get: Gives the observation of a reading by its name.
        knowledge: What is known of releases.

    Returns:
        The channel, or why it is not known.
    """
    found = _find(get, knowledge)
    if isinstance(found, str) or found.missing:
        return unknown(found if isinstance(found, str) else found.missing)
    channels = {release.servicing for release in found.releases}
    if len(channels) > 1:
        return _told_apart(found, _titled(found, lambda release: release.servicing))
    return known(channels.pop(), _gathered(found, knowledge))


def support_ends(get: Get, knowledge: OsKnowledge) -> Observation:
    """Last day of security updates the maker gives without extra payment.

    Args:
        get: Gives the observation of a reading by its name.
        knowledge: What is known of releases.

    Returns:
        The day (ISO 8601, inclusive), or why it is not known. A day past the knowledge's own age
        may still be moved by the maker, and the source says as of when it is known.
    """
    found = _find(get, knowledge)
    if isinstance(found, str) or found.missing:
        return unknown(found if isinstance(found, str) else found.missing)
    identifier = _value(get, "os.edition_id")
    if found.releases[0].line and "eval" in fold(identifier):
        return unknown(f"{identifier[:60]} is an evaluation copy, which stops by itself: see slmgr /dlv")
    ends = {release.ends for release in found.releases}
    if len(ends) > 1:
        return _told_apart(found, _titled(found, lambda release: str(release.ends)))
    end = ends.pop()
    if isinstance(end, str):
        return unknown(end)
    source = _gathered(found, knowledge, "as known on" if end > knowledge.date else "knowledge of")
    notes = "".join(f"; {note}" for note in dict.fromkeys(r.note for r in found.releases) if note)
    return known(end.isoformat(), f"{source}{notes}")
