"""What is known of mains electricity in a country: the knowledge file, checked."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Any, Final, NamedTuple

from pcaudit.core.knowledge_data import KnowledgeError, need, only, optional_text, tables, word
from pcaudit.core.texts import fold

FORMAT: Final = 1
"""Newest format of the knowledge file this version reads."""


class Socket(NamedTuple):
    """A type of socket, and the amperes it gives."""

    type: str
    rating: int


class Share(NamedTuple):
    """A share of a rating that may be used.

    Attributes:
        share: From above 0 to 1; 1 where no rule is known.
        lasts: How long a load lasts that it is about: "3 hours or more".
        source: Who says so.
    """

    share: Fraction
    lasts: str
    source: str


class Fuses(NamedTuple):
    """Fuses in plugs: amperes, smallest first."""

    ratings: tuple[int, ...]
    source: str


class Country(NamedTuple):
    """What is known of one country.

    Attributes:
        code: Two letters, by ISO 3166-1.
        name: As it stands in a sentence.
        voltages: Nominal volts, those of ordinary sockets first.
        voltages_source: Who says so.
        sockets: Types of ordinary sockets.
        sockets_source: Who says so.
        breakers: Usual ratings of breakers and fuses of socket circuits, in amperes.
        continuous: What a breaker may carry for hours; None where nothing is known of a rule.
        socket_share: What one socket may give of its rating where several are on a circuit.
        plug_fuses: Fuses in plugs, where plugs have them.
        note: What else must be known.
    """

    code: str
    name: str
    voltages: tuple[int, ...]
    voltages_source: str
    sockets: tuple[Socket, ...]
    sockets_source: str
    breakers: tuple[int, ...] = ()
    continuous: Share | None = None
    socket_share: Share | None = None
    plug_fuses: Fuses | None = None
    note: str = ""

    def socket(self, kind: str) -> Socket | None:
        """The type of socket of this name, if it is known."""
        return next((one for one in self.sockets if fold(one.type) == fold(kind)), None)


class ElectricalKnowledge(NamedTuple):
    """What is known of every country, and the day it was gathered."""

    date: date
    countries: Mapping[str, Country]


def _sources(meta: Mapping[str, Any]) -> dict[str, str]:
    titles: dict[str, str] = {}
    for table, where in tables(meta, "sources", "meta."):
        only(table, ("id", "title"), where)
        identifier = need(table, "id", str, where)
        if identifier in titles:
            raise KnowledgeError(f"{where}id", f"{identifier!r:.60} stands twice")
        titles[identifier] = need(table, "title", str, where)
    return titles


def _source(table: Mapping[str, Any], key: str, titles: Mapping[str, str], where: str) -> str:
    return titles[word(table, key, titles, where)]


_MOST: Final = 1000


def _amounts(table: Mapping[str, Any], key: str, where: str) -> tuple[int, ...]:
    """A list of at least one whole number above 0."""
    values = need(table, key, list, where)
    if not values or not all(type(one) is int and 0 < one <= _MOST for one in values):
        raise KnowledgeError(f"{where}{key}", f"must be a list of whole numbers from 1 to {_MOST}")
    return tuple(values)


def _sockets(table: Mapping[str, Any], where: str) -> tuple[Socket, ...]:
    found: list[Socket] = []
    for one, place in tables(table, "sockets", where):
        only(one, ("type", "rating"), place)
        rating = need(one, "rating", int, place)
        if not 0 < rating <= _MOST:
            raise KnowledgeError(f"{place}rating", f"must be amperes from 1 to {_MOST}")
        found.append(Socket(need(one, "type", str, place), rating))
        if len({fold(socket.type) for socket in found}) < len(found):
            raise KnowledgeError(f"{place}type", f"{found[-1].type!r:.60} stands twice")
    if not found:
        raise KnowledgeError(f"{where}sockets", "must be a list of at least one table")
    return tuple(found)


def _share(table: Mapping[str, Any], key: str, titles: Mapping[str, str], where: str) -> Share | None:
    if key not in table:
        return None
    one, place = need(table, key, dict, where), f"{where}{key}."
    only(one, ("share", "lasts", "source"), place)
    percent = need(one, "share", int, place)
    if not 0 < percent <= 100:
        raise KnowledgeError(f"{place}share", f"must be a percentage from 1 to 100, not {percent}")
    return Share(
        Fraction(percent, 100), optional_text(one, "lasts", place), _source(one, "source", titles, place)
    )


def _fuses(table: Mapping[str, Any], titles: Mapping[str, str], where: str) -> Fuses | None:
    if "plug_fuses" not in table:
        return None
    one, place = need(table, "plug_fuses", dict, where), f"{where}plug_fuses."
    only(one, ("ratings", "source"), place)
    return Fuses(tuple(sorted(_amounts(one, "ratings", place))), _source(one, "source", titles, place))


_KEYS: Final = (
    *("code", "name", "voltages", "voltages_source", "sockets", "sockets_source"),
    *("breakers", "breakers_source", "continuous", "socket_share", "plug_fuses", "note"),
)


def _country(table: Mapping[str, Any], titles: Mapping[str, str], where: str) -> Country:
    only(table, _KEYS, where)
    code = need(table, "code", str, where)
    if not (len(code) == 2 and code.isascii() and code.isalpha() and code.isupper()):
        raise KnowledgeError(f"{where}code", f"{code!r:.60} is not two capital letters")
    breakers = _amounts(table, "breakers", where) if "breakers" in table else ()
    if breakers:
        _source(table, "breakers_source", titles, where)
    return Country(
        code,
        need(table, "name", str, where),
        _amounts(table, "voltages", where),
        _source(table, "voltages_source", titles, where),
        _sockets(table, where),
        _source(table, "sockets_source", titles, where),
        breakers,
        _share(table, "continuous", titles, where),
        _share(table, "socket_share", titles, where),
        _fuses(table, titles, where),
        optional_text(table, "note", where),
    )


def read(data: Mapping[str, Any]) -> ElectricalKnowledge:
    """Read a parsed knowledge file.

    Raises:
        KnowledgeError: It is of another format, or something in it is wrong.
    """
    only(data, ("meta", "countries"), "")
    meta = need(data, "meta", dict, "")
    only(meta, ("format", "date", "sources"), "meta.")
    if need(meta, "format", int, "meta.") != FORMAT:
        raise KnowledgeError("meta.format", f"this version reads format {FORMAT}")
    titles = _sources(meta)
    countries: dict[str, Country] = {}
    for table, where in tables(data, "countries", ""):
        country = _country(table, titles, where)
        if country.code in countries:
            raise KnowledgeError(f"{where}code", f"{country.code} stands twice")
        countries[country.code] = country
    return ElectricalKnowledge(need(meta, "date", date, "meta."), countries)
