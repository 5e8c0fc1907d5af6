"""Recorded Macs for tests: a dictionary of commands and their output, and one of files."""

from __future__ import annotations

import plistlib
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from pcaudit.core.snapshot import Observation, Snapshot
from pcaudit.probes.macos.all import probes
from pcaudit.probes.macos.host import Files, Host, Space
from pcaudit.probes.macos.tools import ToolError
from pcaudit.probes.runner import run
from tests.macos.clock import NOW

DENIED = PermissionError(13, "Permission denied")
"""Stands for a file that is there but may not be read."""

Printed = str | bytes | OSError


class Mac(NamedTuple):
    """One recorded Mac.

    Attributes:
        commands: Output by command, without the folders of the utility: ``{"pmset -g batt": "..."}``; the
            name of a utility alone answers whatever it is asked.
        files: Content by full path; folders exist where a path leads through them.
        links: Where symbolic links lead.
        console: Who is signed in at the console.
        environ: Environment of the probing process.
        uid: Effective user id.
        user: That user's name.
        spaces: Sizes of mounted file systems by mount point.
    """

    commands: Mapping[str, Printed]
    files: Mapping[str, Printed]
    links: Mapping[str, str]
    console: str
    spaces: Mapping[str, Space]
    environ: Mapping[str, str] = {}
    uid: int = 501
    user: str = "alex"

    def saying(self, commands: Mapping[str, Printed]) -> Mac:
        """The same Mac with other answers."""
        return self._replace(commands={**self.commands, **commands})

    def holding(self, files: Mapping[str, Printed]) -> Mac:
        """The same Mac with other files."""
        return self._replace(files={**self.files, **files})


class RecordedFiles(Files):
    """Files held in a dictionary."""

    def __init__(self, mac: Mac) -> None:
        self._mac = mac

    def data(self, name: str) -> bytes:
        content = self._mac.files.get(name)
        if content is None:
            raise FileNotFoundError(2, "No such file or directory", name)
        if isinstance(content, OSError):
            raise content
        return content.encode() if isinstance(content, str) else content

    def names(self, name: str) -> list[str]:
        below = [path[len(name) + 1 :] for path in self._mac.files if path.startswith(f"{name}/")]
        if not below:
            raise FileNotFoundError(2, "No such file or directory", name)
        return sorted({path.partition("/")[0] for path in below})

    def link(self, name: str) -> str:
        if name not in self._mac.links:
            raise FileNotFoundError(2, "No such file or directory", name)
        return self._mac.links[name]

    def owner(self, name: str) -> str:
        if not self._mac.console:
            raise FileNotFoundError(2, "No such file or directory", name)
        return self._mac.console


def host(mac: Mac, asked: list[str] | None = None) -> Host:
    """A host that answers as recorded. ``asked`` is given every command that is run."""

    def answer(command: Sequence[str], seconds: float) -> bytes:
        assert command[0].startswith("/"), "utilities are run by full path"
        assert seconds > 0
        name = " ".join((command[0].rpartition("/")[2], *command[1:]))
        if asked is not None:
            asked.append(name)
        printed = mac.commands.get(name, mac.commands.get(name.partition(" ")[0]))
        if printed is None:
            raise ToolError(f"this system has no {command[0]}")
        if isinstance(printed, OSError):
            raise printed
        return printed.encode() if isinstance(printed, str) else printed

    def space(point: str) -> Space:
        if point not in mac.spaces:
            raise FileNotFoundError(2, "No such file or directory", point)
        return mac.spaces[point]

    home = f"/Users/{mac.user}"
    return Host(answer, RecordedFiles(mac), mac.environ, mac.uid, mac.user, home, space)


def snapshot(mac: Mac) -> Snapshot:
    """What the whole probe says of a Mac."""
    return run(probes(host(mac)), "0", lambda: NOW)[0]


def read(mac: Mac, name: str) -> Observation:
    """One reading of a Mac."""
    return snapshot(mac).get(name)


def plist(content: Any) -> bytes:
    """A property list as the utilities print it."""
    return plistlib.dumps(content)
