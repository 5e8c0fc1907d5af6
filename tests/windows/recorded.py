"""Recorded Windows hosts for tests: a registry held in a dictionary, calls that answer what they are told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pcaudit.probes.windows.registry import VIEW_64

DENIED = PermissionError(13, "Access is denied")
"""Stands for a value or key that is there but may not be read."""

Values = Mapping[str, Any]


class RecordedRegistry:
    r"""A registry held in a dictionary: ``{"HKLM\SOFTWARE\...": {"Name": value}}``.

    A key exists where a path leads through it. Names and paths are found without regard to case, as
    Windows does. ``wow`` holds the keys the 32-bit view shows in place of those of the same path.
    A value may be an ``OSError`` to be raised; a whole key too.
    """

    def __init__(
        self, content: Mapping[str, Values | OSError], wow: Mapping[str, Values | OSError] | None = None
    ) -> None:
        self._views = {True: self._folded(content), False: self._folded({**content, **(wow or {})})}

    @staticmethod
    def _folded(content: Mapping[str, Values | OSError]) -> dict[str, tuple[str, Values | OSError]]:
        return {path.casefold(): (path, values) for path, values in content.items()}

    def _key(self, path: str, view: int) -> Values:
        content = self._views[view == VIEW_64]
        wanted = path.casefold()
        if wanted in content:
            values = content[wanted][1]
            if isinstance(values, OSError):
                raise values
            return values
        if any(name.startswith(f"{wanted}\\") for name in content):
            return {}
        raise FileNotFoundError(2, "The system cannot find the file specified", path)

    def value(self, path: str, name: str, view: int = VIEW_64) -> Any:
        """As the live registry."""
        for key, value in self._key(path, view).items():
            if key.casefold() == name.casefold():
                if isinstance(value, OSError):
                    raise value
                return value
        raise FileNotFoundError(2, "The system cannot find the file specified", name)

    def values(self, path: str, view: int = VIEW_64) -> dict[str, Any]:
        """As the live registry."""
        return dict(self._key(path, view))

    def keys(self, path: str, view: int = VIEW_64) -> list[str]:
        """As the live registry."""
        self._key(path, view)
        wanted = f"{path.casefold()}\\"
        names: dict[str, str] = {}
        for folded, (spelled, _) in self._views[view == VIEW_64].items():
            if folded.startswith(wanted):
                name = spelled[len(wanted) :].partition("\\")[0]
                names.setdefault(name.casefold(), name)
        return list(names.values())
