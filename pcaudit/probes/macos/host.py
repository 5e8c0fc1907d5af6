"""The macOS host as the probes see it: its utilities, its files, its environment.

Everything a probe asks goes through a ``Host``, so that a recorded one (a dictionary of commands and
their output) can stand in for the live one.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from pcaudit.probes.macos import tools

LIMIT = 16 << 20
"""Bytes read of one file at most; nothing a probe reads is honestly larger."""

Runner = Callable[[Sequence[str], float], bytes]


class Space(NamedTuple):
    """Bytes of a mounted file system: all, free for users, taken."""

    size: int
    free: int
    used: int


class Files:
    """The files of the host.

    Methods raise ``FileNotFoundError`` where there is nothing, ``PermissionError`` where the account
    may not read, other ``OSError`` where the kernel refuses.
    """

    def data(self, name: str) -> bytes:
        """The bytes of a file."""
        with open(name, "rb") as file:
            content = file.read(LIMIT + 1)
        if len(content) > LIMIT:
            raise OSError(f"{name} is larger than {LIMIT} bytes")
        return content

    def names(self, name: str) -> list[str]:
        """The names in a folder, sorted."""
        return sorted(os.listdir(name))

    def link(self, name: str) -> str:
        """Where a symbolic link leads."""
        return os.readlink(name)

    def owner(self, name: str) -> str:
        """The user a file belongs to."""
        return user_name(os.stat(name).st_uid)


class Host(NamedTuple):
    """One macOS host, live or recorded.

    Attributes:
        run: Runs a utility, given by full path, for at most so many seconds, and gives its standard
            output; raises as ``tools.execute``.
        files: Its files.
        environ: Environment of the probing process.
        uid: Effective user id of the probing process.
        user: That user's name.
        home: That user's home folder; empty where it is not known.
        space: Asks a mounted file system for its sizes.
    """

    run: Runner
    files: Files
    environ: Mapping[str, str]
    uid: int
    user: str
    home: str
    space: Callable[[str], Space]


def user_name(uid: int) -> str:
    """The name of a user, its number where it has none."""
    import pwd

    try:
        return pwd.getpwuid(uid).pw_name
    except KeyError:
        return str(uid)


def _home(uid: int) -> str:
    import pwd

    try:
        return pwd.getpwuid(uid).pw_dir
    except KeyError:
        return ""


def _space(name: str) -> Space:
    found = os.statvfs(name)
    unit = found.f_frsize
    return Space(found.f_blocks * unit, found.f_bavail * unit, (found.f_blocks - found.f_bfree) * unit)


def live() -> Host:
    """The host this process runs on."""
    uid = os.geteuid()
    return Host(
        run=tools.execute,
        files=Files(),
        environ=os.environ,
        uid=uid,
        user=user_name(uid),
        home=_home(uid),
        space=_space,
    )
