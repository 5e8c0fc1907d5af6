"""Power settings of Linux hosts."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.units import NEVER
from pcaudit.probes.decode import ini
from pcaudit.probes.linux import logind, power
from tests.probes.hosts import DENIED, Entry, Link, MemoryTree, host

_PLAIN: dict[str, Entry] = {
    "/proc/self/ns/pid": Link("pid:[4026531836]"),
    "/sys/power/state": "freeze mem disk",
    "/sys/class/power_supply/": "",
    "/run/systemd/system/": "",
    "/sys/bus/acpi/devices/PNP0A08:00/status": "15",
    "/sys/module/kernel/parameters/consoleblank": "0",
}
_LID: dict[str, Entry] = {"/sys/bus/acpi/devices/PNP0C0D:00/status": "15"}
_MASKED: dict[str, Entry] = {"/etc/systemd/system/sleep.target": Link("/dev/null")}
_DESKTOP = {"/usr/share/wayland-sessions/example.desktop": "[Desktop Entry]"}


def probe(*files: Mapping[str, Entry], without: str = "") -> dict[str, Observation]:
    """Every reading of the group, on a PC with systemd and without a desktop, with ``files`` added."""
    tree = {name: entry for name, entry in _PLAIN.items() if name != without}
    for more in files:
        tree.update(more)
    (each,) = power.probes(host(tree))
    seen = dict(each.take())
    assert set(seen) == set(each.reads)
    assert all(given.why for given in seen.values() if given.form in {Form.UNKNOWN, Form.ABSENT})
    return seen


def supply(name: str, **files: str) -> dict[str, Entry]:
    """A battery or a mains adapter."""
    return {f"/sys/class/power_supply/{name}/{key}": value for key, value in files.items()}


_BATTERY = supply("BAT0", type="Battery", status="Discharging")


@pytest.mark.parametrize(
    ("files", "source"),
    [
        ({}, "mains"),
        (_BATTERY, "battery"),
        ({**_BATTERY, **supply("AC", type="Mains", online="1")}, "mains"),
        ({**_BATTERY, **supply("AC", type="Mains", online="0")}, "battery"),
        ({**_BATTERY, **supply("ucsi", type="USB", online="1")}, "mains"),
        (supply("BAT0", type="Battery", status="Charging"), "mains"),
        (supply("BAT0", type="Battery", status="Unknown"), None),
        (supply("hid", type="Battery", status="Discharging", scope="Device"), "mains"),
        ({"/sys/class/dmi/id/chassis_type": "10"}, None),  # a notebook that shows no battery
    ],
)
def test_power_source(files: Mapping[str, Entry], source: str | None) -> None:
    """A PC without a battery runs on mains; with one, its state or the adapter's decides."""
    assert probe(files)["power.source"].value == source


def test_power_source_without_a_class_is_unknown() -> None:
    """A kernel that does not watch the supply says nothing of it."""
    seen = probe(without="/sys/class/power_supply/")
    assert seen["power.source"].form is Form.UNKNOWN
    assert seen["power.sleep_after_battery"].form is Form.UNKNOWN


@pytest.mark.parametrize(
    "files",
    [
        {"/sys/power/state": "disk"},
        {"/sys/power/state": ""},
        {"/etc/systemd/system/sleep.target": Link("/dev/null")},
        {"/etc/systemd/system/sleep.target": ""},
        {
            f"/etc/systemd/system/{unit}.target": Link("/dev/null")
            for unit in ("suspend", "hybrid-sleep", "suspend-then-hibernate")
        },
        {"/etc/systemd/sleep.conf": "[Sleep]\nAllowSuspend=no\n"},
    ],
)
def test_sleep_is_proved_never(files: Mapping[str, Entry]) -> None:
    """Where kernel or systemd rule sleep out, it never comes, whatever a desktop asks."""
    assert probe(_DESKTOP, files)["power.sleep_after"].value == NEVER


@pytest.mark.parametrize(
    "files",
    [
        {},
        {"/etc/systemd/system/suspend.target": Link("/dev/null")},  # hybrid sleep is still open
        {"/etc/systemd/system/sleep.target": Link("/usr/lib/systemd/system/sleep.target")},
        {"/etc/systemd/sleep.conf": "[Sleep]\nAllowSuspend=no\nAllowHybridSleep=yes\n"},
        {"/etc/systemd/logind.conf": "[Login]\nIdleAction=ignore\n"},
    ],
)
def test_sleep_with_a_desktop_is_unknown(files: Mapping[str, Entry]) -> None:
    """Where sleep is possible and a desktop is installed, its user's setting decides."""
    seen = probe(_DESKTOP, files)["power.sleep_after"]
    assert seen.form is Form.UNKNOWN and "example" in seen.why


def test_sleep_without_systemd_is_unknown() -> None:
    """A mask means nothing where systemd does not run, and nothing else can be asked."""
    files: dict[str, Entry] = {"/etc/systemd/system/sleep.target": Link("/dev/null")}
    assert probe(files, without="/run/systemd/system/")["power.sleep_after"].form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("text", "sleep", "hibernate"),
    [
        ("", NEVER, NEVER),
        ("IdleAction=lock", NEVER, NEVER),
        ("IdleAction=suspend", 1800, NEVER),  # logind.conf(5): IdleActionSec defaults to 30min
        ("IdleAction=suspend\nIdleActionSec=1h 30min", 5400, NEVER),
        ("IdleAction=suspend\nIdleActionSec=infinity", NEVER, NEVER),
        ("IdleAction=suspend\nIdleActionSec=soon", None, NEVER),
        ("IdleAction=hibernate\nIdleActionSec=600", NEVER, 600),
        ("IdleAction=suspend-then-hibernate\nIdleActionSec=600", 600, None),
        ("IdleAction=suspend\nIdleAction=", None, None),  # releases differ: the default, or what was
        ("IdleAction=", NEVER, NEVER),
        ("IdleAction=none", None, None),
        ("IdleAction=suspend\nIdleAction=Ignore", None, None),
        ("IdleAction=suspend\nIdleActionSec=60\nIdleActionSec=", None, NEVER),
        ("IdleAction=suspend\n[login]\nIdleAction=ignore\nIdleActionSec=9h", 1800, NEVER),
        ("IdleAction=poweroff\nIdleActionSec=infinity", NEVER, NEVER),
    ],
)
def test_login_manager_decides_without_a_desktop(text: str, sleep: object, hibernate: object) -> None:
    """Without a desktop the login manager's idle action is what happens."""
    seen = probe({"/etc/systemd/logind.conf": f"[Login]\n{text}\n"})
    assert seen["power.sleep_after"].value == sleep
    assert seen["power.hibernate_after"].value == hibernate


@pytest.mark.parametrize(
    ("action", "does"),
    [
        *(("poweroff", "switches the PC off"), ("halt", "switches the PC off")),
        *(("reboot", "restarts the PC"), ("kexec", "restarts the PC"), ("soft-reboot", "restarts the PC")),
        ("factory-reset", "resets the PC"),
    ],
)
@pytest.mark.parametrize("more", [{}, _DESKTOP, _MASKED])
def test_a_pc_that_switches_itself_off(action: str, does: str, more: Mapping[str, Entry]) -> None:
    """A PC that is off or starts again when idle is not one that never sleeps, masks or not."""
    seen = probe({"/etc/systemd/logind.conf": f"[Login]\nIdleAction={action}\nIdleActionSec=10min\n"}, more)
    for name in ("power.sleep_after", "power.hibernate_after"):
        assert seen[name].form is Form.UNKNOWN
        assert does in seen[name].why and f"(IdleAction={action}) after 10min" in seen[name].why


def test_a_mistyped_action_is_named() -> None:
    """A word that systemd does not know leaves an earlier one in force, whatever is masked."""
    seen = probe({"/etc/systemd/logind.conf": "[Login]\nIdleAction=poweroff\nIdleAction=Ignore\n"}, _MASKED)
    assert "IdleAction=Ignore" in seen["power.sleep_after"].why


@pytest.mark.parametrize(
    "text", ["AllowSuspend=no\n", "[Other]\nAllowSuspend=no\n", "[sleep]\nAllowSuspend=no\n"]
)
def test_another_section_forbids_nothing(text: str) -> None:
    """Only the section Sleep of sleep.conf counts, as it is written."""
    seen = probe(_DESKTOP, {"/etc/systemd/sleep.conf.d/50-x.conf": text})
    assert seen["power.sleep_after"].form is Form.UNKNOWN


def test_a_unit_of_higher_precedence_undoes_a_mask() -> None:
    """A unit in /etc comes before a mask in /run, which comes before a unit in /usr/lib."""
    unit: dict[str, Entry] = {"/etc/systemd/system/sleep.target": "[Unit]\n"}
    mask: dict[str, Entry] = {"/run/systemd/system/sleep.target": Link("/dev/null")}
    assert "masked" not in probe(_DESKTOP, unit, mask)["power.sleep_after"].why


def test_a_mask_that_ends_with_the_next_start() -> None:
    """A mask in /run alone proves nothing of the PC after its next start, for sleep nor for the lid."""
    mask: dict[str, Entry] = {
        "/run/systemd/system/sleep.target": Link("/dev/null"),
        "/usr/lib/systemd/system/sleep.target": "[Unit]\n",
    }
    seen = probe(_LID, mask)
    for name in ("power.sleep_after", "power.hibernate_after", "power.lid_action"):
        assert "masked until the next restart only (/run)" in seen[name].why


@pytest.mark.parametrize("file", ["logind.conf", "logind.conf.d/50-x.conf", "sleep.conf"])
def test_a_closed_setting_leaves_sleep_open(file: str) -> None:
    """What a setting of systemd that may not be read says is not taken for the default."""
    seen = probe({f"/etc/systemd/{file}": DENIED}, _LID)
    for name in ("power.sleep_after", "power.hibernate_after", "power.lid_action"):
        assert "administrator" in seen[name].why


@pytest.mark.parametrize("header", ["[Other", "[", " [Login] # mine"])
def test_a_broken_section_name_is_told(header: str) -> None:
    """Systemd gives up on a file at such a line, so that nothing in it is taken for what is in force."""
    text = f"[Login]\nIdleAction=suspend\n{header}\nIdleAction=ignore\n"
    why = probe({"/etc/systemd/logind.conf": text})["power.sleep_after"].why
    assert "/etc/systemd/logind.conf has a section name without its closing bracket" in why


def test_a_byte_order_mark_hides_no_section() -> None:
    """The mark some editors write first is skipped, as systemd does."""
    text = "\ufeff[Login]\nIdleAction=suspend\n"
    assert probe({"/etc/systemd/logind.conf": text})["power.sleep_after"].value == 1800


def test_a_drop_in_taken_out_of_use() -> None:
    """A drop-in that is a link to /dev/null takes the vendor's one of the same name out of use."""
    files: dict[str, Entry] = {
        "/usr/lib/systemd/logind.conf.d/50-x.conf": "[Login]\nIdleAction=suspend\n",
        "/etc/systemd/logind.conf.d/50-x.conf": Link("../../../dev/null"),
    }
    assert probe(files)["power.sleep_after"].value == NEVER


@pytest.mark.parametrize("kind", ["xsessions", "wayland-sessions"])
def test_a_desktop_that_was_built_here(kind: str) -> None:
    """A desktop installed below /usr/local is one."""
    seen = probe({f"/usr/local/share/{kind}/own.desktop": "[Desktop Entry]"})
    assert "own" in seen["power.sleep_after"].why and "own" in seen["power.screen_off_after"].why


def test_battery_timer() -> None:
    """Without a battery there is no battery timer; a notebook that shows none leaves it open."""
    assert probe()["power.sleep_after_battery"].form is Form.ABSENT
    assert probe(_BATTERY)["power.sleep_after_battery"].value == NEVER
    notebook: dict[str, Entry] = {"/sys/class/dmi/id/chassis_type": "9"}
    assert probe(notebook)["power.sleep_after_battery"].form is Form.UNKNOWN


def test_drop_ins_in_systemd_s_order() -> None:
    """Drop-ins go by file name over the main file; the folder of higher precedence replaces one."""
    tree = MemoryTree(
        {
            "/etc/systemd/logind.conf": "[Login]\nA=main\nB=main\nC=main\nD=main\n",
            "/usr/lib/systemd/logind.conf": "[Login]\nE=never read\n",
            "/usr/lib/systemd/logind.conf.d/50-x.conf": "[Login]\nA=vendor\nB=vendor\n",
            "/etc/systemd/logind.conf.d/50-x.conf": "[Login]\nA=admin\n",
            "/run/systemd/logind.conf.d/60-y.conf": "[Login]\nC=later\n",
            "/etc/systemd/logind.conf.d/40-z.conf": "[Login]\nC=earlier\nD=\n",
            "/etc/systemd/logind.conf.d/70-not": "[Login]\nA=not read\n",
        }
    )
    assert logind.settings(tree, "logind.conf", "Login") == {"A": "admin", "B": "main", "C": "later", "D": ""}


@pytest.mark.parametrize(
    ("text", "seconds"),
    # systemd.time(7)
    [
        ("30min", 1800),
        ("1h 20s", 3620),
        ("1h20s", 3620),
        ("90", 90),
        ("2.5s", 2.5),
        ("5 minutes", 300),
        ("infinity", float("inf")),
        ("", None),
        ("soon", None),
        ("5 parsecs", None),
    ],
)
def test_time_spans(text: str, seconds: float | None) -> None:
    """Time spans are read as systemd writes them."""
    assert ini.seconds(text) == seconds


@pytest.mark.parametrize(("blank", "value"), [("0", NEVER), ("600", 600), ("x", None)])
def test_text_console_blanks(blank: str, value: object) -> None:
    """Without a desktop the kernel's own console timer counts; with one it does not."""
    files: dict[str, Entry] = {"/sys/module/kernel/parameters/consoleblank": blank}
    assert probe(files)["power.screen_off_after"].value == value
    assert probe(files, _DESKTOP)["power.screen_off_after"].form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("names", "form"), [(("sda",), Form.UNKNOWN), (("nvme0n1", "loop0"), Form.ABSENT), ((), Form.UNKNOWN)]
)
def test_drives_with_a_timer_of_their_own(names: tuple[str, ...], form: Form) -> None:
    """Only drives that can stand by have a timer, and only they themselves know it."""
    assert probe({f"/sys/block/{name}/size": "1" for name in names})["power.disk_off_after"].form is form


def usb(name: str, control: str, kind: str = "00", delay: str = "2000") -> dict[str, Entry]:
    """A USB device."""
    path = f"/sys/bus/usb/devices/{name}"
    files = {"power/control": control, "power/autosuspend_delay_ms": delay, "bDeviceClass": kind}
    return {f"{path}/{key}": value for key, value in files.items()}


@pytest.mark.parametrize(
    ("files", "value"),
    [
        ({**usb("usb1", "auto", "09"), **usb("1-1", "on")}, False),
        ({**usb("1-1", "on"), **usb("1-2", "auto")}, True),
        ({**usb("1-1", "auto", "09"), **usb("1-1.1", "on")}, False),  # a hub sleeps only when all do
        (usb("1-1", "auto", delay="-1"), False),
        (usb("usb1", "auto", "09"), None),
        ({**usb("usb1", "auto", "09"), "/sys/module/usbcore/parameters/autosuspend": "-1"}, False),
    ],
)
def test_usb_suspend(files: Mapping[str, Entry], value: bool | None) -> None:
    """One device that may be suspended is enough; hubs alone say nothing."""
    assert probe(files)["power.usb_suspend"].value is value


def test_no_usb_is_absent() -> None:
    """A PC without USB suspends no USB device."""
    assert probe()["power.usb_suspend"].form is Form.ABSENT


_POLICY = "/sys/module/pcie_aspm/parameters/policy"
_LINK = "/sys/bus/pci/devices/0000:00:1c.0/link"


@pytest.mark.parametrize(
    ("files", "value"),
    [
        ({_POLICY: "default [performance] powersave powersupersave"}, False),
        ({_POLICY: "default performance [powersave] powersupersave"}, True),
        ({_POLICY: "[default] performance powersave"}, None),
        ({_POLICY: "[default] performance", f"{_LINK}/l1_aspm": "0"}, False),
        ({_POLICY: "[default] performance", f"{_LINK}/l1_aspm": "0", f"{_LINK}/l0s_aspm": "1"}, True),
        ({_POLICY: "default [performance]", f"{_LINK}/l1_aspm": "1"}, True),
        ({}, None),
    ],
)
def test_pcie_saving(files: Mapping[str, Entry], value: bool | None) -> None:
    """A link that may save power decides, then the policy; the firmware's default is not guessed."""
    assert probe({"/sys/bus/pci/devices/": "", **files})["power.pcie_saving"].value is value


@pytest.mark.parametrize(
    ("text", "action"),
    [
        ("", "sleep"),  # logind.conf(5): HandleLidSwitch defaults to suspend
        ("HandleLidSwitch=ignore", "nothing"),
        ("HandleLidSwitch=suspend\nHandleLidSwitchExternalPower=lock", "nothing"),
        ("HandleLidSwitch=ignore\nHandleLidSwitchExternalPower=poweroff", "shut-down"),
        ("HandleLidSwitch=hibernate", "hibernate"),
        ("HandleLidSwitch=reboot", None),
    ],
)
def test_lid_on_mains(text: str, action: str | None) -> None:
    """The setting for external power comes before the general one."""
    seen = probe(_LID, {"/etc/systemd/logind.conf": f"[Login]\n{text}\n"})
    assert seen["power.lid_action"].value == action


def test_lid_that_cannot_send_to_sleep() -> None:
    """Where sleep is ruled out, closing the lid does nothing."""
    assert probe(_LID, {"/sys/power/state": ""})["power.lid_action"].value == "nothing"


def test_lid_unknown_with_a_desktop_and_absent_without_a_lid() -> None:
    """A desktop may take the lid over; a PC without a lid has none; a notebook must have one."""
    assert probe(_LID, _DESKTOP)["power.lid_action"].form is Form.UNKNOWN
    assert probe()["power.lid_action"].form is Form.ABSENT
    notebook: dict[str, Entry] = {"/sys/class/dmi/id/chassis_type": "10"}
    assert probe(notebook)["power.lid_action"].form is Form.UNKNOWN


def test_container_does_not_speak_for_the_pc() -> None:
    """What a container's own files say of sleep and lid is not the PC's."""
    seen = probe(_LID, {"/run/systemd/container": "example"})
    for name in ("power.sleep_after", "power.lid_action", "power.screen_off_after", "power.disk_off_after"):
        assert seen[name].form is Form.UNKNOWN and "container" in seen[name].why


def test_plan_of_the_firmware_first() -> None:
    """The firmware's profile is the power plan, then tuned's; without either there is none."""
    tuned: dict[str, Entry] = {"/etc/tuned/active_profile": "throughput-performance"}
    firmware: dict[str, Entry] = {"/sys/firmware/acpi/platform_profile": "performance"}
    assert probe(tuned, firmware)["power.plan"].value == "performance"
    assert probe(tuned)["power.plan"].value == "throughput-performance"
    assert probe()["power.plan"].form is Form.ABSENT
