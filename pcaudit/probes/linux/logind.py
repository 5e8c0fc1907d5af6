"""What systemd and its login manager do by themselves: sleep, hibernate, close the lid."""

from __future__ import annotations

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
_UNIT_FOLDERS: Final = ("/etc/systemd/system", "/run/systemd/system", "/etc/systemd/system.control")
_SESSIONS: Final = ("/usr/share/xsessions", "/usr/share/wayland-sessions")


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


def settings(tree: Tree, file: str) -> dict[str, str]:
    """The assignments of a systemd configuration file and its drop-ins, an empty one being none.

    Args:
        tree: The host's files.
        file: Such as ``logind.conf``.
    """
    values: dict[str, str] = {}
    main = next((f"{folder}/{file}" for folder in _FOLDERS if tree.exists(f"{folder}/{file}")), "")
    for path in (main, *_drop_ins(tree, file)):
        given = ini.settings(reads.text(tree, path)) if path else ()
        values.update({key: value for _, key, value in given})
    return {key: value for key, value in values.items() if value}


def _drop_ins(tree: Tree, file: str) -> list[str]:
    """By file name; of two with the same name the one in the folder of higher precedence."""
    found: dict[str, str] = {}
    for folder in reversed(_FOLDERS):
        for name in reads.names(tree, f"{folder}/{file}.d"):
            if name.endswith(".conf"):
                found[name] = f"{folder}/{file}.d/{name}"
    return [found[name] for name in sorted(found)]


def masked(tree: Tree, unit: str) -> bool:
    """Whether a unit can never start: its file is a link to /dev/null, or empty."""
    for folder in _UNIT_FOLDERS:
        path = f"{folder}/{unit}"
        try:
            if tree.link(path) == "/dev/null":
                return True
        except OSError:
            pass
        try:
            if folder.startswith("/etc") and not tree.data(path):
                return True
        except OSError:
            continue
    return False


def blocked(tree: Tree, units: tuple[str, ...], permission: str) -> str:
    """What keeps systemd from sleeping in these ways; empty where something may not.

    Args:
        tree: The host's files.
        units: Targets, each a way of sleeping.
        permission: Key of sleep.conf that allows the plain way.
    """
    if masked(tree, "sleep.target"):
        return "sleep.target is masked"
    if all(masked(tree, unit) for unit in units):
        return f"{', '.join(units)} are masked"
    # systemd-sleep.conf(5): what is not allowed itself is by default not allowed as a part either.
    given = {key: value.casefold() for key, value in settings(tree, "sleep.conf").items()}
    no = {"no", "false", "0", "off", "n", "f"}
    others = ("AllowHybridSleep", "AllowSuspendThenHibernate")
    if given.get(permission) in no and all(given.get(key, "no") in no for key in others):
        return f"sleep.conf says {permission}=no"
    return ""
