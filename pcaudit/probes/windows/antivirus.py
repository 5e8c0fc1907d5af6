"""Antivirus products registered with Windows.

Products leave their registration behind when they go: one counts only with a sign that it is there.
"""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, known
from pcaudit.probes.windows import program_files, reads
from pcaudit.probes.windows.host import Host

_PROVIDERS: Final = r"HKLM\SOFTWARE\Microsoft\Security Center\Provider\Av"  # from memory
_WINDOWS_OWN: Final = "Windows Defender"  # as Windows registers its own product
_WINDOWS_OWN_LINK: Final = "windowsdefender:"
_WINDOWS_OWN_SERVICE: Final = "WinDefend"
_RUNNING: Final = 4  # winsvc.h, SERVICE_RUNNING
_PROGRAMS: Final = frozenset({"programfiles", "programfiles(x86)", "programw6432"})


def _there(host: Host, path: str) -> bool:
    for name in ("PRODUCTEXE", "REPORTINGEXE"):
        program = program_files.checkable(reads.text(host.registry, path, name), host.environ, _PROGRAMS)
        try:
            if program and host.software.exists(program):
                return True
        except OSError:
            continue
    return False


def _own_runs(host: Host) -> bool:
    try:
        return (_WINDOWS_OWN_SERVICE, _RUNNING) in host.software.services()
    except OSError:
        return False


def antivirus(host: Host) -> Observation:
    """Reading software.antivirus: never complete, for a product need not register."""
    products, gaps = set(), ["products that do not register with Windows Security are not seen"]
    try:
        keys = reads.keys(host.registry, _PROVIDERS)
    except OSError as error:
        keys = []
        gaps.append(f"the products registered could not be read ({error})")
    for key in keys:
        path = f"{_PROVIDERS}\\{key}"
        name = reads.text(host.registry, path, "DISPLAYNAME")
        program = reads.text(host.registry, path, "PRODUCTEXE")
        if not name or program.casefold().startswith(_WINDOWS_OWN_LINK):
            continue
        if _there(host, path):
            products.add(name)
        else:
            gaps.append(f"{name} is registered, but its program is not found")
    if _own_runs(host):
        products.add(_WINDOWS_OWN)
    source = f"registry {_PROVIDERS}; service {_WINDOWS_OWN_SERVICE}"
    return known([{"name": name} for name in sorted(products)], source, missing="; ".join(gaps))
