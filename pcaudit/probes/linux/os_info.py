"""The operating system: product, version, architecture, and where the rest of its group is read."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import osrelease
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import clock, domain, language, reads, updates
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

_IDENTITY = ("os.type", "os.product", "os.version", "os.edition_id", "os.edition", "os.machine")
_MACHINES = {"x86_64": "x86_64", "aarch64": "arm64", **dict.fromkeys(("i386", "i486", "i586", "i686"), "x86")}
# personality(2), PER_MASK and PER_LINUX32: a 64-bit kernel shown to 32-bit programs as a 32-bit one.
_PERSONALITY_MASK, _LINUX32 = 0xFF, 0x08
_BEHIND_LINUX32 = {"x86": "x86_64", "armv8l": "arm64"}


def _release(tree: Tree) -> tuple[dict[str, str], str]:
    """The os-release file that counts, and its name; os-release(5): the first one, never merged."""
    for name in ("/etc/os-release", "/usr/lib/os-release"):
        try:
            return osrelease.decode(tree.text(name)), name
        except (FileNotFoundError, NotADirectoryError):
            continue
    return {}, ""


def _older_release(tree: Tree) -> tuple[dict[str, str], str]:
    """What distributions without os-release say in files of their own."""
    import distro

    found = distro.LinuxDistribution(
        include_lsb=False, include_uname=False, include_oslevel=False, root_dir=tree.path("/")
    )
    pairs = (("NAME", found.name()), ("VERSION_ID", found.version()))
    return {key: value for key, value in pairs if value}, "the distribution's own release file"


def _from_release(host: Host) -> dict[str, Observation]:
    try:
        release, file = _release(host.tree)
    except OSError as error:
        return reads.all_unknown(_IDENTITY[1:4], reads.refusal("os-release", error))
    if not file:
        release, file = _older_release(host.tree)
    where = f"{file} of a container" if container_reason(host) else file
    name, version, variant = (release.get(key, "") for key in ("NAME", "VERSION_ID", "VARIANT_ID"))
    no_name = unknown("the system does not name itself (no NAME in /etc/os-release)")
    no_version = unknown(f"{file} gives no VERSION_ID, as testing and rolling releases do not")
    no_edition = absent("no VARIANT_ID", where) if name else no_name
    return {
        "os.product": known(name, f"{where} NAME") if name else no_name,
        "os.version": known(version, f"{where} VERSION_ID") if version else no_version,
        "os.edition_id": known(variant, f"{where} VARIANT_ID") if variant else no_edition,
    }


def _machine(host: Host) -> Observation:
    machine = _MACHINES.get(host.machine, host.machine)
    source = f"kernel (uname) {host.machine}"
    if machine in _BEHIND_LINUX32:
        try:
            personality = int(reads.text(host.tree, "/proc/self/personality"), 16)
        except ValueError:
            return unknown(f"uname says {host.machine}, and whether that is the whole truth cannot be read")
        if personality & _PERSONALITY_MASK == _LINUX32:
            return known(_BEHIND_LINUX32[machine], f"{source}, under a 32-bit personality")
    word = machine if machine in {"x86_64", "arm64", "x86"} else "other"
    return known(word, source)


def probe(host: Host) -> Observations:
    """What the operating system is."""
    return {
        "os.type": known("linux", "sys.platform"),
        **_from_release(host),
        "os.edition": absent("Linux has no editions of this kind"),
        "os.machine": _machine(host),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group os, each of which may hang without costing the others."""
    return (
        Probe("operating system", _IDENTITY, lambda: probe(host)),
        Probe("language", language.READINGS, lambda: language.probe(host)),
        Probe("clock", clock.READINGS, lambda: clock.probe(host)),
        Probe("updates", updates.READINGS, lambda: updates.probe(host)),
        Probe("domain", domain.READINGS, lambda: domain.probe(host)),
    )
