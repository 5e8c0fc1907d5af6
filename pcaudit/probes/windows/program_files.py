"""Whether the files of a registered program are still there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from pcaudit.probes.windows.host import Host

_DRIVE: Final = re.compile(r"[A-Za-z]:\\[^\\]")
_COMMAND: Final = re.compile(r'"([^"]+)"|(.+?\.exe)(?=$|\s)', re.IGNORECASE)
_ICON_NUMBER: Final = re.compile(r",\s*-?\d+$")
_VARIABLE: Final = re.compile(r"%([^%]+)%")
# The same for every user and both widths of program; others may mean another folder than here.
_COMMON: Final = frozenset({"systemdrive", "systemroot", "windir", "programdata", "allusersprofile"})


def _expanded(text: str, environ: Mapping[str, str], names: frozenset[str]) -> str:
    """A path with its variables put in; empty where one is not to be trusted or not known."""
    if "%" not in text:
        return text
    known = {name.casefold(): value for name, value in environ.items()}
    for name in _VARIABLE.findall(text):
        folded = name.casefold()
        if folded not in names or folded not in known:
            return ""
        text = text.replace(f"%{name}%", known[folded])
    return text


def checkable(text: str, environ: Mapping[str, str], more: frozenset[str] = frozenset()) -> str:
    """A path, where looking for it proves something; else empty.

    Args:
        text: As the registry has it.
        environ: Environment of the probe.
        more: Names of variables, in lower case, to put in besides those every user shares.
    """
    path = _expanded(text.strip('" ').rstrip("\\"), environ, _COMMON | more)
    windows = environ.get("SystemRoot") or environ.get("SYSTEMROOT") or "C:\\Windows"
    # Installers keep icons and uninstallers of all programs in there.
    inside = path.casefold().startswith(windows.casefold() + "\\")
    return path if _DRIVE.match(path) and not inside else ""


def _text(values: Mapping[str, Any], name: str) -> str:
    value = values.get(name)
    return value.rstrip("\0").strip() if isinstance(value, str) else ""


def _paths(values: Mapping[str, Any]) -> Iterator[str]:
    yield _text(values, "installlocation")
    yield _ICON_NUMBER.sub("", _text(values, "displayicon"))
    if found := _COMMAND.match(_text(values, "uninstallstring")):
        yield found[1] or found[2]


def gone(host: Host, values: Mapping[str, Any]) -> bool:
    """Whether every file and folder an uninstall key names is missing.

    Args:
        host: Where to look.
        values: The key's values, names in lower case.

    Returns:
        False where the key names none, or one of them cannot be looked for.
    """
    paths = {checkable(path, host.environ) for path in _paths(values)} - {""}
    try:
        return bool(paths) and not any(host.software.exists(path) for path in sorted(paths))
    except OSError:
        return False
