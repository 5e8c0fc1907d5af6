"""Faults for recorded hosts: every file a probe touches, broken in every way files break."""

from __future__ import annotations

import errno
from collections.abc import Callable, Iterator
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Reading, Type
from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.linux.all import probes
from pcaudit.probes.linux.host import Host
from tests.probes.hosts import DENIED, Entry, Link, MemoryTree

_BROKEN: Final = OSError(errno.EIO, "Input/output error")
_HUGE: Final = 1 << 17
_TEXTS: Final = {Type.TEXT, Type.VERSION, Type.SET}


class Sharing(MemoryTree):
    """A tree that shares what another one holds."""

    def __init__(self, base: MemoryTree) -> None:
        super().__init__({}, base.times)
        self.entries, self.folders = base.entries, base.folders


class Watching(Sharing):
    """A tree that notes what is asked of it, links followed."""

    def __init__(self, base: MemoryTree) -> None:
        super().__init__(base)
        self.touched: set[str] = set()

    def _resolve(self, name: str, last: bool = True) -> str:
        path = super()._resolve(name, last)
        self.touched.add(path)
        return path


class Closed(Sharing):
    """A tree in which one folder may neither be listed nor entered (path_resolution(7))."""

    def __init__(self, base: MemoryTree, folder: str) -> None:
        super().__init__(base)
        self.folder = folder

    def _resolve(self, name: str, last: bool = True) -> str:
        path = super()._resolve(name, last)
        if path.startswith(f"{self.folder}/"):
            raise DENIED
        return path

    def names(self, name: str) -> list[str]:
        if self._resolve(name) == self.folder:
            raise DENIED
        return super().names(name)


class Fault(NamedTuple):
    """One thing that goes wrong: what, where, and the tree in which it has."""

    kind: str
    path: str
    tree: Callable[[], MemoryTree]


def _with(base: MemoryTree, path: str, entry: Entry) -> Callable[[], MemoryTree]:
    def make() -> MemoryTree:
        tree = Sharing(base)
        tree.entries = {**base.entries, path: entry}
        return tree

    return make


def _without(base: MemoryTree, path: str) -> Callable[[], MemoryTree]:
    def gone(name: str) -> bool:
        return name == path or name.startswith(f"{path}/")

    def make() -> MemoryTree:
        tree = Sharing(base)
        parent, _, last = path.rpartition("/")
        tree.entries = {name: entry for name, entry in base.entries.items() if not gone(name)}
        tree.folders = {name: names for name, names in base.folders.items() if not gone(name)}
        tree.folders[parent] = base.folders[parent] - {last}
        return tree

    return make


def _content(entry: Entry) -> bytes:
    return entry.encode() if isinstance(entry, str) else entry if isinstance(entry, bytes) else b""


def _file_faults(base: MemoryTree, path: str) -> Iterator[Fault]:
    content = _content(base.entries[path])
    broken: dict[str, Entry] = {
        "denied": DENIED,
        "refused": _BROKEN,
        "empty": b"",
        "garbage": b"\xff\x00{[\x1b\x7f\xfe:= \n\x80\x00" * 9,
        "digits": b"9" * 5000,
        "cut": content[: len(content) // 2],
        "huge": content * (_HUGE // len(content) + 1) if content else b"\0" * _HUGE,
    }
    for kind, entry in broken.items():
        yield Fault(kind, path, _with(base, path, entry))


def faults_of(base: MemoryTree, path: str) -> Iterator[Fault]:
    """Every way in which one path can be broken."""
    entry = base.entries.get(path)
    if entry is None and path not in base.folders:
        return
    yield Fault("missing", path, _without(base, path))
    if isinstance(entry, Link):
        yield Fault("dangling", path, _with(base, path, Link("/nowhere/at/all")))
        yield Fault("loop", path, _with(base, path, Link(path)))
    elif entry is None:
        yield Fault("denied", path, _with(base, path, DENIED))
        yield Fault("refused", path, _with(base, path, _BROKEN))
        yield Fault("closed", path, lambda: Closed(base, path))
    elif not isinstance(entry, OSError):
        yield from _file_faults(base, path)


def touched(host: Host, number: int) -> set[str]:
    """The paths that the host's probe of that number asks for."""
    assert isinstance(host.tree, MemoryTree)
    tree = Watching(host.tree)
    probes(host._replace(tree=tree))[number].take()
    return tree.touched - {""}


def by_path(host: Host) -> dict[str, list[int]]:
    """For each path of the host, the numbers of the probes that ask for it."""
    found: dict[str, list[int]] = {}
    for number in range(len(probes(host))):
        for path in touched(host, number):
            found.setdefault(path, []).append(number)
    return found


def _item_is_no_better(faulty: dict[str, Any], healthy: dict[str, Any], keys: set[str]) -> bool:
    return all(faulty.get(key) in {None, healthy.get(key)} for key in keys)


def _list_is_no_better(faulty: Observation, healthy: Observation, keys: set[str]) -> bool:
    left = list(healthy.value)
    for item in faulty.value:
        match = next((one for one in left if _item_is_no_better(item, one, keys)), None)
        if match is None:
            return False
        left.remove(match)
    return not (faulty.complete and (left or not healthy.complete))


def _known_is_no_better(faulty: Observation, healthy: Observation, record: Reading, texts: bool) -> bool:
    kind = record.value.type
    if kind in _TEXTS and not texts:
        return True
    if healthy.form is not Form.KNOWN:
        return False
    if kind is Type.LIST:
        keys = {key for key, spec in record.items.items() if spec.type is not Type.SET}
        keys -= set() if texts else {key for key, spec in record.items.items() if spec.type in _TEXTS}
        return _list_is_no_better(faulty, healthy, keys)
    if kind is Type.SET and not faulty.complete:
        return set(faulty.value) <= set(healthy.value)
    return bool(faulty.value == healthy.value)


def no_better(reading: str, faulty: Observation, healthy: Observation, texts: bool = True) -> bool:
    """Whether a fault left a reading as it was or told less of it: never another truth.

    Args:
        reading: Its name.
        faulty: What was read with the fault.
        healthy: What was read without it.
        texts: Whether texts count, too; a name replaced by rubbish is a name all the same.
    """
    if faulty.form is Form.UNKNOWN:
        return True
    if faulty.form is Form.ABSENT:
        return healthy.form is Form.ABSENT
    if faulty.form is Form.AT_LEAST:
        return healthy.form in {Form.KNOWN, Form.AT_LEAST} and faulty.value <= healthy.value
    return _known_is_no_better(faulty, healthy, CATALOGUE[reading], texts)
