"""Power: ``never`` only where pmset says so of mains power."""

from __future__ import annotations

import pytest

from pcaudit.core.snapshot import Form
from pcaudit.core.units import NEVER
from pcaudit.probes.decode import macos_power
from pcaudit.probes.macos.tools import ToolError
from tests.macos import macs
from tests.macos.recorded import Mac, read

_FAILED = ToolError("/usr/bin/pmset failed (status 1)")


def _with(custom: str, mac: Mac = macs.NOTEBOOK) -> Mac:
    return mac.saying({"pmset -g custom": custom})


def test_a_timer_of_zero_is_never() -> None:
    """pmset(1): 0 switches a timer off; others are minutes."""
    mac = _with("AC Power:\n sleep                0\n displaysleep         3\n")
    assert read(mac, "power.sleep_after").value == NEVER
    assert read(mac, "power.screen_off_after").value == 180


def test_battery_timers_are_not_mains_timers() -> None:
    """Trap P1: what holds on battery says nothing of mains."""
    mac = _with("Battery Power:\n sleep 0\n disksleep 0\n")
    assert read(mac, "power.sleep_after").form is Form.UNKNOWN
    assert read(mac, "power.disk_off_after").form is Form.UNKNOWN
    assert read(mac, "power.sleep_after_battery").value == NEVER


def test_sleep_that_is_switched_off_altogether_never_comes() -> None:
    """SleepDisabled goes before every timer, and the lid does nothing."""
    mac = macs.NOTEBOOK.saying({"pmset -g": "System-wide power settings:\n SleepDisabled\t\t1\n"})
    for name in ("power.sleep_after", "power.sleep_after_battery", "power.hibernate_after"):
        assert read(mac, name).value == NEVER, name
    assert read(mac, "power.lid_action").value == "nothing"


def test_a_timer_is_open_where_the_switch_cannot_be_read() -> None:
    """Whether sleep is switched off altogether decides over a timer that runs, not over one that is off."""
    mac = macs.NOTEBOOK.saying({"pmset -g": _FAILED})
    assert read(mac, "power.sleep_after").form is Form.UNKNOWN
    assert read(mac, "power.lid_action").form is Form.UNKNOWN
    assert read(_with("AC Power:\n sleep 0\n", mac), "power.sleep_after").value == NEVER


@pytest.mark.parametrize(
    ("value", "why"), [("-1", "no usable sleep"), ("x", "no usable sleep"), ("99999999", "cannot be used")]
)
def test_a_timer_that_makes_no_sense_is_unknown(value: str, why: str) -> None:
    """Neither a negative timer nor one of centuries nor a word is believed."""
    seen = read(_with(f"AC Power:\n sleep {value}\n"), "power.sleep_after")
    assert seen.form is Form.UNKNOWN
    assert why in seen.why


@pytest.mark.parametrize(
    ("custom", "expected"),
    [
        ("AC Power:\n sleep 0\n hibernatemode 3\n standby 1\n", NEVER),
        ("AC Power:\n sleep 10\n hibernatemode 0\n standby 0\n", NEVER),
        ("AC Power:\n sleep 10\n hibernatemode 0\n standby 1\n", None),
        ("AC Power:\n sleep 10\n hibernatemode 3\n", None),
        ("AC Power:\n sleep 10\n", None),
    ],
)
def test_hibernation_follows_sleep(custom: str, expected: str | None) -> None:
    """It never comes where the Mac does not sleep or writes no image, and is open otherwise."""
    assert read(_with(custom), "power.hibernate_after").value == expected


def test_a_desktop_has_neither_battery_nor_lid() -> None:
    """On a desktop, what concerns battery and lid is known not to exist."""
    for name in ("power.sleep_after_battery", "power.lid_action"):
        assert read(macs.DESKTOP, name).form is Form.ABSENT, name


def test_a_machine_of_unknown_form_may_have_both() -> None:
    """Where the product name cannot be read, neither battery nor lid is called absent."""
    mac = macs.DESKTOP.saying({"system_profiler -json SPHardwareDataType": _FAILED})
    for name in ("power.sleep_after_battery", "power.lid_action"):
        assert read(mac, name).form is Form.UNKNOWN, name


@pytest.mark.parametrize(
    ("printed", "source"),
    [
        ("Now drawing from 'AC Power'\n", "mains"),
        ("Now drawing from 'Battery Power'\n", "battery"),
        ("Now drawing from 'UPS Power'\n", "battery"),
        ("Now drawing from 'Fusion'\n", None),
        ("", None),
    ],
)
def test_the_source_is_what_pmset_says(printed: str, source: str | None) -> None:
    """Only the three words of pmset(1) are known; a UPS in use is a battery."""
    assert read(macs.DESKTOP.saying({"pmset -g batt": printed}), "power.source").value == source


@pytest.mark.parametrize(("mode", "plan"), [(0, "Automatic"), (1, "Low Power"), (2, "High Power"), (7, None)])
def test_the_plan_is_the_energy_mode(mode: int, plan: str | None) -> None:
    """The newer powermode goes before lowpowermode; a number that is none of the three is unknown."""
    mac = _with(f"AC Power:\n lowpowermode 0\n powermode {mode}\n", macs.DESKTOP)
    assert read(mac, "power.plan").value == plan


def test_a_setting_is_found_by_its_whole_name() -> None:
    """The timer displaysleep is not sleep, a note behind a value is none of it, and a path is no number."""
    text = "AC Power:\n displaysleep         5\n sleep                1 (sleep prevented by powerd)\n"
    text += " hibernatefile        /var/vm/sleepimage\n Sleep On Power Button 1\n"
    assert macos_power.custom(text) == {
        "AC Power": {"displaysleep": 5, "sleep": 1, "Sleep On Power Button": 1}
    }


def test_a_section_ends_where_another_begins() -> None:
    """Settings under a heading of another kind belong to no source of power."""
    assert macos_power.custom("AC Power:\n sleep 1\nNetzbetrieb:\n sleep 0\n") == {"AC Power": {"sleep": 1}}
