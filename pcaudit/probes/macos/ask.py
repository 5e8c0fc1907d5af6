"""Asking macOS one thing, so that a refusal is a reason and costs nothing else."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Generic, NamedTuple, TypeVar

from pcaudit.core.snapshot import Observation, unknown
from pcaudit.probes.decode import macos_documents, macos_text
from pcaudit.probes.macos.host import Host
from pcaudit.probes.macos.tools import ToolError

Kind = TypeVar("Kind")

ADMINISTRATOR = "needs administrator rights"
SECONDS = 5.0
"""Seconds a utility is given, unless it is known to be slow."""
SLOW = 15.0
"""Seconds for ``system_profiler`` and ``diskutil``, which may have to wake drives."""

_SYSCTL = (
    *("/usr/sbin/sysctl", "-i", "kern.osproductversion", "kern.hv_vmm_present", "hw.model", "hw.machine"),
    *("hw.memsize", "hw.memsize_usable", "hw.packages", "hw.physicalcpu", "hw.logicalcpu"),
    *("hw.perflevel0.physicalcpu", "hw.perflevel1.physicalcpu", "hw.optional", "sysctl.proc_translated"),
    *("machdep.cpu.brand_string", "machdep.cpu.vendor", "machdep.cpu.features"),
    *("machdep.cpu.leaf7_features", "machdep.cpu.extfeatures"),
)
"""sysctl(8), -i: names that this system does not know are passed over."""


class Answer(NamedTuple, Generic[Kind]):
    """What macOS answered.

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
    except FileNotFoundError as error:
        return Answer(None, f"there is no {error.filename}" if error.filename else str(error))
    except (OSError, ValueError) as error:
        return Answer(None, str(error) or type(error).__name__)


def of(answer: Answer[Kind], make: Callable[[Kind], Observation]) -> Observation:
    """The observation made of an answer; unknown for its reason where there is none."""
    return unknown(answer.why) if answer.value is None else make(answer.value)


def text(host: Host, command: Sequence[str], seconds: float = SECONDS) -> Answer[str]:
    """The text a utility prints."""
    return ask(lambda: host.run(command, seconds).decode("utf-8", "backslashreplace"))


def plist(host: Host, command: Sequence[str], seconds: float = SECONDS) -> Answer[dict[str, Any]]:
    """The property list a utility prints, a table."""
    return ask(lambda: macos_documents.table(host.run(command, seconds), command[0]))


def file_plist(host: Host, name: str) -> Answer[dict[str, Any]]:
    """The property list in a file, a table."""
    return ask(lambda: macos_documents.table(host.files.data(name), name))


def profile(host: Host, kind: str) -> Answer[list[dict[str, Any]]]:
    """What ``system_profiler`` says of one of its data types, such as ``SPHardwareDataType``."""
    command = ("/usr/sbin/system_profiler", "-json", kind)
    return ask(lambda: macos_documents.profile(host.run(command, SLOW), kind))


def sysctl(host: Host) -> Mapping[str, str]:
    """Kernel values by name; those that could not be read are left out."""
    try:
        output = host.run(_SYSCTL, SECONDS)
    except ToolError as error:
        output = error.output  # each line stands for itself
    except OSError:
        output = b""
    return macos_text.pairs(output.decode("utf-8", "backslashreplace"))


def no_sysctl(name: str) -> str:
    """Why a kernel value is not known."""
    return f"the kernel does not give it (sysctl {name})"


def names(host: Host, folder: str) -> list[str]:
    """The names in a folder; none where it is missing or denied."""
    try:
        return host.files.names(folder)
    except OSError:
        return []


def all_unknown(readings: Iterable[str], why: str) -> dict[str, Observation]:
    """Every one of ``readings`` unknown for the same reason."""
    return dict.fromkeys(readings, unknown(why))
