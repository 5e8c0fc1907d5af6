"""Session, computer, operating system, processor, memory and software."""

from __future__ import annotations

import tomllib

import pytest

from pcaudit.core.cpu_names import read as read_table
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.snapshot import Form
from pcaudit.files import knowledge_file
from pcaudit.probes.macos.software import services
from pcaudit.probes.macos.tools import ToolError
from tests.macos import macs
from tests.macos.recorded import DENIED, Mac, plist, read, snapshot

_UPDATES = "/Library/Preferences/com.apple.SoftwareUpdate.plist"
_MANAGED = "/Library/Managed Preferences/com.apple.SoftwareUpdate.plist"


def _kernel(mac: Mac, old: str, new: str) -> Mac:
    text = mac.commands["sysctl"]
    assert isinstance(text, str)
    assert old in text
    return mac.saying({"sysctl": text.replace(old, new)})


# ---------------------------------------------------------------- operating system


@pytest.mark.parametrize("version", ["10.16", "16.0", "16"])
def test_a_version_told_to_old_programs_is_none(version: str) -> None:
    """Trap O5: neither 10.16 nor 16 is a macOS. CPython issue 135675."""
    mac = _kernel(macs.DESKTOP, "osproductversion: 15.5", f"osproductversion: {version}")
    mac = mac.saying({"sw_vers": f"ProductName: macOS\nProductVersion: {version}\n"})
    assert read(mac, "os.version").form is Form.UNKNOWN


def test_two_versions_are_none() -> None:
    """Where kernel and sw_vers differ, neither is believed."""
    mac = macs.DESKTOP.saying({"sw_vers": "ProductName:\tmacOS\nProductVersion:\t15.4\n"})
    assert read(mac, "os.version").form is Form.UNKNOWN


@pytest.mark.parametrize("sign", ["hw.optional.arm64: 1\n", "sysctl.proc_translated: 1\n"])
def test_each_sign_of_apple_silicon_is_enough(sign: str) -> None:
    """What is translated cannot hide either sign, and without any the machine is an Intel one."""
    said = "hw.machine: x86_64\n"
    assert read(macs.DESKTOP.saying({"sysctl": said + sign}), "os.machine").value == "arm64"
    assert read(macs.DESKTOP.saying({"sysctl": said}), "os.machine").value == "x86_64"


def test_rosetta_does_not_hide_the_machine() -> None:
    """Trap O6: a translated program is told of an Intel machine and of a processor VirtualApple."""
    mac = _kernel(macs.DESKTOP, "hw.machine: arm64", "hw.machine: x86_64")
    mac = _kernel(mac, "string: Apple M4", "string: VirtualApple @ 2.50GHz")
    mac = _kernel(mac, "proc_translated: 0", "proc_translated: 1")
    assert read(mac, "os.machine").value == "arm64"
    assert read(mac, "cpu.model").value == "Apple M4"
    assert read(mac, "cpu.base_clock").form is Form.UNKNOWN
    assert "avx2" not in read(mac, "cpu.features").value


@pytest.mark.parametrize(
    ("own", "managed", "enrolment", "expected"),
    [
        ((False, False), None, "MDM enrollment: No\n", False),
        ((True, False), None, "MDM enrollment: No\n", True),
        ((False, True), None, "MDM enrollment: No\n", None),
        ((False, None), None, "MDM enrollment: No\n", None),
        ((None, False), None, "MDM enrollment: No\n", None),
        ((False, False), (True, False), "MDM enrollment: No\n", True),
        ((False, False), None, "MDM enrollment: Yes (User Approved)\n", None),
        ((False, False), None, "", None),
    ],
)
def test_updates_restart_unless_all_says_no(
    own: tuple[bool | None, bool | None],
    managed: tuple[bool | None, bool | None] | None,
    enrolment: str,
    expected: bool | None,
) -> None:
    """Managed settings go first, and false needs both switches off and nobody who could enforce updates."""
    names = ("AutomaticallyInstallMacOSUpdates", "CriticalUpdateInstall")
    files = {}
    for file, values in ((_UPDATES, own), (_MANAGED, managed)):
        if values:
            given = {name: value for name, value in zip(names, values, strict=True) if value is not None}
            files[file] = plist(given)
    mac = macs.DESKTOP.holding(files).saying({"profiles status -type enrollment": enrolment})
    assert read(mac, "os.update_restarts").value is expected


def test_managed_settings_that_may_not_be_read_decide_nothing() -> None:
    """The settings made here are not those in force where device management's are hidden."""
    assert read(macs.DESKTOP.holding({_MANAGED: DENIED}), "os.update_restarts").form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("search", "shown", "form", "value"),
    [
        ("CSPSearchPath: /Local/Default\n", "", Form.ABSENT, None),
        ("CSPSearchPath:\n /Local/Default\n /BSD/local\n", "", Form.ABSENT, None),
        (
            "CSPSearchPath:\n /Local/Default\n /Active Directory/LAB/All Domains\n",
            "Active Directory Forest = lab.example\nActive Directory Domain          = lab.example\n",
            Form.KNOWN,
            "lab.example",
        ),
        ("CSPSearchPath:\n /Local/Default\n /Active Directory/LAB/All Domains\n", "", Form.UNKNOWN, None),
        ("CSPSearchPath:\n /Local/Default\n /LDAPv3/ldap.example\n", "", Form.UNKNOWN, None),
        ("", "", Form.UNKNOWN, None),
    ],
)
def test_the_domain_is_that_of_the_search_path(
    search: str, shown: str, form: Form, value: str | None
) -> None:
    """Absent only where accounts come from this Mac alone. Texts: outputs others recorded."""
    mac = macs.DESKTOP.saying({"dscl /Search -read / CSPSearchPath": search, "dsconfigad -show": shown})
    seen = read(mac, "os.domain")
    assert (seen.form, seen.value) == (form, value)


@pytest.mark.parametrize(
    "changes", [{"uid": 0, "user": "root"}, {"uid": 0, "user": "root", "console": "root"}, {"user": "robin"}]
)
def test_language_is_that_of_who_works_here(changes: dict[str, object]) -> None:
    """Trap P11: run as another account, nothing is said of the formats of who is signed in."""
    mac = macs.DESKTOP._replace(**changes)  # type: ignore[arg-type]
    for name in ("os.language", "os.locale", "os.decimal_separator"):
        assert read(mac, name).form is Form.UNKNOWN, name


@pytest.mark.parametrize("printed", ["", "\n", "1\n", "undefined\n", " \n"])
def test_a_separator_is_one_sign(printed: str) -> None:
    """Neither an error's text nor a digit nor a space is a decimal separator."""
    assert read(macs.DESKTOP.saying({"osascript": printed}), "os.decimal_separator").form is Form.UNKNOWN


def test_two_separators_are_none() -> None:
    """A number format chosen by hand that the running formats contradict is not believed."""
    assert read(macs.NOTEBOOK.saying({"osascript": ".\n"}), "os.decimal_separator").form is Form.UNKNOWN


# ---------------------------------------------------------------- session and computer


def test_sudo_at_the_console_is_at_the_console() -> None:
    """Who became administrator by sudo still sits there."""
    mac = macs.DESKTOP._replace(uid=0, user="root", environ={"SUDO_USER": "alex"})
    assert read(mac, "session.remote").value is False
    assert read(mac, "session.elevated").value is True


def test_an_administrator_where_nobody_sits_is_not_at_the_console() -> None:
    """While nobody is signed in the console belongs to root, which makes root nobody's neighbour."""
    mac = macs.DESKTOP._replace(uid=0, user="root", console="root")
    assert read(mac, "session.remote").value is True
    assert "nobody is signed in" in read(mac, "session.remote").source


def test_a_model_without_a_known_form_has_no_chassis() -> None:
    """A product name this version does not know names no form."""
    entry = {"machine_name": "Mac Bench"}
    answer = {"system_profiler -json SPHardwareDataType": macs.profile("SPHardwareDataType", [entry])}
    assert read(macs.DESKTOP.saying(answer), "computer.chassis").form is Form.UNKNOWN


def test_a_hypervisor_needs_no_name_to_be_seen() -> None:
    """The kernel's own word, or the processor's, is enough."""
    assert read(_kernel(macs.NOTEBOOK, "present: 0", "present: 1"), "computer.virtual").value is True
    assert read(_kernel(macs.NOTEBOOK, " DSCPL VMX ", " DSCPL VMM "), "computer.virtual").value is True
    assert read(_kernel(macs.GUEST, "kern.hv_vmm_present: 1\n", ""), "computer.virtual").value is True
    silent = _kernel(macs.NOTEBOOK, "kern.hv_vmm_present: 0\n", "")
    assert read(silent, "computer.virtual").form is Form.UNKNOWN


# ---------------------------------------------------------------- processor and memory


def test_apple_silicon_has_series_and_generation() -> None:
    """The table of processor names knows Apple's, as sysctl gives them."""
    table = read_table(tomllib.loads(knowledge_file("cpu.toml").decode()))
    readings = Readings(snapshot(macs.DESKTOP), Knowledge(cpu=table))
    assert (readings.get("cpu.series").value, readings.get("cpu.generation").value) == ("apple m", 4)


def test_more_cores_than_threads_are_a_misreading() -> None:
    """A count that cannot be is unknown."""
    mac = _kernel(macs.NOTEBOOK, "hw.physicalcpu: 6", "hw.physicalcpu: 64")
    assert read(mac, "cpu.cores").form is Form.UNKNOWN


def test_a_boost_is_not_seen() -> None:
    """The clock in the model string is a lower bound of the highest clock."""
    seen = read(macs.NOTEBOOK, "cpu.max_clock")
    assert (seen.form, seen.value) == (Form.AT_LEAST, 2600000000)


def test_half_the_features_are_none() -> None:
    """Without the features of the extended leaf nothing is said of any level."""
    text = macs.NOTEBOOK.commands["sysctl"]
    assert isinstance(text, str)
    mac = macs.NOTEBOOK.saying({"sysctl": text.partition("machdep.cpu.extfeatures")[0]})
    assert read(mac, "cpu.features").form is Form.UNKNOWN


def test_kernel_values_of_a_utility_that_failed_late_still_count() -> None:
    """The utility ends without success where one name is refused; the lines it wrote stand for themselves."""
    mac = macs.DESKTOP.saying({"sysctl": ToolError("failed (status 1)", b"hw.memsize: 17179869184\n")})
    assert read(mac, "memory.installed").value == 17179869184
    assert read(mac, "memory.usable").form is Form.UNKNOWN


def test_slots_are_counted_where_modules_can_be_changed() -> None:
    """Filled and empty slots of a Mac whose memory is upgradeable."""
    bank = {"dimm_size": "8 GB", "dimm_speed": "2667 MHz", "dimm_type": "DDR4"}
    banks = [bank, {"dimm_size": "empty", "dimm_status": "empty"}, bank, {"dimm_size": "empty"}]
    entry = {"_items": banks, "is_memory_upgradeable": "Yes", "global_ecc_state": "ecc_enabled"}
    answer = {"system_profiler -json SPMemoryDataType": macs.profile("SPMemoryDataType", [entry])}
    mac = macs.NOTEBOOK.saying(answer)
    assert (read(mac, "memory.slots").value, read(mac, "memory.slots_free").value) == (4, 2)
    assert read(mac, "memory.modules").value == [{"size": 8 << 30, "speed": 2667, "type": "DDR4"}] * 2
    assert read(mac, "memory.ecc").value is True


# ---------------------------------------------------------------- software


def test_programs_are_those_that_describe_themselves() -> None:
    """Bundles in the folders and one folder below; what is left of a deleted one is named, not listed."""
    seen = read(macs.DESKTOP, "software.packages")
    assert [(program["name"], program["version"]) for program in seen.value] == [
        ("Acquire", "4.2.1"),
        ("Plot", None),
        ("Notes", "4.12"),
    ]
    assert not seen.complete
    assert "/Applications/Gone.app" in seen.why


def test_runtimes_are_found_in_their_makers_places() -> None:
    """Java, Python and .NET, each with its whole version, and never as a complete list."""
    seen = read(macs.DESKTOP, "software.runtimes")
    assert seen.value == [
        {"name": "Java", "version": "21.0.7"},
        {"name": "Python", "version": "3.13.5"},
        {"name": ".NET", "version": "8.0.17"},
    ]
    assert not seen.complete


def test_services_are_those_of_the_system_domain() -> None:
    """Services with a process run; lines of other blocks are none."""
    assert read(macs.DESKTOP, "software.services").value == [
        {"name": "com.apple.idle", "state": "stopped"},
        {"name": "com.apple.mDNSResponder", "state": "running"},
    ]
    block = "services = {\n  7  -  com.apple.one\n}\nothers = {\n  8  -  com.apple.two\n}\n"
    assert services(block) == [{"name": "com.apple.one", "state": "running"}]
    assert services("PID\tStatus\tLabel\n-\t0\tcom.apple.idle\n") is None


def test_only_xprotect_is_recognised() -> None:
    """The list of antivirus products never claims to be whole."""
    assert read(macs.DESKTOP, "software.antivirus").value == [{"name": "XProtect"}]
    assert not read(macs.NOTEBOOK, "software.antivirus").complete
