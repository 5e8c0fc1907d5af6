"""System services: systemd's unit files, and which of them have processes."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.linux import logind, reads
from pcaudit.probes.linux.host import Tree

# systemd.unit(5), where unit files and generated ones are looked for.
_FOLDERS = (
    *("/etc/systemd/system", "/run/systemd/system", "/run/systemd/generator", "/run/systemd/generator.late"),
    *("/usr/local/lib/systemd/system", "/usr/lib/systemd/system", "/lib/systemd/system"),
)
_ENDING = ".service"
_HIERARCHIES = ("/sys/fs/cgroup", "/sys/fs/cgroup/systemd")
_DEEPEST = 3


def _populated(tree: Tree, path: str) -> bool | None:
    """Whether a control group has processes; None where it does not say."""
    events = reads.text(tree, f"{path}/cgroup.events")  # Linux admin-guide/cgroup-v2
    if events:
        words = dict(line.split(" ", 1) for line in events.splitlines() if " " in line)
        return {"1": True, "0": False}.get(words.get("populated", ""))
    try:
        return True if tree.data(f"{path}/cgroup.procs").strip() else None
    except OSError:
        return None


def _states(tree: Tree, path: str, found: dict[str, bool | None], depth: int = 0) -> None:
    """Adds the state of every service in a slice and the slices in it."""
    for name in reads.names(tree, path):
        if name.endswith(_ENDING):
            found[name.removesuffix(_ENDING)] = _populated(tree, f"{path}/{name}")
        elif name.endswith(".slice") and depth < _DEEPEST:
            _states(tree, f"{path}/{name}", found, depth + 1)


def _units(tree: Tree) -> tuple[set[str], str]:
    """Services that have a unit file, and why there may be others."""
    names: list[str] = []
    problem = ""
    for folder in _FOLDERS:
        try:
            names += [name for name in reads.listed(tree, folder) if name.endswith(_ENDING)]
        except OSError as error:
            problem = reads.refusal(folder, error)
    return {name.removesuffix(_ENDING) for name in names if not name.endswith(f"@{_ENDING}")}, problem


def services(tree: Tree) -> Observation:
    """Reading software.services: every service that has a unit file or processes."""
    if not logind.runs_systemd(tree):
        return unknown("this system was not started by systemd: look at its own service manager")
    found: dict[str, bool | None] = {}
    for hierarchy in _HIERARCHIES:
        _states(tree, f"{hierarchy}/system.slice", found)
    if not found:
        return unknown("no control groups of services can be seen: run outside any sandbox")
    words = {True: "running", False: "stopped", None: None}
    units, problem = _units(tree)
    items = [{"name": name, "state": words[found.get(name, False)]} for name in sorted(units | set(found))]
    return known(items, "systemd unit files and control groups; names without .service", missing=problem)
