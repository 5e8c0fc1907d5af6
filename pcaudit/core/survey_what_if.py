"""What is supposed of every PC: a reading and the value it would have after an upgrade."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pcaudit.core.catalogue import CATALOGUE, Property, Type
from pcaudit.core.conditions import WrongValueError, read_ordered
from pcaudit.core.snapshot import value_problem
from pcaudit.core.texts import did_you_mean, fold
from pcaudit.core.units import NEVER
from pcaudit.core.visible import visible
from pcaudit.errors import UsageError

_NUMBERS = (Type.INTEGER, Type.NUMBER)
_TRUTHS = {"true": True, "yes": True, "false": False, "no": False}


def _value(text: str, spec: Property) -> Any:
    """The value a text stands for.

    Raises:
        WrongValueError: It is none of that kind.
    """
    if spec.type is Type.BOOLEAN:
        if fold(text) not in _TRUTHS:
            raise WrongValueError("true or false belongs there", "write true or false")
        return _TRUTHS[fold(text)]
    if spec.type is Type.DURATION and fold(text) == NEVER:
        return NEVER
    if spec.type in _NUMBERS:
        try:
            number = int(text) if spec.type is Type.INTEGER else float(text)
        except ValueError:
            raise WrongValueError("a number belongs there", "write it without a unit") from None
        return read_ordered(number, spec)
    if spec.type in (Type.QUANTITY, Type.DURATION, Type.DATE, Type.LEVEL):
        return read_ordered(text, spec)
    return next((word for word in spec.words if fold(word) == fold(text)), text)


def suppose(settings: Iterable[str]) -> dict[str, Any]:
    """Values by reading.

    Args:
        settings: ``NAME=VALUE``, such as ``memory.installed=32 GB``.

    Raises:
        UsageError: One is no such setting, names no reading that can be changed, or a value that
            the reading cannot have.
    """
    found: dict[str, Any] = {}
    for setting in settings:
        name, equals, text = (part.strip() for part in setting.partition("="))
        lead = f"--what-if {visible(setting, 60)}"
        if not equals or not name or not text:
            raise UsageError(f"{lead}: no NAME=VALUE", next_step='write --what-if memory.installed="32 GB"')
        if name not in CATALOGUE:
            raise UsageError(f"{lead}: no such reading", next_step=did_you_mean(name, CATALOGUE))
        record = CATALOGUE[name]
        if record.derived:
            raise UsageError(
                f"{lead}: {name} follows from other readings",
                next_step=f"suppose those it follows from: pcaudit readings {name}",
            )
        if record.value.type in (Type.LIST, Type.SET):
            raise UsageError(f"{lead}: {name} is a list", next_step="only single values can be supposed")
        if name in found:
            raise UsageError(f"{lead}: {name} is supposed twice", next_step="suppose each reading once")
        try:
            found[name] = _value(text, record.value)
        except WrongValueError as error:
            raise UsageError(f"{lead}: {error}", next_step=error.hint) from None
        if problem := value_problem(found[name], record.value):
            raise UsageError(f"{lead}: {problem}", next_step=f"see pcaudit readings {name}")
    return found
