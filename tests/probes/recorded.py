"""Recorded Linux hosts: ``fixtures/hosts/*.toml``.

A file describes the hardware in a comment, holds the files a probe may read, and the expected
readings, written down from the hardware before any probe ran:

* ``[host]``: names, user, present moment, ``clock`` as ``[state, maximum error in microseconds]``.
* ``[environ]``, ``[separators]`` (of locales), ``[programs]`` (their output).
* ``[space]``: bytes of mounted file systems; ``[addresses]``: of network adapters.
* ``[files]`` (text), ``[hex]`` (bytes), ``[links]``; ``{a,b}`` in a path stands for both.
* ``[tree]``: ``folders`` that may be empty; paths that are ``denied``, or ``refused`` by the kernel.
* ``[times]``: when files were last modified.
* ``[expected]``: ``value``, ``at_least`` or ``absent``; ``source`` and ``why`` are parts of the
  text. A list with a ``why`` is incomplete; a key an item leaves out is unknown.
"""

from __future__ import annotations

import errno
import os
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from ipaddress import ip_interface
from pathlib import Path
from typing import Any, NamedTuple

from pcaudit.probes.linux.host import Host
from tests.probes.hosts import DENIED, Entry, Link, host

FOLDER = Path(__file__).parent.parent.parent / "fixtures" / "hosts"
NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
"""Names of the recorded hosts."""

_REFUSED = OSError(errno.EINVAL, "Invalid argument")


class _Address(NamedTuple):
    """The part of ``psutil``'s answer that the probe uses."""

    address: str
    netmask: str


def document(name: str) -> dict[str, Any]:
    """The whole file of a recorded host."""
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def expand(path: str) -> Iterator[str]:
    """The paths that one with ``{a,b}`` in it stands for."""
    head, brace, rest = path.partition("{")
    if not brace:
        yield path
        return
    choices, _, tail = rest.partition("}")
    for choice in choices.split(","):
        yield from expand(f"{head}{choice}{tail}")


def entries(given: Mapping[str, Any]) -> dict[str, Entry]:
    """The files, links and folders of a document."""
    out: dict[str, Entry] = {}
    for path, text in given.get("files", {}).items():
        out |= dict.fromkeys(expand(path), text)
    for path, digits in given.get("hex", {}).items():
        out |= dict.fromkeys(expand(path), bytes.fromhex(digits))
    for path, target in given.get("links", {}).items():
        out[path] = Link(target)
    tree = given.get("tree", {})
    out |= {f"{path}/": "" for path in tree.get("folders", ())}
    out |= dict.fromkeys(tree.get("denied", ()), DENIED)
    out |= dict.fromkeys(tree.get("refused", ()), _REFUSED)
    return out


def _statvfs(space: Mapping[str, Mapping[str, int]]) -> Callable[[str], os.statvfs_result]:
    def ask(point: str) -> os.statvfs_result:
        if point not in space:
            raise FileNotFoundError(errno.ENOENT, "No such file or directory", point)
        size, free, used = (space[point][key] for key in ("size", "free", "used"))
        return os.statvfs_result((4096, 1, size, size - used, free, 0, 0, 0, 0, 255))

    return ask


def _run(programs: Mapping[str, str]) -> Callable[[Sequence[str], float], bytes]:
    def run(command: Sequence[str], seconds: float) -> bytes:
        if command[0] not in programs:
            raise FileNotFoundError(errno.ENOENT, "No such file or directory", command[0])
        return programs[command[0]].encode()

    return run


def _shaped(texts: Sequence[str]) -> list[_Address]:
    return [_Address(str(one.ip), str(one.netmask)) for one in map(ip_interface, texts)]


def make(given: Mapping[str, Any]) -> Host:
    """The host a document describes."""
    about = given["host"]
    clock = about["clock"]
    return host(
        entries(given),
        environ=given.get("environ", {}),
        uid=about["uid"],
        user=about["user"],
        node=about["node"],
        machine=about["machine"],
        statvfs=_statvfs(given.get("space", {})),
        addresses={name: _shaped(texts) for name, texts in given.get("addresses", {}).items()},
        adjtimex=lambda: (clock[0], clock[1]),
        modified={path: moment.timestamp() for path, moment in given.get("times", {}).items()},
        now=about["now"].timestamp,
        separator=given.get("separators", {}).get,
        run=_run(given.get("programs", {})),
    )


def recorded(name: str) -> Host:
    """A recorded host by its name."""
    return make(document(name))
