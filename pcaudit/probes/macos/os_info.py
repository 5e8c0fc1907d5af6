"""The operating system: product, version, architecture, and where the rest of its group is read."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import macos_text
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, clock, domain, language, machine, updates
from pcaudit.probes.macos.host import Host

_IDENTITY = ("os.type", "os.product", "os.version", "os.edition_id", "os.edition", "os.machine")
_KERNEL = "kern.osproductversion"
# What macOS tells programs built long ago in place of 11 and later, and of 26 (CPython issue 135675).
_STAND_INS = ("10.16", "16")


def _is_stand_in(version: str) -> bool:
    return any(version == number or version.startswith(f"{number}.") for number in _STAND_INS)


def _version(kernel: str, utility: str) -> Observation:
    if not kernel:
        return unknown(f"{ask.no_sysctl(_KERNEL)}: look in About This Mac")
    if _is_stand_in(kernel):
        return unknown(f"macOS tells {kernel} in place of its own version: look in About This Mac")
    if utility and utility != kernel:
        return unknown(f"the kernel says {kernel} but sw_vers {utility}: look in About This Mac")
    both = f"sysctl {_KERNEL}, sw_vers" if utility else f"sysctl {_KERNEL}"
    return known(kernel, both)


def probe(host: Host) -> Observations:
    """What the operating system is."""
    values = ask.sysctl(host)
    printed = ask.text(host, ("/usr/bin/sw_vers",))
    release = macos_text.pairs(printed.value or "")
    product = release.get("ProductName", "")
    no_product = unknown(printed.why or "sw_vers gives no ProductName: look in About This Mac")
    return {
        "os.type": known("macos", "sys.platform"),
        "os.product": known(product, "sw_vers ProductName") if product else no_product,
        "os.version": _version(values.get(_KERNEL, ""), release.get("ProductVersion", "")),
        "os.edition_id": absent("macOS has no editions"),
        "os.edition": absent("macOS has no editions"),
        "os.machine": machine.machine(values),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group os, each of which may hang without costing the others."""
    return (
        Probe("operating system", _IDENTITY, lambda: probe(host), 15.0),
        Probe("language", language.READINGS, lambda: language.probe(host), 20.0),
        Probe("clock", clock.READINGS, lambda: clock.probe(host)),
        Probe("updates", updates.READINGS, lambda: updates.probe(host), 10.0),
        Probe("domain", domain.READINGS, lambda: domain.probe(host), 15.0),
    )
