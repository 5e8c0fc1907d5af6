"""A folder of records: each names the one before it, and none is ever written over.

Only one process adds at a time: it holds the operating system's own lock on a file in the folder,
which ends with the process, however that ends. A record is written under a temporary name and
renamed, so that a process killed at any moment leaves whole records only; what it leaves besides
is removed by whoever adds the next one.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any, Final, NamedTuple

from pcaudit.core.record import (
    ENDING,
    FETCH,
    Chain,
    Kept,
    Link,
    check_kind,
    content_fault,
    link_of,
    record_name,
)
from pcaudit.core.record_consistency import consistency_fault, other_pc, same_report
from pcaudit.core.visible import visible
from pcaudit.errors import UsageError
from pcaudit.files import JSON_LIMIT, Source, read_source, to_json, write_text

LOCK: Final = ".pcaudit-lock"
"""File that is locked while a record is added; it stays, empty."""

WAIT_SECONDS: Final = 30.0
"""How long to wait for another process that is adding a record."""
# fcntl(2): EACCES or EAGAIN; _locking of the Windows C library: EACCES or EDEADLOCK, and under Wine,
# where two try at the same moment, none at all.
_HELD: Final = (0, errno.EACCES, errno.EAGAIN, errno.EDEADLK, 36)

_TEMPORARY: Final = (".pcaudit-", ".tmp")


def read_record(path: str) -> Kept:
    """Read a record and check its content against its digests.

    Raises:
        UsageError: It cannot be read, is no record, or is of a newer format.
    """
    source, data = _read(path)
    document = check_kind(data, visible(path))
    fault = (
        content_fault(document)
        or consistency_fault(document)
        or _name_fault(os.path.basename(path), document)
        or _layout_fault(source, document)
    )
    return Kept(os.path.basename(path), document, fault)


def _read(path: str) -> tuple[Source, Any]:
    """Read a file as JSON; one that is called a record and is no JSON is a damaged one.

    Raises:
        UsageError: It cannot be read, or is no JSON.
    """
    from pcaudit.core.json_text import parse_json

    try:
        source = read_source(path, JSON_LIMIT)
        return source, parse_json(source.text, path)
    except UsageError as error:
        if not (path.endswith(ENDING) and os.path.isfile(path) and os.access(path, os.R_OK)):
            raise
        raise UsageError(f"the record is damaged: {error.message}", error.place, FETCH) from None


def _name_fault(name: str, document: dict[str, Any]) -> str:
    """That a file is not called what its content makes it; empty where it is.

    Some file systems do not tell capitals from small letters.
    """
    own = record_name(document)
    if name.lower() == own.lower():
        return ""
    return (
        "its content matches its digest, but the file was renamed, or copied over another: "
        f"by its content it is {own}"
    )


def _layout_fault(source: Source, document: dict[str, Any]) -> str:
    """Where a file is not laid out as it was written; empty where it is.

    Line ends may have been converted by what carried the file, all of them.
    """
    lead = "its content matches its digest, but the file was written anew by something else"
    if not source.raw.startswith(b"{"):
        return f"{lead} (it begins with a byte-order mark or a space)"
    text, written = source.text, to_json(document)
    if text == written or text == written.replace("\n", "\r\n"):
        return ""
    lines, own = text.split("\n"), written.split("\n")
    line = next(
        (i for i, (a, b) in enumerate(zip(lines, own, strict=False), 1) if a != b), min(len(lines), len(own))
    )
    return f"{lead} (line {line})"


# -- adding


def _lock(descriptor: int) -> bool:
    """Take the lock, unless another process holds it; whether it was taken."""
    try:
        if os.name == "nt":
            import msvcrt

            lock: Any = msvcrt
            lock.locking(descriptor, lock.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in _HELD:
            return False
        raise
    return True


@contextmanager
def _locked(folder: str) -> Iterator[None]:
    import time

    descriptor = os.open(os.path.join(folder, LOCK), os.O_RDWR | os.O_CREAT, 0o666)
    try:
        until = time.monotonic() + WAIT_SECONDS
        while not _lock(descriptor):
            if time.monotonic() > until:
                raise UsageError(
                    f"another process has been adding to {visible(folder)} for {WAIT_SECONDS:.0f} seconds",
                    next_step="let it end, then enter the record again; nothing was written",
                )
            time.sleep(0.05)
        yield
    finally:
        os.close(descriptor)  # and with it the lock


def _remove_leftovers(folder: str) -> None:
    first, last = _TEMPORARY
    for name in os.listdir(folder):
        if name.startswith(first) and name.endswith(last):
            with suppress(OSError):
                os.unlink(os.path.join(folder, name))


def _whole(folder: str, name: str) -> Kept:
    """A record of the store that another may build on.

    Raises:
        UsageError: It cannot be read, or its content does not match its digests.
    """
    hint = (
        f"fetch {visible(name)} from the backup of the store; where there is none, begin a store in another "
        "folder, and say why in your own log"
    )
    try:
        kept = read_record(os.path.join(folder, name))
    except UsageError as error:
        raise UsageError(
            f"a record in the store cannot be read: {error.message}", error.place, hint
        ) from None
    if kept.fault:
        raise UsageError(
            f"{visible(name)}, a record in the store, does not verify: {kept.fault}", next_step=hint
        )
    return kept


def _all(folder: str) -> dict[str, Kept]:
    return {name: _whole(folder, name) for name in sorted(os.listdir(folder)) if name.endswith(ENDING)}


def _check_predecessors(records: dict[str, Kept]) -> None:
    """Refuse to go on where a record names one before it that is gone or another.

    Raises:
        UsageError: It is; the first record of a store is missed by this alone.
    """
    for name, kept in records.items():
        link = link_of(kept.document, "previous")
        if link is None:
            continue
        before = records.get(link.record)
        if before is None or before.link != link:
            what = "is not in the store" if before is None else "is another than the one it was entered after"
            raise UsageError(
                f"{visible(name)} was entered after {visible(link.record)}, which {what}",
                next_step=f"fetch {visible(link.record)} from the backup of the store; nothing was written",
            )


def _last(folder: str, records: dict[str, Kept]) -> Kept | None:
    """The record that no other follows; None in an empty store.

    Raises:
        UsageError: There are several.
    """
    links = [link_of(kept.document, "previous") for kept in records.values()]
    followed = {link.record for link in links if link is not None}
    ends = [name for name in records if name not in followed]
    if len(ends) > 1:
        raise UsageError(
            f"the store {visible(folder)} has {len(ends)} records that none follows: {', '.join(ends[:3])}",
            next_step="records of two stores were mixed, or one is gone: keep one chain in each folder",
        )
    return records[ends[0]] if ends else None


def _replaced(records: dict[str, Kept], folder: str, replaces: str) -> Link:
    """The record of this store that is corrected.

    Raises:
        UsageError: It is not in this store, or another record corrects it already.
    """
    name = os.path.basename(replaces)
    elsewhere = os.path.dirname(replaces) and os.path.realpath(os.path.dirname(replaces)) != os.path.realpath(
        folder
    )
    if elsewhere or name not in records:
        raise UsageError(
            f"--replaces {visible(replaces)}: no such record in {visible(folder)}",
            next_step="a correction is entered in the store of the record it corrects",
        )
    for other, kept in records.items():
        link = link_of(kept.document, "replaces")
        if link is not None and link.record == name:
            raise UsageError(
                f"--replaces {visible(name)}: {other} corrects it already",
                next_step=f"correct {other} instead",
            )
    return records[name].link


def _refuse_other_pc(corrected: Kept, document: dict[str, Any]) -> None:
    """Refuse a correction whose PC is another.

    Raises:
        UsageError: It is, by the serial number, else by the host name.
    """
    words = other_pc(corrected.document, document)
    if words:
        raise UsageError(
            f"--replaces {visible(corrected.name)}: {visible(words)}",
            next_step="a correction is of the same PC; enter a record of another one without --replaces",
        )


class Added(NamedTuple):
    """A record that was added: its path, and names of records in the store that keep the same report."""

    path: str
    twice: tuple[str, ...]


Make = Callable[[Link | None, Link | None], dict[str, Any]]


def add(folder: str, make: Make, replaces: str = "") -> Added:
    """Add a record.

    Args:
        folder: Made if it is missing.
        make: Gives the document from the record before it and the one it corrects.
        replaces: Path or name of the record it corrects.

    Returns:
        The new record, and those of the same report.

    Raises:
        UsageError: The folder cannot be used, a record in it does not verify or is gone, the one it
            corrects is of another PC, or another process is adding to it all the time; then nothing
            was written.
    """
    if not folder.strip():
        raise UsageError("the name of the store is empty", next_step="name a folder: --store DIR")
    try:
        os.makedirs(folder, exist_ok=True)
        with _locked(folder):
            return _add(folder, make, replaces)
    except OSError as error:
        raise UsageError(
            f"the store {visible(folder)} cannot be used: {(error.strerror or str(error)).lower()}",
            next_step="name a folder on a volume where files can be made and locked",
        ) from None


def _add(folder: str, make: Make, replaces: str) -> Added:
    _remove_leftovers(folder)
    records = _all(folder)
    _check_predecessors(records)
    last = _last(folder, records)
    corrected = _replaced(records, folder, replaces) if replaces else None
    document = make(None if last is None else last.link, corrected)
    if corrected:
        _refuse_other_pc(records[corrected.record], document)
    path = os.path.join(folder, record_name(document))
    if os.path.lexists(path):
        raise UsageError(
            f"{visible(path)} is there already, and no record is written over",
            next_step="enter it again: its name comes of the time too",
        )
    others = [kept for kept in records.values() if kept.link != corrected]
    twice = tuple(kept.name for kept in others if same_report(kept.document, document))
    write_text(path, to_json(document))
    return Added(path, twice)


# -- verifying


def _linked(folder: str, link: Link, role: str) -> tuple[Kept | None, str]:
    """The record a link names, or what is wrong with it."""
    path = os.path.join(folder, link.record)
    if not os.path.exists(path):
        return None, f"{role}, {link.record}, is not in this folder"
    try:
        kept = read_record(path)
    except UsageError as error:
        return None, f"{role}, {link.record}, cannot be read: {error.message}"
    if kept.fault:
        return None, f"{role}, {link.record}, does not verify: {kept.fault}"
    if kept.document["digest"] != link.digest:
        return (
            None,
            f"{role}, {link.record}, is another than the one it was entered after: its digest differs",
        )
    return kept, ""


def verify(path: str) -> Chain:
    """Check a record's content, and every record before it in its folder.

    Args:
        path: Of the record.

    Raises:
        UsageError: It cannot be read, is no record, or is of a newer format.
    """
    kept = read_record(path)
    folder = os.path.dirname(path)
    if kept.fault:
        return Chain((), kept.fault)
    good: list[Kept] = []
    following: Kept | None = kept
    while following is not None:
        good.append(following)
        before = link_of(following.document, "previous")
        if before is None:
            break
        role = "the record before it" if len(good) == 1 else f"the record before {following.name}"
        following, fault = _linked(folder, before, role)
        if fault:
            return Chain(tuple(good), fault)
    return Chain(tuple(good), _replaces_fault(good))


def _replaces_fault(chain: list[Kept]) -> str:
    """A record that corrects one which does not come before it; empty where there is none."""
    for place, kept in enumerate(chain):
        link = link_of(kept.document, "replaces")
        if link is not None and link not in [earlier.link for earlier in chain[place + 1 :]]:
            return f"{kept.name} replaces {link.record}, which is not among the records before it"
    return ""
