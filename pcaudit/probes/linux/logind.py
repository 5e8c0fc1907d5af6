"""What systemd and its login manager do by themselves: sleep, hibernate, close the lid."""

from __future__ import annotations

import posixpath
import re
from typing import Final

from pcaudit.probes.decode import ini
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Tree

# logind.conf(5), files in order of precedence, the highest first.
_FOLDERS: Final = (
    "/etc/systemd",
    "/run/systemd",
    "/usr/local/lib/systemd",
    "/usr/lib/systemd",
    "/lib/systemd",
)
# systemd.unit(5), the same for units.
_UNIT_FOLDERS: Final = (
    *("/etc/systemd/system.control", "/run/systemd/system.control", "/run/systemd/transient"),
    *("/run/systemd/generator.early", "/etc/systemd/system", "/etc/systemd/system.attached"),
    *("/run/systemd/system", "/run/systemd/system.attached", "/run/systemd/generator"),
    *("/usr/local/lib/systemd/system", "/usr/lib/systemd/system", "/lib/systemd/system"),
    "/run/systemd/generator.late",
)
_BYTE_ORDER_MARK: Final = "\ufeff"  # which systemd skips
_BROKEN_HEADER: Final = re.compile(r"^[ \t]*\[(?!.*\][ \t\r]*$)", re.MULTILINE)
# Below every folder of XDG_DATA_DIRS, by default these (XDG Base Directory Specification).
_SESSIONS: Final = tuple(
    f"{folder}/{kind}"
    for folder in ("/usr/local/share", "/usr/share")
    for kind in ("xsessions", "wayland-sessions")
)


def runs_systemd(tree: Tree) -> bool:
    """Whether systemd started this system, sd_booted(3)."""
    return tree.exists("/run/systemd/system")


def desktops(tree: Tree) -> list[str]:
    """Names of the desktops one can log in to.

    Raises:
        OSError: A list of them is there, but denied or refused.
    """
    files = (name for folder in _SESSIONS for name in reads.listed(tree, folder))
    return sorted({name.removesuffix(".desktop") for name in files if name.endswith(".desktop")})


def settings(tree: Tree, file: str, section: str) -> dict[str, str]:
    """The assignments in one section of a systemd configuration file and its drop-ins.

    An empty assignment is kept, as an empty text, where a value was given before it: some releases
    of systemd then return to the default, others keep the value.

    Args:
        tree: The host's files.
        file: Such as ``logind.conf``.
        section: The only section that counts, such as ``Login``.

    Raises:
        OSError: A file of these is there, but denied or refused.
    """
    values: dict[str, str] = {}
    main = next((f"{folder}/{file}" for folder in _FOLDERS if tree.exists(f"{folder}/{file}")), "")
    for path in (main, *_drop_ins(tree, file)):
        given = ini.settings(_configuration(tree, path)) if path else ()
        for place, key, value in given:
            if place == section and (value or key in values):
                values[key] = value
    return values


def _configuration(tree: Tree, path: str) -> str:
    """The text of a configuration file; empty where a link to /dev/null takes it out of use.

    Raises:
        OSError: It is there, but denied or refused, or systemd gives up on it half way.
    """
    text = "" if _is_null(tree, path) else reads.content(tree, path).removeprefix(_BYTE_ORDER_MARK)
    if _BROKEN_HEADER.search(text):
        raise OSError(f"{path} has a section name without its closing bracket")
    return text


def _drop_ins(tree: Tree, file: str) -> list[str]:
    """By file name; of two with the same name the one in the folder of higher precedence."""
    found: dict[str, str] = {}
    for folder in reversed(_FOLDERS):
        for name in reads.listed(tree, f"{folder}/{file}.d"):
            if name.endswith(".conf"):
                found[name] = f"{folder}/{file}.d/{name}"
    return [found[name] for name in sorted(found)]


def _is_null(tree: Tree, path: str) -> bool:
    """Whether a file is a link to /dev/null."""
    try:
        target = tree.link(path)
    except OSError:
        return False
    return posixpath.normpath(posixpath.join(posixpath.dirname(path), target)) == "/dev/null"


def _mask(tree: Tree, unit: str) -> str:
    """The folder of the file that keeps a unit from ever starting; empty where it may start.

    Of all files of that name the one in the folder of highest precedence counts. It masks the unit
    where it is a link to /dev/null, or empty.
    """
    for folder in _UNIT_FOLDERS:
        path = f"{folder}/{unit}"
        if _is_null(tree, path):
            return folder
        try:
            return "" if tree.data(path) else folder
        except (FileNotFoundError, NotADirectoryError):
            continue
        except OSError:
            return ""
    return ""


def _masked(tree: Tree, unit: str, lasting: bool) -> bool:
    """Whether a unit is masked; where ``lasting``, only a mask that outlives a restart counts."""
    folder = _mask(tree, unit)
    return bool(folder) and not (lasting and folder.startswith("/run/"))


def _masks(tree: Tree, units: tuple[str, ...], lasting: bool) -> str:
    """Which masks rule these ways of sleeping out; empty where one may still be taken."""
    if _masked(tree, "sleep.target", lasting):
        return "sleep.target is masked"
    if all(_masked(tree, unit, lasting) for unit in units):
        return f"{', '.join(units)} are masked"
    return ""


def blocked_for_now(tree: Tree, units: tuple[str, ...]) -> str:
    """Which masks keep systemd from sleeping in these ways only until the PC restarts."""
    masks = _masks(tree, units, lasting=False)
    return f"{masks} until the next restart only (/run): mask for good, with systemctl mask" if masks else ""


def blocked(tree: Tree, units: tuple[str, ...], permission: str) -> str:
    """What keeps systemd from sleeping in these ways; empty where something may not.

    Args:
        tree: The host's files.
        units: Targets, each a way of sleeping.
        permission: Key of sleep.conf that allows the plain way.

    Raises:
        OSError: sleep.conf or a drop-in is there, but denied or refused.
    """
    if masks := _masks(tree, units, lasting=True):
        return masks
    # systemd-sleep.conf(5): what is not allowed itself is by default not allowed as a part either.
    given = {key: value.casefold() for key, value in settings(tree, "sleep.conf", "Sleep").items()}
    no = {"no", "false", "0", "off", "n", "f"}
    others = ("AllowHybridSleep", "AllowSuspendThenHibernate")
    if given.get(permission) in no and all(given.get(key, "no") in no for key in others):
        return f"sleep.conf says {permission}=no"
    return ""
