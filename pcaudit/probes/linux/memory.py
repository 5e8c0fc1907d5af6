"""Memory: what is installed, and what the system can use of it."""

from __future__ import annotations

from typing import Any

from pcaudit.core.snapshot import Observation, at_least, known, unknown
from pcaudit.probes.decode import memory_devices, smbios
from pcaudit.probes.decode.memory_devices import MainMemory
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

_TABLE = "/sys/firmware/dmi/tables/DMI"
_MAP = "/sys/firmware/memmap"
_MODULE_READINGS = ("memory.slots", "memory.slots_free", "memory.modules", "memory.ecc")
_READINGS = ("memory.installed", "memory.usable", *_MODULE_READINGS)
_PATH_MAX = 4096  # linux/limits.h
_DEEPEST = 64  # levels of control groups looked at; common practice, no source
_LESS = "firmware and kernel keep some memory to themselves"


def _total(tree: Tree) -> int | None:
    """Memory the kernel manages, in bytes; None where /proc/meminfo does not say."""
    for key, value in reads.lines(reads.text(tree, "/proc/meminfo")):
        # proc(5): written as kB, meant as KiB.
        if key == "MemTotal" and value.endswith(" kB") and value[:-3].strip().isdigit():
            return int(value[:-3]) << 10
    return None


def _cgroup_files(tree: Tree) -> list[str]:
    """Files that may limit this process's memory: of its control group and those above it."""
    files = ["/sys/fs/cgroup/memory.max", "/sys/fs/cgroup/memory/memory.limit_in_bytes"]
    for line in reads.text(tree, "/proc/self/cgroup").splitlines():
        _, controllers, path = [*line.split(":", 2), "", ""][:3]
        if (controllers and "memory" not in controllers.split(",")) or len(path) > _PATH_MAX:
            continue
        root, limit = ("/memory", "memory.limit_in_bytes") if controllers else ("", "memory.max")
        for _ in range(_DEEPEST):
            if path in {"", "/"}:
                break
            files.append(f"/sys/fs/cgroup{root}{path}/{limit}")
            path = path.rpartition("/")[0]
    return files


def _limit(tree: Tree, file: str) -> int | None:
    """The limit in a control group's file; None where there is no such file, or no limit in it.

    Raises:
        OSError: The file is there, but cannot be read or holds no limit that is one.
    """
    try:
        text = tree.text(file)
        return None if text == "max" else int(text)
    except (FileNotFoundError, NotADirectoryError):
        return None
    except ValueError:
        raise OSError("it holds no number") from None


def _lowest_limit(tree: Tree) -> tuple[int, str] | None:
    limits = ((_limit(tree, file), file) for file in _cgroup_files(tree))
    return min(((limit, file) for limit, file in limits if limit), default=None)


def _usable(host: Host, total: int | None, contained: bool) -> Observation:
    if not total:
        return unknown("/proc/meminfo does not give MemTotal")
    source = "/proc/meminfo MemTotal"
    if not contained:
        return known(total, source)
    try:
        limit = _lowest_limit(host.tree)
    except OSError as error:
        return unknown(f"the control group's memory limit cannot be read: {error.strerror or error}")
    if limit and limit[0] < total:
        return known(limit[0], f"control group limit {limit[1]}; {source} is {total} bytes")
    return known(total, f"{source}, no lower control group limit")


def _firmware_ram(tree: Tree) -> int:
    """RAM in the firmware's memory map, in bytes; 0 where it cannot be read.

    Linux, Documentation/ABI/testing/sysfs-firmware-memmap: first and last address of each range.
    """
    ranges = []
    for entry in reads.names(tree, _MAP):
        if reads.text(tree, f"{_MAP}/{entry}/type") != "System RAM":
            continue
        try:
            first, last = (int(reads.text(tree, f"{_MAP}/{entry}/{end}"), 16) for end in ("start", "end"))
        except ValueError:
            return 0
        ranges.append((first, last + 1))
    size = reached = 0
    for first, beyond in sorted(ranges):
        size += max(0, beyond - max(first, reached))
        reached = max(reached, beyond)
    return size


def _bound(tree: Tree, total: int | None, why: str) -> Observation:
    """Installed memory as no less than what can be seen of it."""
    mapped = _firmware_ram(tree)
    if mapped > (total or 0):
        return at_least(mapped, f"{_MAP}, System RAM", f"{why}; {_LESS}")
    if total:
        return at_least(total, "/proc/meminfo MemTotal", f"{why}; {_LESS}")
    return unknown(why)


def _table(tree: Tree) -> tuple[smbios.Table | None, str]:
    """The SMBIOS table, or the reason why there is none."""
    try:
        data = tree.data(_TABLE)
    except PermissionError:
        return None, f"reading the memory modules {reads.ADMINISTRATOR}"
    except FileNotFoundError:
        return None, "this machine's firmware offers no SMBIOS tables, so the modules cannot be seen"
    except OSError as error:
        return None, f"the SMBIOS table cannot be read: {error.strerror or error}"
    return smbios.decode(data), ""


def _unsized(memory: MainMemory) -> str:
    return f"the firmware does not know the size of {memory.unsized} modules" if memory.unsized else ""


def _installed(tree: Tree, total: int | None, memory: MainMemory, problem: str) -> Observation:
    source = "SMBIOS type 17"
    seen = max(total or 0, _firmware_ram(tree))
    why = problem or _unsized(memory)
    if memory.size < seen:
        contradiction = f"the modules of SMBIOS type 17 add up to {memory.size} bytes, less than can be used"
        return _bound(tree, total, why or contradiction)
    if why:
        return at_least(memory.size, source, why)
    return known(memory.size, source)


def _items(memory: MainMemory) -> list[dict[str, Any]]:
    return [{"size": module.size, "speed": module.speed, "type": module.type} for module in memory.modules]


def _ecc(memory: MainMemory, problem: str) -> Observation:
    if memory.corrects is None:
        return unknown(memory.corrects_why)
    if memory.corrects and problem:
        return unknown(problem)
    return known(memory.corrects, memory.corrects_why)


def _modules(memory: MainMemory, problem: str) -> dict[str, Observation]:
    source = "SMBIOS type 17"
    modules = known(_items(memory), source, missing=problem or _unsized(memory))
    ecc = _ecc(memory, problem)
    if problem:
        slots = at_least(memory.slots, source, problem)
        free = at_least(memory.empty, source, problem)
    else:
        slots, free = known(memory.slots, source), known(memory.empty, source)
    return dict(zip(_MODULE_READINGS, (slots, free, modules, ecc), strict=True))


def _described(tree: Tree, total: int | None) -> dict[str, Observation]:
    """Everything that only the firmware knows."""
    table, why = _table(tree)
    memory = memory_devices.main_memory(table) if table else None
    problem = f"the SMBIOS table is damaged: {table.problem}" if table and table.problem else ""
    if memory is None:
        why = why or problem or "the firmware describes no memory modules"
        return {"memory.installed": _bound(tree, total, why), **reads.all_unknown(_MODULE_READINGS, why)}
    return {"memory.installed": _installed(tree, total, memory, problem), **_modules(memory, problem)}


def probe(host: Host) -> Observations:
    """Readings of group memory; inside a container only what the kernel lets be used."""
    total = _total(host.tree)
    reason = container_reason(host)
    usable = {"memory.usable": _usable(host, total, bool(reason))}
    if reason:
        return {**usable, **reads.all_unknown(("memory.installed", *_MODULE_READINGS), reason)}
    return {**usable, **_described(host.tree, total)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group memory."""
    return (Probe("memory", _READINGS, lambda: probe(host)),)
