"""Which Windows: product, version, edition.

The registry's ProductName says "Windows 10" on Windows 11 too, and client, long-term channel and
server share builds, so the product follows from the kernel's build and product type. Where kernel
and registry contradict each other this program may be shown an older Windows than runs, for
compatibility, and then nothing is known.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import windows_version
from pcaudit.probes.decode.windows_version import Version
from pcaudit.probes.interface import Observations
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.host import Host

READINGS = ("os.product", "os.version", "os.edition_id", "os.edition")
"""What this module reads."""

_CURRENT: Final = r"HKLM\SOFTWARE\Microsoft\Windows NT\CurrentVersion"
_POLICY: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\CI\Policy"
_FIRST_10, _FIRST_11 = 10240, 22000  # Microsoft's release information, first builds
# Server products by build; Microsoft, Windows Server release information.
_SERVERS: Final = {
    14393: "Windows Server 2016",
    17763: "Windows Server 2019",
    20348: "Windows Server 2022",
    26100: "Windows Server 2025",
}
_OLDER: Final = {(6, 1): "Windows 7", (6, 2): "Windows 8", (6, 3): "Windows 8.1"}
_SERVER_NAME: Final = re.compile(r"(Windows Server 20[0-9]{2}(?: R2)?|Azure Stack HCI)\b", re.ASCII)
# A client for several users at once, which calls itself a server.
_CLIENT_IN_SPITE: Final = "serverrdsh"

# Our words for EditionID. From memory; the N and K variants lack media programs only.
_EDITIONS: Final = {
    "core": "home",
    "corecountryspecific": "home",
    "coresinglelanguage": "home-single-language",
    "cloud": "s-mode",
    "professional": "pro",
    "professionalcountryspecific": "pro",
    "professionalsinglelanguage": "pro",
    "professionalworkstation": "pro-workstation",
    "professionaleducation": "pro-education",
    "education": "education",
    "enterprise": "enterprise",
    "enterprises": "enterprise",
    "serverrdsh": "enterprise",
    "iotenterprise": "iot-enterprise",
    "iotenterprises": "iot-enterprise",
    "serverstandard": "server",
    "serverdatacenter": "server",
    "serverdatacenterazureedition": "server",
    "serverturbine": "server",
    "serverazurestackhci": "server",
    "serversolution": "server",
}
# Behind EditionID: evaluation copies, no media programs, other regions, no desktop, channels.
_VARIANT: Final = re.compile(r"(?:n|k)?(?:eval)?(?:a?cor)?", re.ASCII)


class _Told(NamedTuple):
    """What kernel and registry say of this Windows.

    Attributes:
        version: The kernel's word; None where it cannot be had or believed.
        why: Why not.
        name, edition: The registry's ProductName and EditionID; empty where it has none.
        server: Whether it is a server.
    """

    version: Version | None
    why: str
    name: str
    edition: str
    server: bool


def _contradiction(version: Version, build: str, installed: str, edition: str) -> str:
    if build and build != str(version.build):
        return (
            f"RtlGetVersion says build {version.build}, registry CurrentBuildNumber {build}: "
            "run without compatibility mode"
        )
    if not version.server and installed.casefold().startswith("server"):
        return f"RtlGetVersion says this is a workstation, registry InstallationType {installed}"
    if version.server and installed.casefold() == "client" and edition.casefold() != _CLIENT_IN_SPITE:
        return "RtlGetVersion says this is a server, registry InstallationType Client"
    return ""


def _told(host: Host) -> _Told:
    answer = ask(lambda: windows_version.decode(host.system.version()))
    name, build, installed, edition = (
        reads.text(host.registry, _CURRENT, value)
        for value in ("ProductName", "CurrentBuildNumber", "InstallationType", "EditionID")
    )
    if answer.value is None:
        return _Told(None, answer.why, name, edition, server=False)
    why = _contradiction(answer.value, build, installed, edition)
    server = answer.value.server and edition.casefold() != _CLIENT_IN_SPITE
    return _Told(None if why else answer.value, why, name, edition, server)


def _server(told: _Told, build: int, source: str) -> Observation:
    named = _SERVER_NAME.search(told.name)
    of_build = _SERVERS.get(build, "")
    if named is None:
        # Channels without a year in their name share builds with the servers that have one.
        return unknown(f"{source}, and registry ProductName {told.name!r} does not say which server it is")
    if of_build and named[1].startswith("Windows Server") and named[1] != of_build:
        return unknown(f"{source}, which is {of_build}, but registry ProductName says {told.name}")
    return known(named[1], f"{source}, registry ProductName {told.name}")


def _product(told: _Told) -> Observation:
    version = told.version
    if version is None:
        return unknown(told.why)
    source = f"RtlGetVersion build {version.build}, {'server' if told.server else 'workstation'}"
    if told.server:
        return _server(told, version.build, source)
    if "server" in told.name.casefold():
        return unknown(f"{source}, but registry ProductName says {told.name}")
    if (version.major, version.minor) == (10, 0) and version.build >= _FIRST_10:
        return known("Windows 11" if version.build >= _FIRST_11 else "Windows 10", source)
    older = _OLDER.get((version.major, version.minor))
    if older:
        return known(older, f"RtlGetVersion {version.major}.{version.minor}, workstation")
    return unknown(f"RtlGetVersion says {version.major}.{version.minor}, which this version does not know")


def _version(host: Host, told: _Told) -> Observation:
    version = told.version
    if version is None:
        return unknown(told.why)
    three = f"{version.major}.{version.minor}.{version.build}"
    revision = reads.read(host.registry, _CURRENT, "UBR", int)
    if revision.value is None or revision.value < 0:
        return known(three, f"RtlGetVersion; the update revision is not known: {revision.why}")
    return known(f"{three}.{revision.value}", f"RtlGetVersion, registry {_CURRENT}\\UBR")


def _plain(identifier: str) -> str:
    """Our word for an edition, its variants taken off; empty where it is not one we know."""
    folded = identifier.casefold()
    for end in range(len(folded), 0, -1):
        if folded[:end] in _EDITIONS:
            return _EDITIONS[folded[:end]] if _VARIANT.fullmatch(folded[end:]) else ""
    return ""


def _edition(host: Host, identifier: str) -> Observation:
    source = f"registry {_CURRENT}\\EditionID {identifier}"
    word = _plain(identifier)
    if not word:
        return unknown(f"this version does not know the edition {identifier!r} (registry EditionID)")
    policy = reads.read(host.registry, _POLICY, "SkuPolicyRequired", int)
    if policy.value:
        return known("s-mode", f"{source} in S mode, registry {_POLICY}\\SkuPolicyRequired {policy.value}")
    if policy.value is None and not policy.absent:
        return unknown(f"whether it is in S mode is not known: {policy.why}")
    return known(word, source)


def probe(host: Host) -> Observations:
    """Product, version and edition."""
    told = _told(host)
    identifier = reads.read(host.registry, _CURRENT, "EditionID", str)
    readings = {"os.product": _product(told), "os.version": _version(host, told)}
    if not identifier.value:
        why = unknown(identifier.why or "the registry's EditionID is empty")
        return {**readings, "os.edition_id": why, "os.edition": why}
    return {
        **readings,
        "os.edition_id": known(identifier.value, f"registry {_CURRENT}\\EditionID"),
        "os.edition": _edition(host, identifier.value),
    }
