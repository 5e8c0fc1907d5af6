"""Files that belong together: a profile with what it is based on, and the knowledge files."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, BinaryIO, Final, NamedTuple

from pcaudit.core.choose import Asked
from pcaudit.core.compile import compile_profile
from pcaudit.core.derive import CPU_DERIVATIONS, OS_DERIVATIONS, Knowledge
from pcaudit.core.profile import AnyOf, Condition, Items, Meta, Profile, Scalar
from pcaudit.core.visible import visible
from pcaudit.errors import Mistake, MistakesError, PcauditError, UsageError
from pcaudit.files import TOML_LIMIT, Document, knowledge_file, name, read_source, read_toml, toml_document

if TYPE_CHECKING:
    from pcaudit.core.plan.electrical_rules import ElectricalKnowledge

MOST_BASES: Final = 16
"""Files in a chain of ``based_on`` at most."""

_OF_WORKSHEETS: Final = frozenset({"installation", "use", "people"})
"""Sections by which a worksheet is told from a profile."""

# -- profiles


def load(path: str, stdin: BinaryIO | None = None) -> Profile:
    """Read and compile a profile and everything it is based on.

    Args:
        path: Its file, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It cannot be read, or is JSON.
        MistakesError: Every mistake in it, or in the first file it is based on that has one;
            ``based_on`` leads in a circle, to nothing, or out of the folder of the first file.
    """
    document = _document(path, stdin)
    root = "" if path == "-" else os.path.realpath(os.path.dirname(path) or ".")
    return _compiled(document, root, (os.path.realpath(path),), {})


def _document(path: str, stdin: BinaryIO | None) -> Document:
    source = read_source(path, TOML_LIMIT, stdin)
    if source.text.lstrip().startswith("{"):
        raise UsageError(
            f"{visible(name(path))} is JSON, and a profile is TOML",
            next_step="the profile comes first: pcaudit assess PROFILE SNAPSHOT",
        )
    document = toml_document(source)
    if not document.data.keys().isdisjoint(_OF_WORKSHEETS):
        raise UsageError(
            f"{visible(name(path))} is a worksheet, not a profile",
            next_step="name it as such: pcaudit assess --worksheet FILE",
        )
    return document


def _compiled(document: Document, root: str, chain: tuple[str, ...], done: dict[str, Profile]) -> Profile:
    bases = [_base(document, target, key, root, chain, done) for key, target in _named(document)]
    return compile_profile(
        document.data,
        path=document.path,
        place=document.place,
        sha256=document.sha256,
        text=document.text,
        bases=bases,
    )


def _wrong(document: Document, key: tuple[str | int, ...], message: str, hint: str = "") -> MistakesError:
    return MistakesError(document.path, [Mistake("based_on", message, hint, document.place(key))])


def _named(document: Document) -> list[tuple[tuple[str | int, ...], str]]:
    """The files a document says it is based on, each with the key that says so."""
    raw = document.data.get("based_on", [])
    several = raw if isinstance(raw, list) else [raw]
    if "based_on" in document.data and (
        not several or not all(isinstance(n, str) and n.strip() for n in several)
    ):
        raise _wrong(
            document, ("based_on",), "`based_on` names a file, or a list of files", 'based_on = "base.toml"'
        )
    return [
        (("based_on", i) if isinstance(raw, list) else ("based_on",), name) for i, name in enumerate(several)
    ]


def _base(
    document: Document,
    target: str,
    key: tuple[str | int, ...],
    root: str,
    chain: tuple[str, ...],
    done: dict[str, Profile],
) -> Profile:
    if not root:
        raise _wrong(document, key, "a profile from standard input has no folder to look in", "name its file")
    if os.path.isabs(target) or "\\" in target or ":" in target:
        raise _wrong(
            document, key, f"{target:.80} is not a relative path", "write folder/base.toml, with / between"
        )
    path = os.path.normpath(os.path.join(os.path.dirname(document.path), target))
    real = os.path.realpath(path)
    if os.path.commonpath([root, real]) != root:
        raise _wrong(
            document, key, f"{target:.80} lies outside the first profile's folder", "keep them together"
        )
    if real in chain:
        raise _wrong(document, key, f"{target:.80} is based on this file in turn", "break the circle")
    if len(chain) >= MOST_BASES:
        raise _wrong(document, key, f"more than {MOST_BASES} profiles based on each other")
    if real not in done:
        if not os.path.isfile(real):
            raise _wrong(document, key, f"there is no file {target:.80}", f"looked for {path}")
        done[real] = _compiled(read_toml(path), root, (*chain, real), done)
    return done[real]


# -- knowledge

TABLES: Final = ("os", "cpu")
"""Knowledge tables that derived readings follow from."""

KNOWLEDGE_FILES: Final = ("os.toml", "cpu.toml", "remedies.toml", "electrical.toml")
"""Files of a knowledge folder."""


def _metas(condition: Condition) -> Iterable[Meta]:
    yield condition.meta
    if isinstance(condition, AnyOf):
        for alternative in condition.alternatives:
            yield alternative.meta
            yield from (one.meta for one in alternative.conditions)


def _readings(condition: Condition) -> Iterable[str]:
    """Every reading a condition asks about, one way or another."""
    if isinstance(condition, AnyOf):
        for alternative in condition.alternatives:
            for one in alternative.conditions:
                yield from _readings(one)
    else:
        yield condition.record.name
        keys = condition.keys if isinstance(condition, Items) else (condition.requirement,)
        yield from (scale.name for key in keys for scale in key.scales)
        yield from (guard.name for guard in condition.guards) if isinstance(condition, Scalar) else ()
    for meta in _metas(condition):
        yield from (one.name for one in meta.when.requirements)


def needed_by(asked: Sequence[Asked]) -> tuple[str, ...]:
    """The knowledge tables that a set of questions needs."""
    names = {name for each in asked for condition in each.conditions for name in _readings(condition)}
    names |= {one.name for each in asked for a in each.arrangements for one in a.meta.when.requirements}
    wanted = {"os": names & OS_DERIVATIONS.keys(), "cpu": names & CPU_DERIVATIONS.keys()}
    return tuple(table for table in TABLES if wanted[table])


def series_for(profile: Profile) -> frozenset[str]:
    """The processor series that the shipped table has; none where the profile asks nothing of them."""
    conditions = (*profile.conditions, *(c for option in profile.options for c in option.conditions))
    arrangements = (*profile.arrangements, *(a for option in profile.options for a in option.arrangements))
    names = {name for condition in conditions for name in _readings(condition)}
    names |= {one.name for arrangement in arrangements for one in arrangement.meta.when.requirements}
    known = tables(("cpu",)).cpu if "cpu.series" in names else None
    if known is None:
        return frozenset()
    from pcaudit.core.cpu_series import series_names

    return series_names(known)


def _check_folder(folder: str) -> None:
    """Refuse a folder that would change nothing: newer knowledge that is not found looks like none."""
    if not folder:
        return
    hint = f"name a folder with {', '.join(KNOWLEDGE_FILES[:-1])} or {KNOWLEDGE_FILES[-1]}"
    if not os.path.isdir(folder):
        raise UsageError(f"--knowledge {folder:.80}: no such folder", next_step=hint)
    if not any(os.path.exists(os.path.join(folder, name)) for name in KNOWLEDGE_FILES):
        raise UsageError(f"--knowledge {folder:.80}: no knowledge file in it", next_step=hint)


def _data(name: str, folder: str) -> tuple[dict[str, Any], str]:
    """A knowledge file, the folder's own before the shipped one, and its name for messages."""
    if folder:
        path = os.path.join(folder, name)
        if os.path.exists(path):
            return read_toml(path).data, path
    import tomllib

    return tomllib.loads(knowledge_file(name).decode()), name


def tables(names: Iterable[str], folder: str = "") -> Knowledge:
    """Read knowledge tables.

    Args:
        names: Of ``TABLES``.
        folder: Files in it replace the shipped ones of the same name, whole.

    Raises:
        UsageError: The folder holds no knowledge file, or one that cannot be read or is wrong.
    """
    _check_folder(folder)
    known = Knowledge()
    for table in names:
        data, path = _data(f"{table}.toml", folder)
        try:
            known = known._replace(**{table: _read(table, data, path)})
        except PcauditError:
            raise
        except ValueError as error:
            raise UsageError(f"{path}: {error}", next_step="see the shipped file of the same name") from None
    return known


def _read(name: str, data: dict[str, Any], path: str) -> Any:
    if name == "os":
        from pcaudit.core.os_knowledge import read

        return read(data)
    from pcaudit.core.cpu_names import read as read_cpu

    return read_cpu(data, path)


def remedies(folder: str = "", names: Collection[str] | None = None, os_type: str = "") -> dict[str, Any]:
    """What to do about shortfalls, by reading and operating system.

    Args:
        folder: As for ``tables``.
        names: Of the remedies that are needed; None for all of them.
        os_type: Of the PC they are for, where not all are.

    Raises:
        UsageError: The folder's own file cannot be read or has no table of remedies.
    """
    file = "remedies.toml"
    if names is None or (folder and os.path.exists(os.path.join(folder, file))):
        data, path = _data(file, folder)
    else:
        import tomllib

        from pcaudit.core.remedies import excerpt

        data, path = tomllib.loads(excerpt(knowledge_file(file).decode(), names, os_type)), file
    table = data.get("remedies")
    if not isinstance(table, dict) or not all(isinstance(one, dict) for one in table.values()):
        raise UsageError(f"{path}: no table of remedies", next_step="see the shipped file of the same name")
    return table


def electrical(folder: str = "") -> ElectricalKnowledge:
    """What is known of mains electricity, by country.

    Raises:
        UsageError: The folder holds no knowledge file, or its own file cannot be read or is wrong.
    """
    from pcaudit.core.plan.electrical_rules import read

    _check_folder(folder)
    data, path = _data("electrical.toml", folder)
    try:
        return read(data)
    except ValueError as error:
        raise UsageError(f"{path}: {error}", next_step="see the shipped file of the same name") from None


# -- public holidays


class PublicHolidays(NamedTuple):
    """Public holidays of a country, and what is to be said of them."""

    days: frozenset[date] = frozenset()
    notes: tuple[str, ...] = ()


def public_holidays(country: str, subdivision: str, years: Iterable[int]) -> PublicHolidays:
    """The public holidays of a country, by the optional library ``holidays``.

    Args:
        country: ISO 3166-1 code; empty for none.
        subdivision: Second half of an ISO 3166-2 code; empty for the whole country.
        years: Of which they are wanted.

    Returns:
        The days; where the library is missing or does not know the country none, and a note that
        they were not counted.
    """
    if not country:
        return PublicHolidays()
    where = f"{country}, subdivision {subdivision}" if subdivision else country
    lost = f"Public holidays of {where} were not counted"
    try:
        # Left out of many installations: a worksheet can list the days itself.
        import holidays
    except ImportError:
        note = f"{lost}, for the library holidays is not installed: list the days under `holidays`."
        return PublicHolidays(notes=(note,))
    try:
        found = holidays.country_holidays(country, subdiv=subdivision or None, years=list(years))
    except NotImplementedError:
        note = f"{lost}, for the library holidays does not know it: list the days under `holidays`."
        return PublicHolidays(notes=(note,))
    from importlib.metadata import version

    note = f"Public holidays of {where} by the library holidays {version('holidays')}."
    return PublicHolidays(frozenset(found), (note,))
