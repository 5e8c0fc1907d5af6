"""Asking Windows one thing, so that a refusal is a reason and costs nothing else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, NamedTuple, TypeVar

from pcaudit.core.snapshot import Observation, unknown
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.reads import ADMINISTRATOR

Kind = TypeVar("Kind")

CONTAINER = "inside a Windows container this is not the PC's own: probe outside it"
"""Why what a container shows is not believed."""

_CONTROL = r"HKLM\SYSTEM\CurrentControlSet\Control"


class Answer(NamedTuple, Generic[Kind]):
    """What Windows answered.

    Attributes:
        value: It, or None where there was no answer.
        why: Why there was none.
    """

    value: Kind | None
    why: str = ""


def ask(call: Callable[[], Kind]) -> Answer[Kind]:
    """Call, and make of an error a reason: ``OSError`` of the call, ``ValueError`` of its decoder."""
    try:
        return Answer(call())
    except PermissionError:
        return Answer(None, ADMINISTRATOR)
    except (OSError, ValueError) as error:
        return Answer(None, str(error) or type(error).__name__)


def of(answer: Answer[Kind], make: Callable[[Kind], Observation]) -> Observation:
    """The observation made of an answer; unknown for its reason where there is none."""
    return unknown(answer.why) if answer.value is None else make(answer.value)


def container_reason(host: Host) -> str:
    """Why nothing here is the PC's own, or an empty text: Windows marks its containers. From memory."""
    try:
        host.registry.value(_CONTROL, "ContainerType")
    except OSError:
        return ""
    return CONTAINER
