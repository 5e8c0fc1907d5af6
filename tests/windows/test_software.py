"""Programs, runtimes, antivirus and services of Windows hosts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.windows import runtimes, software
from pcaudit.probes.windows.calls.software import SILENT, SoftwareCalls
from pcaudit.probes.windows.calls.win32 import NoAnswerError
from pcaudit.probes.windows.host import Host
from tests.windows.recorded import DENIED, RecordedRegistry

Content = Mapping[str, Mapping[str, Any] | OSError]

UNINSTALL = r"SOFTWARE\Microsoft\Windows\CurrentVersion\Uninstall"
PROFILES = r"HKLM\SOFTWARE\Microsoft\Windows NT\CurrentVersion\ProfileList"
ANNA = "S-1-5-21-1000-2000-3000-1001"
BEN = "S-1-5-21-1000-2000-3000-1002"
CLARA = "S-1-12-1-10-20-30-40"  # of Entra ID
NDP = r"HKLM\SOFTWARE\Microsoft\NET Framework Setup\NDP"
DOTNET = r"HKLM\SOFTWARE\dotnet\Setup\InstalledVersions"
VISUAL_CPP = r"HKLM\SOFTWARE\Microsoft\VisualStudio\14.0\VC\Runtimes"
AV = r"HKLM\SOFTWARE\Microsoft\Security Center\Provider\Av"
SERVICES = r"HKLM\SYSTEM\CurrentControlSet\Services"
STORE_MINE = (
    r"HKCU\Software\Classes\Local Settings\Software\Microsoft\Windows\CurrentVersion\AppModel"
    r"\Repository\Packages"
)
STORE_ALL = r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion\Appx\AppxAllUserStore"
ENVIRON = {"SystemRoot": r"C:\Windows", "SystemDrive": "C:", "ProgramFiles": r"C:\Program Files"}


def host(
    registry: Content | None = None,
    wow: Content | None = None,
    *,
    files: set[str] | None = None,
    services: list[tuple[str, int]] | OSError | None = None,
) -> Host:
    """A PC; with ``files`` only those exist, on C:, else nobody can look."""

    def exists(path: str) -> bool:
        if files is None or not path.startswith("C:"):
            raise NoAnswerError("no fixed drive")
        return path in files

    def listed() -> list[tuple[str, int]]:
        if isinstance(services, OSError):
            raise services
        return services or []

    nothing = cast("Any", None)
    return Host(
        registry=RecordedRegistry(registry or {}, wow),
        environ=ENVIRON,
        system=nothing,
        storage=nothing,
        display=nothing,
        network=nothing,
        power=nothing,
        software=SoftwareCalls(exists=exists, services=listed),
    )


def probe(seen: Host) -> dict[str, Observation]:
    """Every reading of the group."""
    found: dict[str, Observation] = {}
    for each in software.probes(seen):
        taken = dict(each.take())
        assert set(taken) == set(each.reads)
        found.update(taken)
    return found


def packages(seen: Host) -> Observation:
    """Reading software.packages."""
    return probe(seen)["software.packages"]


def names(observation: Observation) -> list[str]:
    """Names of a list's items."""
    return [item["name"] for item in observation.value]


def entry(name: str, root: str = "HKLM", key: str = "", **values: Any) -> Content:
    """An uninstall key with a display name."""
    return {f"{root}\\{UNINSTALL}\\{key or name}": {"DisplayName": name, **values}}


def profile(sid: str, folder: str) -> Content:
    """A person's profile."""
    return {f"{PROFILES}\\{sid}": {"ProfileImagePath": folder}}


# ---------------------------------------------------------------- programs


def test_programs_of_both_views_and_of_the_user() -> None:
    """Trap S1: programs of both widths and of the user alone are all seen, and the list is complete."""
    seen = packages(
        host(
            {
                **entry("Sample Viewer", DisplayVersion="2.10.1", Publisher="Ostrava Tools"),
                **entry("Night Plotter", "HKCU", DisplayVersion="7"),
            },
            wow=entry("Old Acquisition Suite 3", DisplayVersion="3.2"),
        )
    )
    assert seen.value == [
        {"name": "Sample Viewer", "version": "2.10.1", "publisher": "Ostrava Tools"},
        {"name": "Old Acquisition Suite 3", "version": "3.2", "publisher": None},
        {"name": "Night Plotter", "version": "7", "publisher": None},
    ]
    assert seen.complete


def test_one_entry_is_counted_once() -> None:
    """What is seen in both views, or as the current user's and by number, is one program."""
    content = {
        **entry("Sample Viewer", DisplayVersion="2"),
        **entry("Night Plotter", "HKCU"),
        **entry("Night Plotter", f"HKU\\{ANNA}"),
    }
    assert names(packages(host(content))) == ["Sample Viewer", "Night Plotter"]


def test_programs_of_a_user_signed_in_are_seen() -> None:
    """Trap P11: under an administrator's own account the programs of the person signed in count."""
    content = {
        **entry("Night Plotter", f"HKU\\{ANNA}"),
        **profile(ANNA, r"C:\Users\anna"),
        f"HKU\\{ANNA}_Classes": {},
        r"HKU\.DEFAULT": {},
    }
    seen = packages(host(content))
    assert names(seen) == ["Night Plotter"]
    assert seen.complete


def test_programs_of_users_not_signed_in_leave_the_list_open() -> None:
    """Trap S1: a person whose registry is not loaded may have programs nobody sees."""
    content = {
        **entry("Sample Viewer"),
        **profile(ANNA, r"C:\Users\anna"),
        **profile(CLARA, r"C:\Users\clara"),
        **profile("S-1-5-18", r"C:\Windows\system32\config\systemprofile"),
        f"HKU\\{ANNA}": {},
    }
    seen = packages(host(content))
    assert not seen.complete
    assert "clara" in seen.why
    assert "anna" not in seen.why
    assert "systemprofile" not in seen.why


def test_a_user_whose_registry_may_not_be_read_leaves_the_list_open() -> None:
    """Trap S1: another person's registry that is loaded and closed is not an empty one."""
    content = {
        **entry("Sample Viewer"),
        **profile(BEN, r"C:\Users\ben"),
        f"HKU\\{BEN}": {},
        f"HKU\\{BEN}\\{UNINSTALL}": DENIED,
    }
    seen = packages(host(content))
    assert not seen.complete
    assert "ben" in seen.why


def test_a_profile_whose_folder_is_gone_hides_no_programs() -> None:
    """What a removed account left in the list of profiles does not keep the list open."""
    content = {**entry("Sample Viewer"), **profile(BEN, r"C:\Users\ben")}
    assert packages(host(content, files=set())).complete
    assert not packages(host(content, files={r"C:\Users\ben"})).complete


def test_hidden_programs_are_kept() -> None:
    """A program that must not be there counts even where Windows hides it from its own list."""
    assert names(packages(host(entry("Halvorsel Control", SystemComponent=1)))) == ["Halvorsel Control"]


def test_what_is_no_program_is_left_out() -> None:
    """Keys without a name, and updates of a program that is there, are no programs."""
    content = {
        f"HKLM\\{UNINSTALL}\\AddressBook": {},
        f"HKLM\\{UNINSTALL}\\Fontcore": {"SystemComponent": 1},
        f"HKLM\\{UNINSTALL}\\Branding": {"UninstallString": ""},
        f"HKLM\\{UNINSTALL}\\Blank": {"DisplayName": " \0"},
        f"HKLM\\{UNINSTALL}\\Number": {"DisplayName": 7},
        **entry("Sample Viewer", key="SampleViewer"),
        **entry("Update 4 for Sample Viewer", ParentKeyName="sampleviewer", ReleaseType="Update"),
        **entry("Fix for Windows", ParentKeyName="OperatingSystem", ReleaseType="Hotfix"),
    }
    seen = packages(host(content))
    assert names(seen) == ["Sample Viewer"]
    assert seen.complete


@pytest.mark.parametrize(
    "values",
    [
        {"DisplayName": r"@C:\Program Files\Old\res.dll,-101"},
        {"DisplayName": r"@%ProgramFiles%\Old\res.dll,101"},
        {"DisplayName": "@{Ostrava.Old_1.0.0.0_x64__abc?ms-resource://Ostrava.Old/name}"},
        {"DisplayName": "ms-resource:name"},
        {"DisplayName": "", "UninstallString": "MsiExec.exe /X{1}"},
        {"DisplayName": 7, "UninstallString": "MsiExec.exe /X{1}"},
        {"InstallLocation": r"D:\Old Suite"},
    ],
)
def test_a_program_without_a_plain_name_may_be_any(values: Mapping[str, Any]) -> None:
    """Trap S1: what can be uninstalled is a program, and one that gives no name is not another one."""
    content = {**entry("Sample Viewer"), f"HKLM\\{UNINSTALL}\\OldSuite": values}
    seen = packages(host(content))
    assert names(seen) == ["Sample Viewer", None]
    assert seen.complete
    assert "without a name of a program: OldSuite" in seen.source


@pytest.mark.parametrize("name", ["@RISK 8.1", "@", "Old, -1 Suite"])
def test_a_name_that_only_looks_like_a_reference_is_one(name: str) -> None:
    """A name may start with the sign that references start with."""
    assert names(packages(host(entry(name, key="one")))) == [name]


@pytest.mark.parametrize("sid", ["S-1-5-18", "S-1-5-19", "S-1-5-20", "S-1-5-80-1-2-3", ".DEFAULT"])
def test_programs_of_windows_own_accounts_are_seen(sid: str) -> None:
    """Trap S1: what was installed under the system's or a service's account is a program too."""
    seen = packages(host({**entry("Sample Viewer"), **entry("Old Suite", f"HKU\\{sid}")}))
    assert names(seen) == ["Sample Viewer", "Old Suite"]
    assert seen.complete
    closed = packages(host({**entry("Sample Viewer"), f"HKU\\{sid}": {}, f"HKU\\{sid}\\{UNINSTALL}": DENIED}))
    assert not closed.complete
    assert sid in closed.why
    assert "administrator" in closed.why


def test_an_update_without_its_program_is_kept() -> None:
    """An update whose program has no entry is all that tells of it."""
    content = entry("Update 4 for Old Suite", ParentKeyName="OldSuite", ReleaseType="Update")
    assert names(packages(host(content))) == ["Update 4 for Old Suite"]


@pytest.mark.parametrize(
    ("values", "version"),
    [
        ({"DisplayVersion": "8.0.391 "}, "8.0.391"),
        ({}, None),
        ({"DisplayVersion": ""}, None),
        ({"DisplayVersion": 4}, None),
        ({"WindowsInstaller": 1, "Version": 0x0A0B000C}, "10.11.12"),
        ({"WindowsInstaller": 1, "Version": 0}, None),
        ({"Version": 0x0A0B000C}, None),  # not Windows Installer's own number
        ({"DisplayVersion": "1.0", "WindowsInstaller": 1, "Version": 0x02000000}, "1.0"),
    ],
)
def test_versions_of_programs(values: Mapping[str, Any], version: str | None) -> None:
    """Trap S3: a version is what the entry writes, or Windows Installer's number; else not known."""
    (item,) = packages(host(entry("Sample Viewer", **values))).value
    assert item["version"] == version


@pytest.mark.parametrize(
    "values",
    [
        {"InstallLocation": r"C:\Program Files\Old Suite" + "\\"},
        {"DisplayIcon": r'"C:\Program Files\Old, Suite\suite.exe",0'},
        {"DisplayIcon": r"C:\Program Files\Old, Suite\suite.exe,-101"},
        {"UninstallString": r'"C:\Program Files\Old Suite\unins.exe" /SILENT'},
        {"UninstallString": r"C:\Program Files\Old Suite\unins.exe /SILENT"},
        {"InstallLocation": r"%SystemDrive%\Old Suite", "UninstallString": "MsiExec.exe /X{1}"},
    ],
)
def test_entries_whose_files_are_gone_prove_nothing(values: Mapping[str, Any]) -> None:
    """Trap S2: a left-over entry is no program, nor does it prove that the program is gone."""
    seen = packages(host({**entry("Sample Viewer"), **entry("Old Suite", **values)}, files=set()))
    assert names(seen) == ["Sample Viewer"]
    assert not seen.complete
    assert "Old Suite" in seen.why


@pytest.mark.parametrize(
    "values",
    [
        {"InstallLocation": r"C:\Old Suite", "UninstallString": r"C:\Old Suite\unins.exe"},
        {"DisplayIcon": r"C:\Old Suite\suite.exe,0"},
        {"InstallLocation": r"D:\Old Suite"},  # a drive that may be out
        {"InstallLocation": r"\\server\share\Old Suite"},
        {"InstallLocation": r"%LOCALAPPDATA%\Old Suite"},  # of whom?
        {"InstallLocation": "C:\\"},
        {"UninstallString": r"C:\Windows\system32\msiexec.exe /X{1}"},
        {"UninstallString": r"C:\Elsewhere\remove.cmd /s"},  # no telling where the path ends
        {"UninstallString": r"rundll32.exe C:\Elsewhere\x.dll,Remove"},
        {"DisplayIcon": r"C:\Windows\Installer\{1}\icon.exe"},
        {"InstallLocation": 7},
        {},
    ],
)
def test_entries_that_cannot_be_disproved_stay(values: Mapping[str, Any]) -> None:
    """Trap S2: one file that is there, or nothing that can be looked for, leaves an entry in the list."""
    seen = packages(
        host(entry("Old Suite", **values), files={r"C:\Old Suite\unins.exe", r"C:\Old Suite\suite.exe"})
    )
    assert names(seen) == ["Old Suite"]
    assert seen.complete


def test_a_list_for_everybody_that_may_not_be_read_is_unknown() -> None:
    """Without the programs of all users there is no list at all."""
    seen = probe(host({f"HKLM\\{UNINSTALL}": DENIED}))
    assert seen["software.packages"].form is Form.UNKNOWN
    assert "administrator" in seen["software.packages"].why
    assert seen["software.runtimes"].form is Form.UNKNOWN


def test_a_registry_that_fails_says_how() -> None:
    """A failure that is no refusal is told as it is, and costs only what was asked."""
    failing = OSError(5, "the device is not ready")  # EIO
    seen = probe(host({f"HKLM\\{UNINSTALL}": failing}))["software.packages"]
    assert seen.form is Form.UNKNOWN
    assert "not ready" in seen.why
    found = probe(
        host({**entry("Sample Viewer"), f"{NDP}\\v4\\Full": failing, STORE_MINE: failing, SERVICES: failing})
    )
    assert names(found["software.packages"]) == ["Sample Viewer"]
    assert found["software.runtimes"].form is Form.UNKNOWN
    assert "not ready" in found["software.runtimes"].why
    assert found["software.services"].value == []


def test_an_entry_that_may_not_be_read_leaves_the_rest() -> None:
    """One closed entry may hide a program, and costs the completeness of the list only."""
    seen = packages(host({**entry("Sample Viewer"), f"HKLM\\{UNINSTALL}\\Guarded": DENIED}))
    assert names(seen) == ["Sample Viewer"]
    assert not seen.complete
    assert "Guarded" in seen.why


def test_a_user_list_that_may_not_be_read_leaves_the_rest() -> None:
    """The user's own list costs only the completeness of the whole."""
    seen = packages(host({**entry("Sample Viewer"), f"HKCU\\{UNINSTALL}": DENIED}))
    assert names(seen) == ["Sample Viewer"]
    assert not seen.complete


def test_store_packages_are_listed() -> None:
    """Trap S9: packages of the Store are programs, by the name they show or the package's own."""
    content: Content = {
        f"{STORE_MINE}\\Ostrava.Notes_1.2.0.0_x64__abcdefgh12345": {"DisplayName": "Ostrava Notes"},
        f"{STORE_MINE}\\Ostrava.Clock_3.0.0.0_x64__abcdefgh12345": {"DisplayName": "@{x?ms-resource:y}"},
        f"{STORE_ALL}\\Applications\\Ostrava.Notes_1.2.0.0_x64__abcdefgh12345": {},
        f"{STORE_ALL}\\Applications\\Ostrava.Draw_9.1.0.0_neutral_~_abcdefgh12345": {},
        f"{STORE_ALL}\\{BEN}\\Ostrava.Mail_1.0.0.0_x64__abcdefgh12345": {},
        f"{STORE_ALL}\\Applications\\nonsense": {},
    }
    assert [(item["name"], item["version"]) for item in packages(host(content)).value] == [
        ("Ostrava Notes", "1.2.0.0"),
        ("Ostrava.Clock", "3.0.0.0"),
        ("Ostrava.Draw", "9.1.0.0"),
        ("Ostrava.Mail", "1.0.0.0"),
    ]


# ---------------------------------------------------------------- runtimes


def runtime_items(content: Content, wow: Content | None = None) -> list[tuple[str, str | None]]:
    """Names and versions of software.runtimes."""
    return [(item["name"], item["version"]) for item in probe(host(content, wow))["software.runtimes"].value]


@pytest.mark.parametrize(
    ("release", "version"),
    [
        # Microsoft Learn, "how to determine which .NET Framework versions are installed".
        (378388, None),
        (378389, "4.5"),
        (378675, "4.5.1"),
        (379893, "4.5.2"),
        (393295, "4.6"),
        (394254, "4.6.1"),
        (394802, "4.6.2"),
        (460798, "4.7"),
        (461308, "4.7.1"),
        (461808, "4.7.2"),
        (528039, "4.7.2"),
        (528040, "4.8"),
        (533319, "4.8"),
        (533320, "4.8.1"),
        (533509, "4.8.1"),
        (0, None),
        (0xFFFFFFFF, None),
    ],
)
def test_net_framework_releases(release: int, version: str | None) -> None:
    """Each release number is the newest version whose own number it reaches."""
    content: Content = {f"{NDP}\\v4\\Full": {"Release": release, "Install": 1, "Version": "4.8.09037"}}
    assert runtime_items(content) == [(".NET Framework", version)]


def test_older_net_frameworks() -> None:
    """Versions before 4.5 are told by their own keys, and only where the key says installed."""
    content: Content = {
        f"{NDP}\\v4\\Full": {"Install": 1},
        f"{NDP}\\v3.5": {"Install": 1},
        f"{NDP}\\v3.0\\Setup": {"InstallSuccess": 0},
        f"{NDP}\\v2.0.50727": {"Install": 1},
    }
    assert runtime_items(content) == [(".NET Framework", v) for v in ("4.0", "3.5", "2.0")]


@pytest.mark.parametrize(
    "key",
    [
        f"{NDP}\\v4\\Full",
        f"{NDP}\\v3.5",
        f"{VISUAL_CPP}\\x86",
        f"{DOTNET}\\x64\\sharedfx\\Microsoft.NETCore.App",
    ],
)
def test_runtimes_that_may_not_be_read_are_unknown(key: str) -> None:
    """A key the account may not read is not a runtime that is missing."""
    seen = probe(host({key: DENIED}))["software.runtimes"]
    assert seen.form is Form.UNKNOWN
    assert "administrator" in seen.why


def test_net_by_width() -> None:
    """Runtimes of .NET are read in both views; those of another width than the PC's say theirs."""
    content: Content = {
        f"{DOTNET}\\x64\\sharedfx\\Microsoft.NETCore.App": {"8.0.11": 1, "6.0.36": 0, "": 1},
    }
    wow: Content = {
        f"{DOTNET}\\x64\\sharedfx\\Microsoft.NETCore.App": {"8.0.11": 1, "9.0.0": 1},
        f"{DOTNET}\\x64\\sharedfx\\Microsoft.WindowsDesktop.App": {"8.0.11": 1},
        f"{DOTNET}\\x86\\sharedfx\\Microsoft.NETCore.App": {"8.0.4": 1},
    }
    assert runtime_items(content, wow) == [
        (".NET x86", "8.0.4"),
        (".NET", "8.0.11"),
        (".NET", "9.0.0"),
        (".NET Desktop Runtime", "8.0.11"),
    ]


def test_the_width_of_the_pc_is_the_registrys() -> None:
    """Trap O6: on an ARM PC the plain name is that of the ARM runtime, whatever the process is told."""
    content: Content = {
        r"HKLM\SYSTEM\CurrentControlSet\Control\Session Manager\Environment": {
            "PROCESSOR_ARCHITECTURE": "ARM64"
        },
        f"{DOTNET}\\x64\\sharedfx\\Microsoft.NETCore.App": {"8.0.11": 1},
        f"{DOTNET}\\arm64\\sharedfx\\Microsoft.NETCore.App": {"9.0.0": 1},
    }
    assert runtime_items(content) == [(".NET x64", "8.0.11"), (".NET", "9.0.0")]


def test_visual_cpp_by_width() -> None:
    """Visual C++ counts where it says installed, in either view, with its version in numbers."""
    numbers = {"Installed": 1, "Major": 14, "Minor": 40, "Bld": 33810, "Version": "v14.40.33810.00"}
    content: Content = {f"{VISUAL_CPP}\\X64": numbers, f"{VISUAL_CPP}\\ARM64": {"Installed": 0}}
    wow: Content = {f"{VISUAL_CPP}\\X86": {"Installed": 1, "Version": "v14.29.30153.00"}}
    assert runtime_items(content, wow) == [
        ("Visual C++ 2015-2022 x64", "14.40.33810"),
        ("Visual C++ 2015-2022 x86", "14.29.30153.00"),
    ]


@pytest.mark.parametrize(
    ("program", "runtime"),
    [
        # Names of entries: common practice, no source.
        ("Microsoft Visual C++ 2010  x86 Redistributable - 10.0.40219", "Visual C++ 2010 x86"),
        ("Microsoft Visual C++ 2013 Redistributable (x64) - 12.0.40664", "Visual C++ 2013 x64"),
        ("Microsoft Visual C++ 2008 Redistributable - x86 9.0.30729.6161", "Visual C++ 2008 x86"),
        ("Microsoft Visual C++ 2005 Redistributable", "Visual C++ 2005 x86"),
        ("Java 8 Update 391 (64-bit)", "Java"),
        ("Eclipse Temurin JRE with Hotspot 17.0.9+9 (x64)", "Java"),
        ("Python 3.11.4 (64-bit)", "Python"),
        ("Ostrava Runtime 9.1", "Ostrava Runtime 9.1"),
        ("Microsoft Visual C++ 2015-2022 Redistributable (x64) - 14.40.33810", None),
        ("Microsoft .NET Runtime - 8.0.4 (x64)", None),
        ("Python 3.11.4 Core Interpreter (64-bit)", None),
        ("JavaScript Plotter", None),
        ("Sample Viewer", None),
    ],
)
def test_runtimes_among_programs(program: str, runtime: str | None) -> None:
    """Programs that are runtimes are told by what their entries call themselves."""
    found = runtime_items(entry(program, DisplayVersion="1.2.3"))
    assert found == ([(runtime, "1.2.3")] if runtime else [])


def test_the_table_of_releases_is_in_order() -> None:
    """The first row a release reaches is the right one only where the rows fall."""
    least = [row[0] for row in runtimes._RELEASES]
    assert least == sorted(least, reverse=True)


# ---------------------------------------------------------------- antivirus


def product(key: str, name: str, program: str) -> Content:
    """A product registered with Windows Security."""
    return {f"{AV}\\{key}": {"DISPLAYNAME": name, "PRODUCTEXE": program}}


def test_antivirus_products_that_are_there() -> None:
    """A product counts where its program is found, and the list is never complete."""
    content = product("{1}", "Harbour Shield", r"%ProgramFiles%\Harbour\shield.exe")
    seen = probe(host(content, files={r"C:\Program Files\Harbour\shield.exe"}))["software.antivirus"]
    assert seen.value == [{"name": "Harbour Shield"}]
    assert not seen.complete


@pytest.mark.parametrize("files", [set(), None])
def test_antivirus_left_over_does_not_count(files: set[str] | None) -> None:
    """Trap S2: a registration whose program is gone, or cannot be looked for, is no antivirus."""
    content = product("{1}", "Harbour Shield", r"C:\Program Files\Harbour\shield.exe")
    seen = probe(host(content, files=files))["software.antivirus"]
    assert seen.value == []
    assert "Harbour Shield" in seen.why


@pytest.mark.parametrize(("state", "names_seen"), [(4, ["Windows Defender"]), (1, [])])
def test_windows_own_antivirus_counts_while_its_service_runs(state: int, names_seen: list[str]) -> None:
    """Windows's own product stays registered when another takes over: its service tells."""
    content = product("{2}", "Windows Defender", "windowsdefender://")
    seen = probe(host(content, services=[("WinDefend", state)]))["software.antivirus"]
    assert names(seen) == names_seen


def test_antivirus_registrations_that_may_not_be_read_are_told() -> None:
    """A closed list of products is not an empty one."""
    seen = probe(host({AV: DENIED}))["software.antivirus"]
    assert not seen.complete
    assert "could not be read" in seen.why


# ---------------------------------------------------------------- services


@pytest.mark.parametrize(
    ("code", "word"),
    [
        # winsvc.h, SERVICE_STATUS.
        (1, "stopped"),
        (2, "starting"),
        (3, "stopping"),
        (4, "running"),
        (5, "resuming"),
        (6, "pausing"),
        (7, "paused"),
        (0, None),
        (8, None),
    ],
)
def test_states_of_services(code: int, word: str | None) -> None:
    """Each state has its word; a number that is no state is not known."""
    seen = probe(host(services=[("EventLog", code)]))["software.services"]
    assert seen.value == [{"name": "EventLog", "state": word}]


def test_services_that_may_not_be_queried_are_not_lost() -> None:
    """A service the list leaves out without a word is there, its state unknown; drivers are none."""
    content: Content = {
        f"{SERVICES}\\eventlog": {"Type": 0x20},
        f"{SERVICES}\\GuardedAgent": {"Type": 0x110},
        f"{SERVICES}\\disk": {"Type": 1},
        f"{SERVICES}\\Closed": DENIED,
    }
    seen = probe(host(content, services=[("W32Time", 1), ("EventLog", 4)]))["software.services"]
    assert seen.value == [
        {"name": "EventLog", "state": "running"},
        {"name": "GuardedAgent", "state": None},
        {"name": "W32Time", "state": "stopped"},
    ]


@pytest.mark.parametrize(
    ("error", "reason"), [(DENIED, "administrator"), (NoAnswerError("failed"), "services.msc")]
)
def test_services_that_are_not_told_are_unknown(error: OSError, reason: str) -> None:
    """Trap S8: a service control manager that refuses gives no list, and the registry's alone is none."""
    seen = probe(host({f"{SERVICES}\\EventLog": {"Type": 0x20}}, services=error))["software.services"]
    assert seen.form is Form.UNKNOWN
    assert reason in seen.why


def test_a_host_nothing_is_known_of_says_so() -> None:
    """Calls that nobody provided give no answer."""
    with pytest.raises(NoAnswerError):
        SILENT.services()
    seen = probe(host()._replace(software=SILENT))
    assert seen["software.services"].form is Form.UNKNOWN
    assert seen["software.antivirus"].value == []


# What a registry may hold, and what a program may have written into it.
_VALUES = st.one_of(
    st.integers(0, 2**64 - 1),
    st.text(max_size=40),
    st.binary(max_size=8),
    st.lists(st.text(max_size=4), max_size=2),
    st.none(),
    st.sampled_from([DENIED, OSError(5, "broken"), r"C:\Old\x.exe,0", '"C:\\Old\\x.exe', "%a%b", "\0"]),
)
_NAMES = st.sampled_from(
    [
        *("DisplayName", "DisplayVersion", "Publisher", "InstallLocation", "DisplayIcon", "UninstallString"),
        *(
            "WindowsInstaller",
            "Version",
            "ParentKeyName",
            "Release",
            "Install",
            "Installed",
            "Major",
            "Minor",
        ),
        *("Bld", "8.0.1", "Type", "DISPLAYNAME", "PRODUCTEXE", "ProfileImagePath"),
    ]
)
_KEYS = st.sampled_from(
    [
        *(f"HKLM\\{UNINSTALL}\\{{1}}", f"HKCU\\{UNINSTALL}\\two", f"HKU\\{ANNA}\\{UNINSTALL}\\three"),
        *(f"{PROFILES}\\{BEN}", f"{NDP}\\v4\\Full", f"{NDP}\\v3.5", f"{VISUAL_CPP}\\x64"),
        *(f"{DOTNET}\\x64\\sharedfx\\Microsoft.NETCore.App", f"{SERVICES}\\one", f"{AV}\\{{2}}"),
        f"{STORE_MINE}\\a_1_x64__b",
    ]
)


@given(st.dictionaries(_KEYS, st.dictionaries(_NAMES, _VALUES, max_size=6), max_size=5))
def test_no_registry_breaks_a_probe(content: dict[str, dict[str, Any]]) -> None:
    """Whatever stands in the registry, every reading is given, its items with the catalogue's keys."""
    for name, seen in probe(host(content, files={r"C:\Old\x.exe"}, services=[])).items():
        assert seen.form in {Form.KNOWN, Form.UNKNOWN}
        for item in seen.value or []:
            assert set(item) == set(CATALOGUE[name].items)
            assert item["name"] or (name == "software.packages" and item["name"] is None)
