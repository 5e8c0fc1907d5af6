"""Reading single registry values so that absent, denied and wrongly typed stay apart."""

from __future__ import annotations

from typing import Any, NamedTuple

from pcaudit.core.snapshot import Observation, unknown
from pcaudit.probes.windows.registry import VIEW_64, Registry

ADMINISTRATOR = "needs administrator rights"


class Read(NamedTuple):
    """What a registry value was.

    Attributes:
        value: It, or None.
        why: Why there is none, where it is not plainly absent.
        absent: There is no such key or value.
    """

    value: Any = None
    why: str = ""
    absent: bool = False


def read(registry: Registry, path: str, name: str, kind: type, view: int = VIEW_64) -> Read:
    """A registry value of one Python type (``str``, ``int``, ``list``, ``bytes``)."""
    try:
        value = registry.value(path, name, view)
    except FileNotFoundError:
        return Read(why=f"the registry has no {path}\\{name}", absent=True)
    except PermissionError:
        return Read(why=ADMINISTRATOR)
    except OSError as error:
        return Read(why=f"the registry does not give {path}\\{name}: {error}")
    if not isinstance(value, kind):
        return Read(why=f"the registry has a {type(value).__name__} in {path}\\{name}")
    return Read(value.rstrip("\0").strip() if isinstance(value, str) else value)


def text(registry: Registry, path: str, name: str, view: int = VIEW_64) -> str:
    """A text value, empty where there is none."""
    found = read(registry, path, name, str, view).value
    return found if isinstance(found, str) else ""


def number(registry: Registry, path: str, name: str, view: int = VIEW_64) -> int | None:
    """An integer value, None where there is none."""
    found = read(registry, path, name, int, view).value
    return found if isinstance(found, int) else None


def keys(registry: Registry, path: str, view: int = VIEW_64) -> list[str]:
    """Names of the keys below a key; none where there is no such key.

    Raises:
        PermissionError: The account may not read it.
        OSError: Windows refuses otherwise.
    """
    try:
        return registry.keys(path, view)
    except FileNotFoundError:
        return []


def all_unknown(names: tuple[str, ...], why: str) -> dict[str, Observation]:
    """The same reason for each reading."""
    return {name: unknown(why) for name in names}
