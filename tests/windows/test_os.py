"""Tests of the operating system on Windows: version, language, clock, updates, domain."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from pcaudit.core.os_knowledge import feature_release, support_ends
from pcaudit.core.snapshot import Form, Observation
from pcaudit.loading import tables
from pcaudit.probes.windows import os_info
from tests.windows.pc import (
    CONTROL,
    NO_ANSWER,
    REGISTRY,
    WINDOWS_NT,
    pc,
    readings,
    version_info,
    zone_info,
)
from tests.windows.recorded import DENIED

CI_POLICY = rf"{CONTROL}\CI\Policy"
SETUP = r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion"
SERVICES = r"HKLM\SYSTEM\CurrentControlSet\Services"
MANAGER = rf"{CONTROL}\Session Manager"
POLICIES = r"HKLM\SOFTWARE\Policies\Microsoft\Windows\WindowsUpdate"
AUTOMATIC = rf"{POLICIES}\AU"
MANAGED = r"HKLM\SOFTWARE\Microsoft\PolicyManager\current\device\Update"
REBOOT_DATA = r"HKLM\SOFTWARE\Microsoft\SMS\Mobile Client\Reboot Management\RebootData"
TIME = rf"{SERVICES}\W32Time"
FORMATS = r"HKU\.DEFAULT\Control Panel\International"
LANGUAGE = ("language", "locale", "decimal_separator")


def system(
    registry: dict[str, Any] | None = None, environ: dict[str, str] | None = None, **answers: Any
) -> dict[str, Observation]:
    """Group os of a PC with these keys that answers so, names without the group."""
    found = readings(os_info, pc(registry, environ, **answers))
    return {name.partition(".")[2]: each for name, each in found.items()}


def current(**values: Any) -> dict[str, Any]:
    """The registry's key of this Windows, with these values; None takes one away."""
    merged = REGISTRY[WINDOWS_NT] | values
    return {WINDOWS_NT: {name: value for name, value in merged.items() if value is not None}}


# -- product and version


def test_a_pc_is_read() -> None:
    """Family, product, version of four parts, edition and machine."""
    found = system()
    assert found["type"].value == "windows"
    assert found["version"].value == "10.0.26100.2894"
    assert found["edition_id"].value == "Professional"
    assert found["edition"].value == "pro"
    assert found["machine"].value == "x86_64"


@pytest.mark.parametrize(
    ("build", "product"),
    [(10240, "Windows 10"), (19045, "Windows 10"), (21999, "Windows 10"), (22000, "Windows 11")],
)
def test_windows_11_is_told_by_its_build(build: int, product: str) -> None:
    """Trap O1: the registry calls Windows 11 "Windows 10 Pro", so its first build decides."""
    registry = current(CurrentBuildNumber=str(build))
    found = system(registry, version=version_info(build=build))["product"]
    assert found.value == product
    assert found.source == f"RtlGetVersion build {build}, workstation"


@pytest.mark.parametrize(
    ("build", "name", "product"),
    [
        (26100, "Windows Server 2025 Standard", "Windows Server 2025"),
        (20348, "Windows Server 2022 Datacenter", "Windows Server 2022"),
        (9600, "Windows Server 2012 R2 Standard", "Windows Server 2012 R2"),
        (20348, "Azure Stack HCI", "Azure Stack HCI"),
        # A build may not be believed over a name, nor a name over a build.
        (26100, "Windows Server 2022 Standard", None),
        (20348, "Windows Server 2019 Standard", None),
        (17763, "Windows Server 2016 Standard", None),
        (14393, "Windows Server 2019 Standard", None),
        # The channels without a year share their builds with servers that have one.
        (17763, "Windows Server Datacenter", None),
        (26100, "Windows 10 Pro", None),
    ],
)
def test_a_server_is_never_windows_11(build: int, name: str, product: str | None) -> None:
    """Trap O2: Windows Server 2025 shares its build with Windows 11 24H2, and its product type tells."""
    registry = current(ProductName=name, CurrentBuildNumber=str(build), InstallationType="Server")
    for kind in (2, 3):  # domain controller, server
        found = system(registry, version=version_info(build=build, product=kind))
        assert found["product"].value == product


def test_enterprise_multi_session_is_a_client() -> None:
    """It calls itself a server by product type, and is none by its edition."""
    registry = current(EditionID="ServerRdsh", ProductName="Windows 10 Enterprise for Virtual Desktops")
    found = system(registry, version=version_info(product=3))
    assert found["product"].value == "Windows 11"
    assert found["edition"].value == "enterprise"


@pytest.mark.parametrize(
    ("registry", "version"),
    [
        (current(), version_info(build=19045)),
        (current(), version_info(6, 2, 9200)),
        (current(InstallationType="Server Core"), version_info()),
        (current(), version_info(product=3)),
        (current(), version_info(product=0)),
        (current(), version_info()[:200]),
        (current(), NO_ANSWER),
    ],
)
def test_a_contradiction_makes_the_version_unknown(registry: dict[str, Any], version: Any) -> None:
    """Trap O3: in compatibility mode a program is shown an older Windows than runs."""
    found = system(registry, version=version)
    for name in ("product", "version"):
        assert found[name].form is Form.UNKNOWN
        assert found[name].why
    assert found["edition_id"].value == "Professional"


def test_a_product_name_of_a_server_on_a_workstation_is_not_believed() -> None:
    """Neither source is taken over the other."""
    found = system(current(ProductName="Windows Server 2025 Standard"))
    assert found["product"].form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("numbers", "product"),
    [
        ((6, 1, 7601), "Windows 7"),
        ((6, 2, 9200), "Windows 8"),
        ((6, 3, 9600), "Windows 8.1"),
        ((11, 0, 30000), None),
        ((10, 0, 9926), None),
    ],
)
def test_other_windows_is_told_by_its_version(numbers: tuple[int, int, int], product: str | None) -> None:
    """Older ones have a version of their own; one that is newer, or a preview, is not guessed at."""
    registry = current(CurrentBuildNumber=str(numbers[2]))
    assert system(registry, version=version_info(*numbers))["product"].value == product


@pytest.mark.parametrize("revision", [None, DENIED, "2894", -1])
def test_without_the_update_revision_the_version_is_shorter(revision: Any) -> None:
    """The fourth part is left out, never made 0, and the source says so."""
    found = system(current(UBR=revision))["version"]
    assert found.value == "10.0.26100"
    assert "revision is not known" in found.source


def test_a_first_release_has_the_revision_zero() -> None:
    """The update revision of a Windows never updated is 0, which is a value."""
    assert system(current(UBR=0))["version"].value == "10.0.26100.0"


# -- edition


@pytest.mark.parametrize(
    ("identifier", "edition"),
    # Identifiers of the registry's EditionID, from memory.
    [
        ("Core", "home"),
        ("CoreN", "home"),
        ("CoreSingleLanguage", "home-single-language"),
        ("Cloud", "s-mode"),
        ("Professional", "pro"),
        ("ProfessionalN", "pro"),
        ("ProfessionalWorkstationN", "pro-workstation"),
        ("ProfessionalEducation", "pro-education"),
        ("Education", "education"),
        ("EnterpriseEval", "enterprise"),
        ("EnterpriseS", "enterprise"),
        ("EnterpriseSNEval", "enterprise"),
        ("IoTEnterprise", "iot-enterprise"),
        ("IoTEnterpriseSK", "iot-enterprise"),
        ("ServerStandard", "server"),
        ("ServerDatacenterEvalCor", "server"),
        ("ServerStandardACor", "server"),
        ("ServerTurbineCor", "server"),
        ("CloudEdition", None),
        ("EnterpriseG", None),
        ("PPIPro", None),
        ("Pro", None),
    ],
)
def test_an_edition_is_named_by_its_identifier(identifier: str, edition: str | None) -> None:
    """Variants without media programs, evaluations and servers without a desktop are of their edition."""
    found = system(current(EditionID=identifier))
    assert found["edition_id"].value == identifier
    assert found["edition"].value == edition
    assert edition or identifier in found["edition"].why


@pytest.mark.parametrize(
    ("policy", "edition"),
    [({}, "pro"), ({"SkuPolicyRequired": 0}, "pro"), ({"SkuPolicyRequired": 1}, "s-mode")],
)
def test_s_mode_is_seen(policy: dict[str, int], edition: str) -> None:
    """An edition in S mode runs only programs of the store, whatever it is called."""
    assert system({CI_POLICY: policy})["edition"].value == edition


def test_whether_it_is_s_mode_may_be_unknown() -> None:
    """A policy that may not be read is not taken for none."""
    assert system({CI_POLICY: DENIED})["edition"].form is Form.UNKNOWN


@pytest.mark.parametrize("identifier", [None, "", DENIED, 4])
def test_without_an_identifier_the_edition_is_unknown(identifier: Any) -> None:
    """Nothing else names the edition."""
    found = system(current(EditionID=identifier))
    assert found["edition_id"].form is Form.UNKNOWN
    assert found["edition"].form is Form.UNKNOWN
    assert found["edition"].why


# -- architecture


@pytest.mark.parametrize(
    ("answers", "word"),
    [
        ({"machines": (0, 0x8664)}, "x86_64"),
        ({"machines": (0x14C, 0x8664), "native_architecture": 0}, "x86_64"),
        ({"machines": (0, 0xAA64), "native_architecture": 9}, "arm64"),
        ({"machines": (0x14C, 0xAA64), "native_architecture": 0}, "arm64"),
        ({"machines": (0, 0x14C)}, "x86"),
        ({"machines": (0, 0x7777)}, None),
        ({"machines": NO_ANSWER, "native_architecture": 12}, "arm64"),
        ({"machines": NO_ANSWER, "native_architecture": 9}, "x86_64"),
        ({"machines": NO_ANSWER, "native_architecture": 0xFFFF}, None),
        ({"machines": NO_ANSWER, "native_architecture": NO_ANSWER}, None),
    ],
)
def test_the_machine_is_seen_through_emulation(answers: dict[str, Any], word: str | None) -> None:
    """Trap O6: what a program is shown under emulation is not the machine."""
    assert system(**answers)["machine"].value == word


# -- language


def test_language_and_formats_are_the_users() -> None:
    """Language is ISO 639, the locale Windows's name, the separator the user's own."""
    found = system()
    assert tuple(found[name].value for name in LANGUAGE) == ("de", "de-DE", ",")


def test_a_language_of_three_letters_is_one() -> None:
    """ISO 639 has codes of three letters, where there is none of two."""
    assert system(user_languages=["fil-PH"])["language"].value == "fil"


def test_what_services_have_stands_beside() -> None:
    """Services and new accounts have formats of their own, named where they differ."""
    found = system({FORMATS: {"sDecimal": ".", "LocaleName": "en-US"}})
    assert (found["decimal_separator"].value, found["locale"].value) == (",", "de-DE")
    assert "services have ." in found["decimal_separator"].source
    assert "services have en-US" in found["locale"].source
    same = system({FORMATS: {"sDecimal": ",", "LocaleName": "de-DE"}})
    assert "services" not in same["decimal_separator"].source + same["locale"].source


def test_the_systems_language_stands_beside() -> None:
    """The language before anybody signs in is named where it is another."""
    assert "en-US" in system(system_languages=["en-US"])["language"].source
    assert system(system_languages=NO_ANSWER)["language"].value == "de"


@pytest.mark.parametrize(
    ("environ", "answers", "word"),
    [
        ({}, {"account": r"LAB-PC\admin"}, "run it as that user"),
        ({}, {"account": r"EXAMPLE\anna"}, "run it as that user"),
        ({}, {"session_account": "", "account": r"EXAMPLE\LAB-PC$"}, "nobody is signed in"),
        ({}, {"session_account": NO_ANSWER}, str(NO_ANSWER)),
        ({}, {"account": NO_ANSWER}, str(NO_ANSWER)),
    ],
)
def test_another_accounts_formats_are_not_the_users(
    environ: dict[str, str], answers: dict[str, Any], word: str
) -> None:
    """Trap P11: started as administrator under another account, its settings are not who works here."""
    found = system(environ=environ, **answers)
    for name in LANGUAGE:
        assert found[name].form is Form.UNKNOWN
        assert word in found[name].why


@pytest.mark.parametrize(
    ("environ", "answers"),
    [
        ({}, {"session_account": r"lab-pc\ANNA"}),
        ({}, {"session_account": r"MicrosoftAccount\anna"}),
        ({"SSH_CONNECTION": "192.0.2.7 50100 192.0.2.9 22"}, {"session_account": ""}),
    ],
)
def test_the_same_account_is_known_again(environ: dict[str, str], answers: dict[str, Any]) -> None:
    """Names are compared without regard to case, and over SSH the account is its own."""
    assert system(environ=environ, **answers)["decimal_separator"].value == ","


@pytest.mark.parametrize(
    ("name", "call", "answer"),
    [
        ("language", "user_languages", []),
        ("language", "user_languages", ["12-X"]),
        ("language", "user_languages", NO_ANSWER),
        ("locale", "locale_name", ""),
        ("locale", "locale_name", NO_ANSWER),
        ("decimal_separator", "decimal_separator", ""),
        ("decimal_separator", "decimal_separator", DENIED),
    ],
)
def test_a_missing_answer_costs_its_own_reading(name: str, call: str, answer: Any) -> None:
    """What one call does not answer leaves the others standing."""
    answers: dict[str, Any] = {call: answer}
    found = system(**answers)
    assert found[name].form is Form.UNKNOWN
    assert found[name].why
    assert all(found[other].form is Form.KNOWN for other in LANGUAGE if other != name)


# -- clock


def test_the_zone_has_windows_own_name() -> None:
    """Trap T6: the name of the zone's key is the same in every language of Windows."""
    assert system()["time_zone"].value == "W. Europe Standard Time"
    # tzutil(.exe) /g writes it so where daylight saving is switched off: the clock is wrong in summer.
    off = system(time_zone=zone_info(daylight_off=True))
    assert off["time_zone"].value == "W. Europe Standard Time_dstoff"


@pytest.mark.parametrize("answer", [zone_info(""), zone_info()[:300], NO_ANSWER])
def test_a_zone_that_is_not_named_is_unknown(answer: Any) -> None:
    """Neither an empty name nor half a structure is a zone."""
    assert system(time_zone=answer)["time_zone"].form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("registry", "word"),
    [
        ({f"{TIME}\\Parameters": {"Type": "NTP", "NtpServer": "time.example.org,0x9"}}, "time.example.org ("),
        ({f"{TIME}\\Parameters": {"Type": "NT5DS"}}, "its domain"),
        ({f"{TIME}\\Parameters": {"Type": "NTP"}}, "w32tm /query /status"),
        ({f"{TIME}\\Parameters": {"Type": "NoSync"}}, "told not to set the clock"),
        ({TIME: {"Start": 4}, f"{TIME}\\Parameters": {"Type": "NTP"}}, "switched off"),
        ({}, "not set up"),
    ],
)
def test_a_time_service_that_is_set_up_proves_nothing(registry: dict[str, Any], word: str) -> None:
    """Trap P9: it may run and have set nothing, or be stopped and have; another program may do it too."""
    found = system(registry)
    for name in ("clock_synchronised", "clock_synchronised_at"):
        assert found[name].form is Form.UNKNOWN
        assert word in found[name].why


# -- restarts


def test_nothing_waits_where_there_is_no_mark() -> None:
    """A PC without any mark waits for nothing, and the source says where was looked."""
    found = system()["restart_pending"]
    assert found.value is False
    assert "Windows Update" in found.source


@pytest.mark.parametrize(
    ("registry", "word"),
    [
        ({rf"{SETUP}\Component Based Servicing\RebootPending": {}}, "own components"),
        ({rf"{SETUP}\Component Based Servicing\RebootInProgress": {}}, "own components"),
        ({rf"{SETUP}\WindowsUpdate\Auto Update\RebootRequired\0815": {}}, "Windows Update"),
        ({MANAGER: {"PendingFileRenameOperations": ["", r"\??\C:\old.dll", ""]}}, r"C:\old.dll"),
        ({MANAGER: {"PendingFileRenameOperations2": [r"\??\C:\old.dll", ""]}}, "Operations2"),
        (
            {
                rf"{CONTROL}\ComputerName\ActiveComputerName": {"ComputerName": "LAB-PC"},
                rf"{CONTROL}\ComputerName\ComputerName": {"ComputerName": "GC-PC"},
            },
            "GC-PC instead of LAB-PC",
        ),
        ({rf"{SERVICES}\Netlogon\JoinDomain": {}}, "joining a domain"),
        ({rf"{SERVICES}\Netlogon": {"JoinDomain": "x"}}, "joining a domain"),
        ({rf"{SERVICES}\Netlogon": {"AvoidSpnSet": 1}}, "AvoidSpnSet"),
        # A name beyond 15 characters, whose first 15 stay as they were.
        (
            {
                rf"{SERVICES}\Tcpip\Parameters": {
                    "Hostname": "labpc-longname-1",
                    "NV Hostname": "labpc-longname-2",
                }
            },
            "labpc-longname-2 instead of labpc-longname-1",
        ),
        ({rf"{SETUP}\Component Based Servicing\PackagesPending": {}}, "own components"),
        ({rf"{SETUP}\Component Based Servicing\SessionsPending": {"Exclusive": 3}}, "Exclusive 3"),
        ({rf"{SETUP}\WindowsUpdate\Auto Update\PostRebootReporting": {}}, "Windows Update"),
        ({rf"{SETUP}\WindowsUpdate\Services\Pending\0815": {}}, "0815"),
        ({r"HKLM\SOFTWARE\Microsoft\Updates": {"UpdateExeVolatile": 1}}, "UpdateExeVolatile 1"),
        ({r"HKLM\SOFTWARE\Microsoft\Updates\UpdateExeVolatile": {"Flags": 3}}, "Flags 3"),
        ({rf"{SETUP}\RunOnce": {"DVDRebootSignal": "x"}}, "DVDRebootSignal"),
        ({REBOOT_DATA: {}}, "Configuration Manager"),
    ],
)
def test_whatever_waits_is_named(registry: dict[str, Any], word: str) -> None:
    """Each mark by itself means a restart waits, whatever else may not be read."""
    first, last = rf"{SETUP}\Component Based Servicing\RebootPending", rf"{SERVICES}\Netlogon\AvoidSpnSet"
    for more in ({}, {first: DENIED, last: DENIED}):
        found = system({**more, **registry})["restart_pending"]
        assert found.value is True
        assert word in found.source


@pytest.mark.parametrize(
    "registry",
    [
        {MANAGER: {"PendingFileRenameOperations": []}},
        {MANAGER: {"PendingFileRenameOperations": ["", ""]}},
        {MANAGER: {"PendingFileRenameOperations": ""}},
        {rf"{SETUP}\WindowsUpdate\Auto Update": {"RebootRequiredCount": 1}},
        {rf"{SETUP}\WindowsUpdate\Services\Pending": {}},
        {rf"{SETUP}\Component Based Servicing\SessionsPending": {"Exclusive": 0}},
        {r"HKLM\SOFTWARE\Microsoft\Updates": {"UpdateExeVolatile": 0}},
        {rf"{SERVICES}\Tcpip\Parameters": {"Hostname": "lab-pc", "NV Hostname": "LAB-PC"}},
        {
            rf"{CONTROL}\ComputerName\ActiveComputerName": {"ComputerName": "LAB-PC"},
            rf"{CONTROL}\ComputerName\ComputerName": {"ComputerName": "lab-pc"},
        },
    ],
)
def test_an_empty_mark_is_none(registry: dict[str, Any]) -> None:
    """An empty list of files and a name that differs in case wait for nothing."""
    assert system(registry)["restart_pending"].value is False


@pytest.mark.parametrize(
    "registry",
    [
        {MANAGER: {"PendingFileRenameOperations": "x"}},
        {MANAGER: {"PendingFileRenameOperations2": 0}},
        {rf"{SETUP}\Component Based Servicing\SessionsPending": {"Exclusive": "0"}},
        {rf"{SERVICES}\Tcpip\Parameters": {"Hostname": "lab-pc", "NV Hostname": 7}},
    ],
)
def test_a_mark_of_another_type_is_not_taken_for_none(registry: dict[str, Any]) -> None:
    """Something stands there, and what it means is not guessed at."""
    found = system(registry)["restart_pending"]
    assert found.form is Form.UNKNOWN
    assert "restart the PC" in found.why


@pytest.mark.parametrize("error", [DENIED, OSError(1, "registry is being repaired")])
@pytest.mark.parametrize(
    "registry",
    [
        rf"{SETUP}\WindowsUpdate\Auto Update\RebootRequired",
        MANAGER,
        rf"{SERVICES}\Netlogon\JoinDomain",
        rf"{CONTROL}\ComputerName\ActiveComputerName",
    ],
)
def test_a_mark_that_may_not_be_read_is_not_taken_for_none(registry: str, error: OSError) -> None:
    """Denied is not absent."""
    found = system({registry: error})["restart_pending"]
    assert found.form is Form.UNKNOWN
    assert found.why


@pytest.mark.parametrize(
    ("registry", "value"),
    [
        ({}, True),
        ({AUTOMATIC: {"NoAutoUpdate": 0}}, True),
        ({AUTOMATIC: {"NoAutoUpdate": 1}}, False),
        ({AUTOMATIC: {"AUOptions": 4}}, True),
        ({AUTOMATIC: {"AUOptions": 4, "NoAutoRebootWithLoggedOnUsers": 1}}, False),
        ({AUTOMATIC: {"AUOptions": 4, "NoAutoRebootWithLoggedOnUsers": 0}}, True),
        # The policy's own text: it applies only to installations on a schedule.
        ({AUTOMATIC: {"NoAutoRebootWithLoggedOnUsers": 1}}, None),
        ({AUTOMATIC: {"AUOptions": 3, "NoAutoRebootWithLoggedOnUsers": 1}}, None),
        ({AUTOMATIC: {"AUOptions": 2}}, None),
        ({AUTOMATIC: {"AUOptions": 3}}, None),
        ({AUTOMATIC: {"AUOptions": 7}}, False),
        ({POLICIES: {"SetComplianceDeadline": 1}, AUTOMATIC: {"AUOptions": 7}}, True),
        ({POLICIES: {"SetComplianceDeadlineForFU": 1}, AUTOMATIC: {"AUOptions": 7}}, True),
        # The policy's own text: a deadline overrides "Configure Automatic Updates".
        ({POLICIES: {"SetComplianceDeadline": 1}, AUTOMATIC: {"NoAutoUpdate": 1}}, True),
        ({MANAGED: {"ConfigureDeadlineForQualityUpdates": 2, "ConfigureDeadlineNoAutoReboot": 0}}, True),
        ({MANAGED: {"ConfigureDeadlineForFeatureUpdates": 0, "ConfigureDeadlineNoAutoReboot": 1}}, True),
        (
            {
                MANAGED: {"ConfigureDeadlineForQualityUpdates": 2},
                AUTOMATIC: {"AUOptions": 4, "NoAutoRebootWithLoggedOnUsers": 1},
            },
            True,
        ),
        (
            {MANAGED: {"ConfigureDeadlineForQualityUpdates": "2"}, AUTOMATIC: {"AUOptions": 7}},
            None,
        ),
        ({MANAGED: {"ConfigureDeadlineNoAutoReboot": 1}, AUTOMATIC: {"AUOptions": 7}}, False),
        ({MANAGED: {"AllowAutoUpdate": 5}}, False),
        ({MANAGED: {"AllowAutoUpdate": 2}}, True),
        ({MANAGED: {"AllowAutoUpdate": 0}}, None),
        ({rf"{SERVICES}\wuauserv": {"Start": 4}}, None),
        ({rf"{SERVICES}\wuauserv": {"Start": 3}}, True),
        (current(InstallationType="Server Core"), None),
        ({AUTOMATIC: DENIED}, None),
        ({POLICIES: DENIED, AUTOMATIC: {"AUOptions": 7}}, None),
        ({AUTOMATIC: {"NoAutoUpdate": "1"}}, None),
    ],
)
def test_updates_may_restart_unless_a_policy_forbids_it(registry: dict[str, Any], value: bool | None) -> None:
    """Microsoft, "Manage device restarts after updates": what no policy rules out may happen."""
    found = system(registry)["update_restarts"]
    assert found.value is value
    assert found.source or found.why


def test_a_container_has_no_restarts_of_its_own() -> None:
    """Trap C3: inside a Windows container neither reading is the PC's."""
    found = system({CONTROL: {"ContainerType": 2}})
    for name in ("restart_pending", "update_restarts"):
        assert "container" in found[name].why


# -- domain


@pytest.mark.parametrize(
    ("answers", "domain"),
    [
        ({"joined": (3, "EXAMPLE"), "domain_dns_name": "example.org"}, "example.org"),
        ({"joined": (3, "EXAMPLE"), "domain_dns_name": NO_ANSWER}, "EXAMPLE"),
        ({"joined": (3, ""), "domain_dns_name": NO_ANSWER}, None),
        ({"joined": (2, "WORKGROUP"), "tenant": (1, "Example Institute")}, "Example Institute"),
        ({"joined": (1, ""), "tenant": (1, "")}, None),
        ({"joined": (0, "")}, None),
        ({"joined": NO_ANSWER}, None),
        ({"tenant": DENIED}, None),
    ],
)
def test_a_domain_is_named_as_far_as_windows_names_it(answers: dict[str, Any], domain: str | None) -> None:
    """By its DNS name, else its short one; a tenant by its own; else why it is not known."""
    found = system(**answers)["domain"]
    assert found.value == domain
    assert found.form is not Form.ABSENT
    assert domain or found.why


@pytest.mark.parametrize(
    "answers",
    [
        {},
        {"joined": (1, "")},
        # An account at work that was added joins nothing.
        {"tenant": (2, "Example Institute")},
        # Windows before 10 1607 has no such call, and cannot be joined so.
        {"tenant": NO_ANSWER},
    ],
)
def test_a_pc_of_a_workgroup_is_joined_to_nothing(answers: dict[str, Any]) -> None:
    """Absent is said only where Windows says so of domains and of tenants."""
    assert system(**answers)["domain"].form is Form.ABSENT


# -- together


def test_what_follows_from_a_pc_is_known() -> None:
    """Release and end of support follow from the readings as the knowledge expects them."""
    knowledge = tables(["os"]).os
    assert knowledge
    registry = current(
        ProductName="Windows 10 Enterprise LTSC 2021",
        CurrentBuildNumber="19044",
        EditionID="IoTEnterpriseS",
        UBR=5247,
    )
    found = readings(os_info, pc(registry, version=version_info(build=19044)))
    assert feature_release(found.__getitem__, knowledge).value == "21H2"
    # Microsoft lifecycle, Windows 10 IoT Enterprise LTSC 2021.
    assert support_ends(found.__getitem__, knowledge).value == date(2032, 1, 13).isoformat()
