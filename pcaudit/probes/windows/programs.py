"""Programs registered for uninstalling: for everybody in both registry views, and for single users.

Hidden entries are kept: a program that must not be there may hide. Entries whose files are all gone
are left out and named, so that they neither prove a program nor its absence. Entries that can be
uninstalled but give no name in plain text are kept without one: they may be any program.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final, NamedTuple

from pcaudit.probes.windows import program_files, reads
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.registry import VIEW_32, VIEW_64

_UNINSTALL: Final = r"SOFTWARE\Microsoft\Windows\CurrentVersion\Uninstall"
_PROFILES: Final = r"HKLM\SOFTWARE\Microsoft\Windows NT\CurrentVersion\ProfileList"
# Accounts of people: of this PC or a domain, and of Entra ID. Microsoft Learn, "Security identifiers".
_PEOPLE: Final = ("S-1-5-21-", "S-1-12-1-")
_CLASSES: Final = "_classes"  # how a person's second hive is called, which holds no programs
# A text kept in a file or a package, not a name such as "@RISK": Microsoft Learn, SHLoadIndirectString.
_REFERENCE: Final = re.compile(r"@\{|@.+,\s*-\d|@.+\.\w{3},\s*\d|ms-resource:", re.IGNORECASE)
_OF_WINDOWS: Final = "operatingsystem"  # what updates of Windows itself name as their parent
_MOST_NAMED: Final = 5


class Program(NamedTuple):
    """One program; what its entry does not give is None, a name too that is only referred to."""

    name: str | None
    version: str | None = None
    publisher: str | None = None


class Inventory(NamedTuple):
    """What is registered.

    Attributes:
        programs: Them, hidden ones too.
        gaps: What may be missing, each as a clause for people.
        users: How many users' own entries were read.
        unnamed: Keys of the programs without a name.
    """

    programs: list[Program]
    gaps: list[str]
    users: int
    unnamed: list[str]


class _Branch(NamedTuple):
    """One place with uninstall keys."""

    path: str
    view: int


def some(names: list[str]) -> str:
    """A few of many names, for people."""
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def _text(values: Mapping[str, Any], name: str) -> str:
    value = values.get(name)
    return value.rstrip("\0").strip() if isinstance(value, str) else ""


def _name(values: Mapping[str, Any]) -> str | None:
    """What an entry calls its program; None where that is no text, or a reference to one.

    To look a reference up would load a file of that program.
    """
    written = _text(values, "displayname")
    return None if _REFERENCE.match(written) else written or None


def _is_program(values: Mapping[str, Any]) -> bool:
    """Whether an entry is one of a program: Windows and installers keep others that hold nothing."""
    return any(_text(values, name) for name in ("displayname", "uninstallstring", "installlocation"))


def _version(values: Mapping[str, Any]) -> str | None:
    if written := _text(values, "displayversion"):
        return written
    packed = values.get("version")
    # Windows Installer's own number, 8, 8 and 16 bits: Microsoft Learn, "ProductVersion property".
    if values.get("windowsinstaller") == 1 and isinstance(packed, int) and 0 < packed < 1 << 32:
        return f"{packed >> 24}.{packed >> 16 & 0xFF}.{packed & 0xFFFF}"
    return None


class _Collector:
    """Gathers entries, each once, and what was left out."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self.found: dict[tuple[str, Program], None] = {}
        self.left_over: list[str] = []
        self.closed: list[str] = []
        self.unnamed: list[str] = []

    def _entries(self, branch: _Branch) -> Iterator[tuple[str, dict[str, Any]]]:
        for name in reads.keys(self.host.registry, branch.path, branch.view):
            try:
                values = self.host.registry.values(f"{branch.path}\\{name}", branch.view)
            except FileNotFoundError:  # it went away while we read
                continue
            except OSError:
                self.closed.append(name)
                continue
            yield name, {key.casefold(): value for key, value in values.items()}

    def add(self, *branches: _Branch) -> None:
        entries = [entry for branch in branches for entry in self._entries(branch)]
        keys = {name.casefold() for name, _ in entries} | {_OF_WINDOWS}
        for key, values in entries:
            if not _is_program(values) or _text(values, "parentkeyname").casefold() in keys:
                continue  # no program, or an update of one that is there itself
            name = _name(values)
            if program_files.gone(self.host, values):
                self.left_over.append(name or key)
                continue
            if name is None:
                self.unnamed.append(key)
            program = Program(name, _version(values), _text(values, "publisher") or None)
            # One user's entries are seen twice, as the current user's and by number.
            self.found[key.casefold(), program] = None

    @property
    def programs(self) -> list[Program]:
        return [program for _, program in self.found]


def people(host: Host) -> dict[str, str]:
    """Folders of the people who have a profile on this PC, by account number (SID).

    Raises:
        OSError: The registry does not give them.
    """
    found = {}
    for sid in reads.keys(host.registry, _PROFILES):
        if sid.startswith(_PEOPLE):
            found[sid] = reads.text(host.registry, f"{_PROFILES}\\{sid}", "ProfileImagePath")
    return found


def _add_hives(host: Host, collected: _Collector) -> tuple[int, list[str]]:
    """Adds the programs of every account whose registry is loaded, those of Windows's services too.

    Returns:
        How many people were seen, and the numbers of the accounts that may not be read.
    """
    collected.add(_Branch(f"HKCU\\{_UNINSTALL}", VIEW_64))
    seen, closed = 0, []
    for sid in reads.keys(host.registry, "HKU"):
        if sid.casefold().endswith(_CLASSES):
            continue
        try:
            collected.add(_Branch(f"HKU\\{sid}\\{_UNINSTALL}", VIEW_64))
            seen += sid.startswith(_PEOPLE)
        except PermissionError:
            closed.append(sid)
    return seen, closed


def _exists(host: Host, folder: str) -> bool:
    path = program_files.checkable(folder, host.environ)
    try:
        return not path or host.software.exists(path)
    except OSError:
        return True


def _unseen_users(host: Host, closed: list[str]) -> list[str]:
    """Names of the people whose own programs cannot be seen."""
    profiles = people(host)
    loaded = {sid.casefold() for sid in reads.keys(host.registry, "HKU")}
    return [
        folder.rpartition("\\")[2] or sid
        for sid, folder in profiles.items()
        if sid in closed or (sid.casefold() not in loaded and _exists(host, folder))
    ]


def _gaps(collected: _Collector, unseen: list[str], services: list[str]) -> list[str]:
    gaps = []
    if collected.left_over:
        gaps.append(
            f"entries whose program files are gone are not counted: {some(collected.left_over)}; "
            "remove them, or see what is left of these programs"
        )
    if collected.closed:
        gaps.append(f"entries that may not be read: {some(collected.closed)}; probe as administrator")
    if unseen:
        gaps.append(
            f"programs installed only for other users are not seen: {some(unseen)}; "
            "probe as administrator while they are signed in"
        )
    if services:
        gaps.append(
            f"programs installed only for accounts of Windows itself are not seen: {some(services)}; "
            "probe as administrator"
        )
    return gaps


def inventory(host: Host) -> Inventory:
    """Every program registered.

    Raises:
        PermissionError: The account may not read those of all users.
        OSError: Windows refuses otherwise.
    """
    collected = _Collector(host)
    collected.add(*(_Branch(f"HKLM\\{_UNINSTALL}", view) for view in (VIEW_64, VIEW_32)))
    try:
        seen, closed = _add_hives(host, collected)
        services = [sid for sid in closed if not sid.startswith(_PEOPLE)]
        gaps = _gaps(collected, _unseen_users(host, closed), services)
    except OSError as error:
        gaps = [*_gaps(collected, [], []), f"programs of single users could not be read ({error})"]
        seen = 0
    return Inventory(collected.programs, gaps, seen, list(dict.fromkeys(collected.unnamed)))
