"""Requirement tables that publishers of general software put out, written as profiles and judged.

Each profile beside this file names its source. The rows below are written from the published table, not
from the profile, and the verdicts before the profile was run (two of them, on the servicing of Ubuntu 17.10
and CentOS, were mended after it: the shipped knowledge of releases decides them, not the table).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest

from pcaudit.app import load_profile
from pcaudit.core.choose import ask
from pcaudit.core.contradictions import contradictions
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.profile import AnyOf, Profile
from pcaudit.core.report import Finding, Verdict
from pcaudit.loading import TABLES, tables
from tests.core.builders import GB, MARGINAL, MET, UNMET, UNVERIFIED, snapshot_of, value

FOLDER: Final = Path(__file__).parent
MB: Final = 1 << 20
NOT_ASKED: Final = Verdict.NOT_APPLICABLE

# -- the published tables, row by row

ROWS: Final = {
    "windows-11": (
        # Hardware requirements
        *("Processor", "Memory", "Storage", "Graphics card", "System firmware", "TPM", "Display"),
        "Internet connection",
        # OS requirements
        *("Upgrade", "S mode"),
        # Feature-specific requirements
        *("5G support", "Auto HDR", "BitLocker to Go", "Client Hyper-V", "Cortana", "DirectStorage"),
        *("DirectX 12 Ultimate", "Presence", "Intelligent Video Conferencing", "Multiple Voice Assistant"),
        *("Snap", "Mute and unmute", "Spatial Sound", "Microsoft Teams", "Touch"),
        *("Two-factor authentication", "Voice Typing", "Wake on Voice", "Wi-Fi 6E", "Windows Hello"),
        *("Windows Projection", "Xbox app"),
        # Virtual machine support
        *("VM: generation", "VM: storage", "VM: security", "VM: memory", "VM: processor"),
    ),
    "sql-server-2022": (
        # Hardware requirements; memory has one figure for Express and one for all others
        *("Storage", "Monitor", "Internet", "Memory: Express", "Memory: other editions", "Memory, note 1"),
        *("Processor Speed", "Processor Type"),
        # Software requirements
        *("Operating system", ".NET Framework", "Network Software"),
        # Operating system support: the columns; its rows are judged one by one below
        *(f"Support: {edition}" for edition in ("Enterprise", "Developer", "Standard", "Web", "Express")),
        "Server Core",
        # Disk space requirements: the rows are judged one by one below
        *("System drive", "Disk space of features"),
        # Storage types for data files
        *("Local Disk", "Shared Storage", "Storage Spaces Direct", "SMB File Share"),
        *("Domain controller", "Installation media"),
    ),
    "slicer": (
        "Computer",
        # Operating system versions
        *("Windows", "Windows: international characters", "macOS", "macOS: latest release"),
        *("Linux", "Linux: long-term support"),
        # Recommended hardware configuration
        *("Memory", "Memory: ten times the data", "Display", "Graphics", "GPU: OpenGL", "GPU: memory"),
        *("GPU: texture dimensions", "Multi-threaded computations", "Interface device"),
        "Internet connection",
        # Installing: notes that ask something of the PC
        *("64-bit only", "Windows: installation path", "Linux: GLIBC", "Linux: UTF-8 locale"),
        *("Debian and Ubuntu: packages", "Fedora: packages"),
    ),
}

# -- PCs, at the bounds of the table and one step short of them


def _readings(plain: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value(of) for name, of in plain.items()}


WINDOWS_FIT: Final = {
    "computer.virtual": False,
    "cpu.base_clock": 10**9,
    "cpu.cores": 2,
    "cpu.threads": 1,
    "os.machine": "x86_64",
    "memory.installed": 4 * GB,
    "storage.system_free": 64 * 10**9,
    "storage.system_size": 10**9,
    "display.graphics": [{"model": "Card", "memory": GB, "driver_version": "20.19.15.4331"}],
    "computer.firmware_mode": "uefi",
    "computer.secure_boot_capable": True,
    "computer.tpm_version": "2.0",
    "display.screens": [{"width": 1280, "height": 720, "diagonal": 9, "colour_depth": 8}],
    "os.type": "windows",
    "os.edition": "pro",
    "os.edition_id": "Professional",
    "os.version": "10.0.19041.1237",
    "storage.drives": [{"bus": "nvme", "media": "ssd", "size": 10**12}],
    "display.primary_width": 3840,
    "display.primary_scaling": 200,
    "network.adapters": [{"name": "wlan0", "medium": "wireless"}],
}
WINDOWS_SHORT: Final = {
    "computer.virtual": False,
    "cpu.base_clock": 999_000_000,
    "cpu.cores": 1,
    "cpu.threads": 8,
    "os.machine": "x86",
    "memory.installed": 4 * GB - MB,
    "storage.system_free": 64 * 10**9 - 1,
    "storage.system_size": 10**12,
    "display.graphics": [{"model": "Card", "memory": GB, "driver_version": "10.18.13.5582"}],
    "computer.firmware_mode": "bios",
    "computer.secure_boot_capable": False,
    "computer.tpm_version": "1.2",
    "display.screens": [{"width": 1280, "height": 720, "diagonal": 8.9, "colour_depth": 8}],
    "os.type": "windows",
    "os.edition": "home",
    "os.edition_id": "Core",
    "os.version": "10.0.19042.1236",
    "storage.drives": [{"bus": "sata", "media": "ssd", "size": 10**12}],
    "display.primary_width": 3838,
    "display.primary_scaling": 200,
    "network.adapters": [{"name": "eth0", "medium": "wired"}],
}
VM_FIT: Final = {
    **WINDOWS_SHORT,
    "computer.virtual": True,
    "cpu.threads": 2,
    "os.machine": "arm64",
    "memory.installed": 4 * GB,
    "storage.system_size": 64 * 10**9,
    "computer.firmware_mode": "uefi",
    "computer.secure_boot_capable": True,
    "computer.tpm_version": "2.0",
    "os.edition": "s-mode",
    "os.version": "10.0.19043.1237",
}
VM_SHORT: Final = {
    **WINDOWS_FIT,
    "computer.virtual": True,
    "os.machine": "other",
    "memory.installed": 2 * GB,
    "storage.system_size": 64 * 10**9 - 1,
    "computer.firmware_mode": "bios",
    "computer.secure_boot_capable": False,
    "computer.tpm_version": "1.2",
    "os.edition": "s-mode",
    "os.edition_id": "Professional",
}

SERVER_FIT: Final = {
    "storage.system_free": (6144 + 1480 + 698) * MB,
    "display.primary_width": 800,
    "display.primary_height": 600,
    "memory.installed": 4 * GB,
    "cpu.base_clock": 2 * 10**9,
    "os.machine": "x86_64",
    "cpu.vendor": "amd",
    "os.type": "windows",
    "os.edition": "server",
    "os.edition_id": "ServerStandardCor",
    "os.version": "10.0.20348.2700",
    "storage.volumes": [{"mount": "D:\\", "kind": "fixed"}],
    "software.services": [{"name": "EventLog", "state": "running"}],
}
SERVER_MIDDLING: Final = {
    **SERVER_FIT,
    "memory.installed": GB,
    "cpu.base_clock": 14 * 10**8,
    "os.edition": "pro",
    "os.edition_id": "Professional",
    "os.version": "10.0.10240.16384",
    "storage.volumes": [{"mount": "\\\\server\\share", "kind": "network"}],
    "software.services": [{"name": "NTDS", "state": "running"}],
}
SERVER_SHORT: Final = {
    "storage.system_free": (6144 + 1480 + 698) * MB - 1,
    "display.primary_width": 799,
    "display.primary_height": 599,
    "memory.installed": 511 * MB,
    "cpu.base_clock": 1_399_000_000,
    "os.machine": "arm64",
    "cpu.vendor": "another maker",
    "os.type": "windows",
    "os.edition": "enterprise",
    "os.edition_id": "Enterprise",
    "os.version": "6.3.9600.21000",
    "storage.volumes": [{"mount": "E:\\", "kind": "removable"}],
    "software.services": [{"name": "NTDS", "state": "running"}],
}

_UBUNTU_PACKAGES: Final = [
    {"name": "libc6", "version": "2.35-0ubuntu3.8"},
    {"name": "libstdc++6", "version": "12.3.0-1ubuntu1~22.04"},
    {"name": "libpulse-dev", "version": "1:15.99.1+dfsg1-1ubuntu2"},
    {"name": "libnss3", "version": "2:3.98-0ubuntu0.22.04.2"},
    {"name": "libglu1-mesa", "version": "9.0.2-1"},
]
UBUNTU_FIT: Final = {
    "os.type": "linux",
    "os.product": "Ubuntu",
    "os.version": "22.04",
    "os.machine": "x86_64",
    "os.locale": "en_GB.UTF-8",
    "memory.installed": 12 * GB,
    "memory.usable": 10 * GB,
    "display.primary_width": 1280,
    "display.primary_height": 1024,
    "display.graphics": [{"model": "Card", "memory": 2 * GB}],
    "cpu.cores": 2,
    "software.packages": _UBUNTU_PACKAGES,
}
UBUNTU_SHORT: Final = {
    "os.type": "linux",
    "os.product": "Ubuntu",
    "os.version": "17.10",
    "os.machine": "x86",
    "os.locale": "en_GB.ISO-8859-1",
    "memory.installed": 4 * GB,  # the table asks for more than 4 GB
    "memory.usable": 4 * GB,
    "display.primary_width": 1023,
    "display.primary_height": 767,
    "display.graphics": [{"model": "Card", "memory": GB}],
    "cpu.cores": 1,
    "software.packages": [
        {"name": "libc6", "version": "2.13-38+deb7u10"},
        {"name": "libstdc++6", "version": "4.7.2-5"},
    ],
}
CENTOS: Final = {
    **UBUNTU_FIT,
    "os.product": "CentOS Linux",
    "os.version": "7",
    "software.packages": [
        {"name": "glibc", "version": "2.17-326.el7_9"},
        {"name": "libstdc++", "version": "4.8.5-44.el7"},
    ],
}
MAC: Final = {
    **UBUNTU_FIT,
    "os.type": "macos",
    "os.product": "macOS",
    "os.version": "11.0",
    "os.machine": "arm64",
    "memory.installed": 4097 * MB,
    "display.primary_width": 1024,
    "display.primary_height": 768,
}
OLD_MAC: Final = {**MAC, "os.version": "10.15.7", "os.machine": "x86_64"}
WINDOWS_BEFORE_1903: Final = {
    **MAC,
    "os.type": "windows",
    "os.product": "Windows 10",
    "os.edition": "pro",
    "os.version": "10.0.17763.6000",
    "os.machine": "x86_64",
}

# -- what is to come of it: row or rows, finding, verdict on each PC

Expected = tuple[str, str, tuple[Verdict, ...]]


class Table(NamedTuple):
    """One published table judged on some PCs with some choices."""

    file: str
    pcs: tuple[Mapping[str, Any], ...]
    settings: Mapping[str, str]
    expected: tuple[Expected, ...]


_DEPENDS_ON_KIND = (
    ("Processor", "cpu.base_clock", (MET, UNMET, NOT_ASKED, NOT_ASKED)),
    ("Processor", "cpu.cores", (MET, UNMET, NOT_ASKED, NOT_ASKED)),
    ("VM: processor", "cpu.threads", (NOT_ASKED, NOT_ASKED, MET, UNMET)),
    ("Storage", "storage.system_free", (MET, UNMET, NOT_ASKED, NOT_ASKED)),
    ("VM: storage", "storage.system_size", (NOT_ASKED, NOT_ASKED, MET, UNMET)),
    ("Graphics card", "display.graphics[driver-model]", (MET, UNMET, NOT_ASKED, NOT_ASKED)),
    ("Display", "display.screens[display]", (MET, UNMET, NOT_ASKED, NOT_ASKED)),
)
_SUPPORT_EDITIONS = ("Enterprise", "Developer", "Standard", "Web", "Express")

WINDOWS: Final = Table(
    "windows-11",
    (WINDOWS_FIT, WINDOWS_SHORT, VM_FIT, VM_SHORT),
    {},
    (
        *_DEPENDS_ON_KIND,
        ("Processor", "os.machine", (MET, UNMET, MET, UNMET)),
        ("Memory; VM: memory", "memory.installed", (MET, UNMET, MET, UNMET)),
        ("System firmware; VM: generation", "computer.firmware_mode", (MET, UNMET, MET, UNMET)),
        ("System firmware; VM: security", "computer.secure_boot_capable", (MET, UNMET, MET, UNMET)),
        ("TPM; VM: security", "computer.tpm_version", (MET, UNMET, MET, UNMET)),
        ("Upgrade; S mode", "os.any_of", (MET, UNMET, MET, UNMET)),
        # Both options ask it of the same readings, so each reading has two conditions.
        ("BitLocker to Go", "os.type", (MET, MET, MET, MET)),
        ("Client Hyper-V", "os.type", (MET, MET, MET, MET)),
        ("BitLocker to Go", "os.edition", (MET, UNMET, UNMET, UNMET)),
        ("Client Hyper-V", "os.edition", (MET, UNMET, UNMET, UNMET)),
        ("DirectStorage", "storage.drives[nvme]", (MET, UNMET, UNMET, MET)),
        ("Snap", "display.primary_logical_width", (MET, UNMET, UNMET, MET)),
        ("Wi-Fi 6E", "network.adapters[wifi-6e]", (MET, UNMET, UNMET, MET)),
        ("Windows Projection", "display.graphics[projection]", (MET, UNMET, UNMET, MET)),
        ("Windows Projection", "network.adapters[wifi-direct]", (MET, UNMET, UNMET, MET)),
    ),
)
SERVER: Final = Table(
    "sql-server-2022",
    (SERVER_FIT, SERVER_MIDDLING, SERVER_SHORT),
    {"engine": "1", "analysis": "1"},
    (
        ("Storage; System drive; Disk space of features", "storage.system_free", (MET, MET, UNMET)),
        ("Monitor", "display.primary_width", (MET, MET, UNMET)),
        ("Monitor", "display.primary_height", (MET, MET, UNMET)),
        ("Memory: Express", "memory.installed", (MET, MET, UNMET)),
        # Asked by the options enterprise, web, developer and standard.
        *[("Memory: other editions", "memory.installed", (MET, MARGINAL, UNMET))] * 4,
        ("Memory, note 1", "memory.installed", (MET, UNMET, UNMET)),
        ("Processor Speed", "cpu.base_clock", (MET, MARGINAL, UNMET)),
        ("Processor Type", "os.machine", (MET, MET, UNMET)),
        ("Processor Type", "cpu.vendor", (MET, MET, UNMET)),
        ("Operating system; .NET Framework; Network Software", "os.any_of", (MET, MET, UNMET)),
        ("Support: Enterprise; Server Core", "os.any_of", (MET, UNMET, UNMET)),
        ("Support: Web; Server Core", "os.any_of", (MET, UNMET, UNMET)),
        ("Support: Developer; Server Core", "os.any_of", (MET, MET, UNMET)),
        ("Support: Standard; Server Core", "os.any_of", (MET, MET, UNMET)),
        ("Support: Express; Server Core", "os.any_of", (MET, MET, UNMET)),
        (
            "Local Disk; Shared Storage; Storage Spaces Direct; SMB File Share",
            "storage.volumes[data-files]",
            (MET, MET, UNMET),
        ),
        ("SMB File Share", "storage.volumes[analysis-files]", (MET, UNMET, UNMET)),
        ("Domain controller", "software.services[domain-controller]", (MET, MARGINAL, MARGINAL)),
    ),
)
SLICER: Final = Table(
    "slicer",
    (UBUNTU_FIT, UBUNTU_SHORT, CENTOS, MAC, OLD_MAC, WINDOWS_BEFORE_1903),
    {"data": "1"},
    (
        ("Windows; macOS; Linux", "os.any_of", (MET, UNMET, MET, MET, UNMET, MET)),
        ("Windows: international characters", "os.any_of", (MET, UNMET, MET, MET, MET, UNMET)),
        # Ubuntu 17.10 is older than the shipped knowledge; CentOS Linux has no long-term channel.
        (
            "Linux: long-term support",
            "os.servicing",
            (MET, UNVERIFIED, MARGINAL, NOT_ASKED, NOT_ASKED, NOT_ASKED),
        ),
        ("64-bit only; macOS", "os.machine", (MET, UNMET, MET, MET, MET, MET)),
        ("Memory", "memory.installed", (MET, UNMET, MET, MARGINAL, MARGINAL, MARGINAL)),
        ("Memory: ten times the data", "memory.usable", (MET, MARGINAL, MET, MET, MET, MET)),
        ("Display", "display.primary_width", (MET, UNMET, MET, MARGINAL, MARGINAL, MARGINAL)),
        ("Display", "display.primary_height", (MET, UNMET, MET, MARGINAL, MARGINAL, MARGINAL)),
        ("GPU: memory", "display.graphics[texture-memory]", (MET, MARGINAL, MET, MET, MET, MET)),
        ("Multi-threaded computations", "cpu.cores", (MET, MARGINAL, MET, MET, MET, MET)),
        # An underscore is in no version scheme of the language: RPM's own has it.
        (
            "Linux: GLIBC",
            "software.packages[glibc]",
            (MET, UNMET, UNVERIFIED, NOT_ASKED, NOT_ASKED, NOT_ASKED),
        ),
        (
            "Linux: GLIBC",
            "software.packages[libstdcxx]",
            (MET, UNMET, MET, NOT_ASKED, NOT_ASKED, NOT_ASKED),
        ),
        ("Linux: UTF-8 locale", "os.locale", (MET, MARGINAL, MET, NOT_ASKED, NOT_ASKED, NOT_ASKED)),
        *(
            (
                "Debian and Ubuntu: packages",
                f"software.packages[{name}]",
                (MET, MARGINAL, NOT_ASKED, NOT_ASKED, NOT_ASKED, NOT_ASKED),
            )
            for name in ("pulse", "nss", "glu")
        ),
        ("Fedora: packages", "software.packages[fedora-glu]", (NOT_ASKED,) * 6),
        ("Fedora: packages", "software.packages[fedora-nsl]", (NOT_ASKED,) * 6),
    ),
)
ALL: Final = (WINDOWS, SERVER, SLICER)
_JUDGED: Final = [(table, number) for table in ALL for number in range(len(table.pcs))]


# -- walking profiles and findings


def _profile(file: str) -> Profile:
    return load_profile(str(FOLDER / f"{file}.toml"))


def _reasons(profile: Profile) -> Iterator[str]:
    """What every condition and arrangement of a profile says it is for."""
    conditions = (*profile.conditions, *(c for option in profile.options for c in option.conditions))
    arrangements = (*profile.arrangements, *(a for option in profile.options for a in option.arrangements))
    for condition in conditions:
        # A set of alternatives comes from the rows that its first one names.
        yield (
            condition.alternatives[0].meta.because if isinstance(condition, AnyOf) else condition.meta.because
        )
    yield from (one.meta.because for one in arrangements)


def _judged(findings: tuple[Finding, ...]) -> list[tuple[str, str, Verdict]]:
    """Row, finding and verdict of each condition."""
    return [
        (part.because, finding.id, part.verdict)
        for finding in findings
        for part in (finding.parts or (finding,))
    ]


def _findings(
    file: str, pc: Mapping[str, Any], settings: Mapping[str, str], options: list[str] | None = None
) -> tuple[Finding, ...]:
    profile = _profile(file)
    chosen = [option.name for option in profile.options] if options is None else options
    asked = ask([profile], chosen, settings)
    assert not contradictions(asked)
    return evaluate_all(asked, snapshot_of(_readings(pc)), knowledge=tables(TABLES)).findings


@pytest.mark.parametrize("file", ROWS)
def test_every_row_of_a_published_table_is_asked(file: str) -> None:
    """Each row has a condition or an arrangement, and nothing is asked that is in no row."""
    asked = {row for because in _reasons(_profile(file)) for row in because.split("; ")}
    assert asked == set(ROWS[file])


@pytest.mark.parametrize(
    ("table", "number"), _JUDGED, ids=[f"{table.file}-{number}" for table, number in _JUDGED]
)
def test_each_row_is_judged_as_a_reader_of_the_table_would(table: Table, number: int) -> None:
    """On each PC, every condition that comes from a row has the verdict written down for it."""
    expected = [(because, name, verdicts[number]) for because, name, verdicts in table.expected]
    found = _judged(_findings(table.file, table.pcs[number], table.settings))
    assert sorted(found) == sorted(expected)


@pytest.mark.parametrize("table", ALL, ids=lambda table: table.file)
def test_each_row_has_a_pc_that_meets_it_and_one_that_does_not(table: Table) -> None:
    """The verdicts written down tell PCs apart, in every row but those about a system not tried."""
    for because, name, verdicts in table.expected:
        if set(verdicts) in ({NOT_ASKED}, {MET}):
            assert because == "Fedora: packages" or name == "os.type", (because, name)
            continue
        assert MET in verdicts, (because, name)
        assert {UNMET, MARGINAL} & set(verdicts), (because, name)


# -- tables inside the tables

# Operating system support: rows with their reading, columns Enterprise, Developer, Standard, Web, Express.
# Editions' own words (registry EditionID) and builds of the releases are from memory.
_BUILDS: Final = {"2022": "10.0.20348", "2019": "10.0.17763", "2016": "10.0.14393"}
_SERVERS: Final = {
    f"Windows Server {year} {name}": ({"edition": "server", "id": word, "version": _BUILDS[year]}, "YYYYY")
    for year in _BUILDS
    for name, word in (
        ("Datacenter", "ServerDatacenter"),
        ("Datacenter: Azure Edition", "ServerTurbine"),
        ("Standard", "ServerStandard"),
        ("Essentials", "ServerSolution"),
    )
    if year == "2022" or word != "ServerTurbine"
}
_CLIENTS: Final = {
    f"Windows {number} {name}": ({"edition": edition, "id": word, "version": build}, "NYYNY")
    for number, build in (("11", "10.0.22621"), ("10", "10.0.19045"))
    for name, edition, word in (
        ("IoT Enterprise", "iot-enterprise", "IoTEnterprise"),
        ("Enterprise", "enterprise", "Enterprise"),
        ("Professional", "pro", "Professional"),
        ("Home", "home", "Core"),
    )
}


@pytest.mark.parametrize("row", [*_SERVERS, *_CLIENTS])
def test_every_cell_of_the_operating_system_table(row: str) -> None:
    """Each edition of the server on each edition of the system is met where the cell says Yes."""
    system, cells = {**_SERVERS, **_CLIENTS}[row]
    pc = {
        "os.type": "windows",
        "os.edition": system["edition"],
        "os.edition_id": system["id"],
        "os.version": f"{system['version']}.1000",
    }
    for edition, cell in zip(_SUPPORT_EDITIONS, cells, strict=True):
        found = _judged(_findings("sql-server-2022", pc, {}, [edition.casefold()]))
        verdict = next(v for because, _, v in found if because.startswith(f"Support: {edition};"))
        assert verdict is (MET if cell == "Y" else UNMET), (row, edition)


def test_the_operating_system_table_has_all_its_rows() -> None:
    """Eighteen systems stand in the table, ten servers and eight clients."""
    assert (len(_SERVERS), len(_CLIENTS)) == (10, 8)


# Disk space requirements, in MB.
_DISK: Final = {
    "engine": 1480,
    "engine-r": 2744,
    "engine-polybase": 4194,
    "analysis": 698,
    "reporting": 967,
    "r-server": 280,
    "reporting-sharepoint": 1203,
    "reporting-add-in": 325,
    "quality-client": 121,
    "connectivity": 328,
    "integration": 306,
    "client": 445,
    "master-data": 280,
    "books": 27,
    "books-content": 200,
    "all-features": 8030,
}


def _disk_verdict(free: int, settings: Mapping[str, str]) -> Verdict:
    findings = _findings("sql-server-2022", {"storage.system_free": free}, settings, [])
    return next(one.verdict for one in findings if one.id == "storage.system_free")


@pytest.mark.parametrize("feature", _DISK)
def test_every_feature_takes_its_own_space(feature: str) -> None:
    """With one feature chosen, its figure beside the 6 GB of the system drive decides, to the byte."""
    needed = (6144 + _DISK[feature]) * MB
    assert _disk_verdict(needed, {feature: "1"}) is MET
    assert _disk_verdict(needed - 1, {feature: "1"}) is UNMET


def test_the_space_of_features_adds_up() -> None:
    """Several features need the sum of their figures."""
    chosen = {"engine": "1", "reporting": "1", "integration": "1"}
    needed = (6144 + 1480 + 967 + 306) * MB
    assert _disk_verdict(needed, chosen) is MET
    assert _disk_verdict(needed - 1, chosen) is UNMET


@pytest.mark.parametrize(
    ("version", "verdict"),
    [
        ("10.0.18363.2274", UNMET),
        ("10.0.19041.1236", UNMET),
        ("10.0.19041.1237", MET),
        ("10.0.19042.1110", UNMET),
        ("10.0.19042.1237", MET),
        ("10.0.19043.928", UNMET),
        ("10.0.19043.1237", MET),
        ("10.0.19044.1288", MET),
        ("10.0.19045.2006", MET),
    ],
)
def test_an_update_is_asked_of_each_release_it_came_out_for(version: str, verdict: Verdict) -> None:
    """A newer release without the update is unmet although its number is larger than the older one's."""
    pc = {**WINDOWS_FIT, "os.version": version}
    findings = _findings("windows-11", pc, {}, ["upgrade"])
    assert next(one.verdict for one in findings if one.id == "os.any_of") is verdict
