"""Compiling parameters: the numbers a profile leaves to the lab."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from pcaudit.core.catalogue import GROUPS
from pcaudit.core.compile_requirement import RequirementReader
from pcaudit.core.places import Path
from pcaudit.core.profile import Parameter, Profile
from pcaudit.core.texts import did_you_mean

_KEYS: Final = ("title", "default", "minimum", "maximum", "unit")
_NAME = re.compile(r"[a-z][a-z0-9_-]{0,59}", re.ASCII)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _number(value: Any, otherwise: float | None) -> Any:
    return value if _is_number(value) else otherwise


def read_parameter(name: str, raw: Any, profile: str, line: int) -> Parameter:
    """A parameter as far as it can be read; what is wrong with it is told elsewhere."""
    table = raw if isinstance(raw, Mapping) else {}
    default = _number(table.get("default"), 1)
    return Parameter(
        name=name,
        title=str(table.get("title", "")),
        default=default,
        minimum=_number(table.get("minimum"), 0),
        maximum=_number(table.get("maximum"), None),
        unit=str(table.get("unit", "")),
        whole=all(isinstance(table[k], int) for k in ("default", "minimum", "maximum") if k in table),
        profile=profile,
        line=line,
    )


class ParameterReader(RequirementReader):
    """Reads the parameters of a document."""

    def parameters(self, raw: Any, bases: Sequence[Profile]) -> dict[str, Parameter]:
        """The parameters declared here, by name."""
        if not isinstance(raw, Mapping):
            self.wrong(("parameters",), "`parameters` is a section", "write [parameters]")
            return {}
        declared: dict[str, Parameter] = {}
        for base in bases:
            for name, one in base.parameters.items():
                first = declared.setdefault(name, one)
                if first != one:
                    places = f"{first.profile}:{first.line} and {one.profile}:{one.line}"
                    self.wrong(("based_on",), f"the parameter `{name}` is declared twice, in {places}")
        found = {}
        for name, table in raw.items():
            if name in declared:
                first = declared[name]
                hint = f"it is declared in {first.profile}:{first.line}; leave it out here"
                self.wrong(("parameters", name), f"the parameter `{name}` is declared twice", hint)
            found[name] = self._parameter(name, table)
        return found

    def _parameter(self, name: str, raw: Any) -> Parameter:
        path: Path = ("parameters", name)
        before = len(self.mistakes)
        if not _NAME.fullmatch(name):
            self.wrong(
                path, f"{name!r:.60} cannot be the name of a parameter", "a small letter, then a-z 0-9 _ -"
            )
        elif name in GROUPS or name in self.names.options:
            what = "a section" if name in GROUPS else "an option"
            self.wrong(path, f"`{name}` is the name of {what} already", "choose another name")
        if not isinstance(raw, Mapping):
            self.wrong(
                path, "a parameter is a table", f"write {name} = {{ default = 1, minimum = 1, maximum = 4 }}"
            )
            return read_parameter(name, {}, self.file, self.line(path))
        for key, value in raw.items():
            if key not in _KEYS:
                self.wrong((*path, key), f"unknown key `{key}`", did_you_mean(key, _KEYS))
            elif key in ("default", "minimum", "maximum") and (
                not _is_number(value) or not 0 <= value < 1e12
            ):
                self.wrong(
                    (*path, key), f"`{key}` is a number from 0 up", "write it without quotes and units"
                )
            elif key in ("title", "unit"):
                self.text(raw, path, key)
        if "default" not in raw:
            self.wrong(path, "a parameter has a default", "it is what counts where the lab chooses nothing")
        one = read_parameter(name, raw, self.file, self.line(path))
        if len(self.mistakes) == before:
            self._check_range(one, path)
        return one

    def _check_range(self, one: Parameter, path: Path) -> None:
        if one.maximum is not None and one.minimum > one.maximum:
            self.wrong(path, "the minimum is above the maximum", "no number lies between them")
        elif one.default < one.minimum or (one.maximum is not None and one.default > one.maximum):
            top = "up" if one.maximum is None else f"to {one.maximum}"
            hint = f"choose one from {one.minimum} {top}"
            self.wrong((*path, "default"), "the default is outside the range", hint)
