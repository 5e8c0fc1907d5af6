"""Power settings of Windows hosts."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Any, cast

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.units import NEVER
from pcaudit.probes.decode import guid, windows_power
from pcaudit.probes.windows import power, power_settings as ps
from pcaudit.probes.windows.calls.power import PowerCalls
from pcaudit.probes.windows.calls.win32 import NoAnswerError
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.power_settings import Setting
from tests.windows.recorded import DENIED, RecordedRegistry

BALANCED = "381b4222-f694-41f0-9685-ff5bb260df2e"
OWN_PLAN = "0d1c8b7a-1111-4222-8333-444455556666"
BEST_PERFORMANCE = "ded574b5-45a0-4f42-8737-46345c09c238"
PLAN = {
    (ps.SLEEP, True): 0,
    (ps.SLEEP, False): 900,
    (ps.UNATTENDED, True): 0,
    (ps.HIBERNATE, True): 10_800,
    (ps.SCREEN, True): 600,
    (ps.DISK, True): 0,
    (ps.USB, True): 1,
    (ps.PCIE, True): 0,
    (ps.LID, True): 1,
}
"""A plan as a recorded PC keeps it, by setting and whether on mains."""

# winnt.h, SYSTEM_POWER_CAPABILITIES: offsets of what the tests set.
OFFSETS = {"lid": 2, "s3": 5, "s4": 6, "hiber_file": 8, "aoac": 0x14, "batteries": 0x1E, "short_term": 0x1F}
LAPTOP = ("lid", "s3", "s4", "hiber_file", "batteries")
DESKTOP = ("s3", "s4", "hiber_file")


def capabilities(*names: str) -> bytes:
    """A SYSTEM_POWER_CAPABILITIES in which the named fields are true."""
    data = bytearray(76)
    for name in names:
        data[OFFSETS[name]] = 1
    return bytes(data)


def status(line: int = 1, flag: int = 1) -> bytes:
    """A SYSTEM_POWER_STATUS with ACLineStatus and BatteryFlag."""
    return struct.pack("<BBBBII", line, flag, 255, 0, 0xFFFFFFFF, 0xFFFFFFFF)


def calls(
    plan: Mapping[tuple[Setting, bool], int] = PLAN,
    *,
    scheme: str | None = BALANCED,
    name: str = "Balanced",
    overlay: str | None = None,
    policies: frozenset[tuple[Setting, bool]] | None = frozenset(),
    state: bytes | None = None,
    can: bytes | None = None,
) -> PowerCalls:
    """The answers of a PC; None where it gives none. A laptop on mains by default."""

    def answer(value: Any) -> Any:
        if value is None:
            raise NoAnswerError("this Windows has no such function")
        return value

    def setting(asked: str, subgroup: str, wanted: str, mains: bool) -> int:
        answer(scheme)
        assert asked == scheme
        for (each, on_mains), value in plan.items():
            if (each.subgroup, each.guid, on_mains) == (subgroup, wanted, mains):
                return value
        raise NoAnswerError("PowerReadACValueIndex failed with Windows error 2")

    def overridden(wanted: str, mains: bool) -> bool:
        return (wanted, mains) in {(each.guid, on_mains) for each, on_mains in answer(policies)}

    return PowerCalls(
        status=lambda: answer(status() if state is None else state),
        capabilities=lambda: answer(capabilities(*LAPTOP) if can is None else can),
        active_scheme=lambda: answer(scheme),
        scheme_name=lambda _: answer(name if scheme else None),
        overlay=lambda: answer(overlay),
        setting=setting,
        overridden=overridden,
    )


def silent() -> PowerCalls:
    """A Windows that answers nothing about power."""

    def refuse(*_: object) -> Any:
        raise NoAnswerError("this Windows has no such function")

    return PowerCalls(*[refuse] * 7)


Content = Mapping[str, Mapping[str, Any] | OSError]


def probe(answers: PowerCalls | None = None, registry: Content | None = None) -> dict[str, Observation]:
    """Every reading of the group."""
    nothing = cast("Any", None)
    host = Host(
        registry=RecordedRegistry(registry or {}),
        environ={},
        system=nothing,
        storage=nothing,
        display=nothing,
        network=nothing,
        power=answers or calls(),
    )
    (each,) = power.probes(host)
    seen = dict(each.take())
    assert set(seen) == set(each.reads)
    assert all(given.why for given in seen.values() if given.form in {Form.UNKNOWN, Form.ABSENT})
    assert all(given.source for given in seen.values() if given.form is Form.KNOWN)
    return seen


def changed(setting: Setting, scheme: str = BALANCED, **values: int) -> Content:
    """What a person changed in a plan, as the registry keeps it."""
    return {f"{ps.SCHEMES}\\{scheme}\\{setting.subgroup}\\{setting.guid}": values}


def start(setting: Setting, scheme: str = BALANCED, **values: int) -> Content:
    """What a plan starts from, as the registry keeps it."""
    return {f"{ps.DEFAULTS}\\{setting.subgroup}\\{setting.guid}\\DefaultPowerSchemeValues\\{scheme}": values}


def policy(setting: Setting, **values: Any) -> Content:
    """A Group Policy for a setting."""
    return {f"{ps.POLICIES}\\{setting.guid}": values}


ACTIVE: Content = {ps.SCHEMES: {"ActivePowerScheme": BALANCED}}
HIBERNATION = r"HKLM\SYSTEM\CurrentControlSet\Control\Power"
FAST = r"HKLM\SYSTEM\CurrentControlSet\Control\Session Manager\Power"
FAST_POLICY = r"HKLM\SOFTWARE\Policies\Microsoft\Windows\System"


def test_a_plan_is_read_whole() -> None:
    """Every setting of the plan in force comes from the plan, zero seconds being never."""
    seen = probe(registry={FAST: {"HiberbootEnabled": 1}})
    assert {name: given.value for name, given in seen.items()} == {
        "power.source": "mains",
        "power.plan": "Balanced",
        "power.sleep_after": NEVER,
        "power.sleep_after_battery": 900,
        "power.hibernate_after": 10_800,
        "power.screen_off_after": 600,
        "power.disk_off_after": NEVER,
        "power.usb_suspend": True,
        "power.pcie_saving": False,
        "power.fast_startup": True,
        "power.lid_action": "sleep",
    }
    assert seen["power.sleep_after"].source == "PowerReadACValueIndex, plan in force"
    assert seen["power.sleep_after_battery"].source == "PowerReadDCValueIndex, plan in force"


@pytest.mark.parametrize(
    ("line", "flag", "source"),
    [
        (1, 128, "mains"),
        (1, 8, "mains"),
        (0, 1, "battery"),
        (0, 0, "battery"),
        (255, 255, None),
        (255, 128, None),
        (0, 128, None),  # neither mains nor battery cannot be
        (7, 1, None),  # reserved
    ],
)
def test_power_source(line: int, flag: int, source: str | None) -> None:
    """Trap P7: only what Windows states counts; 255 and what contradicts itself is unknown."""
    # Values: Microsoft Learn, SYSTEM_POWER_STATUS.
    assert probe(calls(state=status(line, flag)))["power.source"].value == source


def test_an_uninterruptible_supply_is_named() -> None:
    """Trap P7: on a desktop's UPS the PC runs on battery, and the source says whose."""
    can = capabilities(*DESKTOP, "batteries", "short_term")
    seen = probe(calls(state=status(0, 1), can=can))
    assert seen["power.source"].value == "battery"
    assert "uninterruptible" in seen["power.source"].source
    assert seen["power.sleep_after_battery"].value == 900


@pytest.mark.parametrize(
    ("flag", "can", "form"),
    [
        (128, DESKTOP, Form.ABSENT),
        (255, DESKTOP, Form.UNKNOWN),
        (128, LAPTOP, Form.UNKNOWN),
        (1, LAPTOP, Form.KNOWN),
    ],
)
def test_sleep_on_battery_needs_a_battery(flag: int, can: tuple[str, ...], form: Form) -> None:
    """Trap P7: 128 is no battery, 255 is not known, and a contradiction is not known either."""
    seen = probe(calls(state=status(1, flag), can=capabilities(*can)))
    assert seen["power.sleep_after_battery"].form is form


def test_mains_and_battery_are_apart() -> None:
    """Trap P1: never on mains says nothing of battery."""
    seen = probe(calls({(ps.SLEEP, True): 0, (ps.SLEEP, False): 300}))
    assert seen["power.sleep_after"].value == NEVER
    assert seen["power.sleep_after_battery"].value == 300


@pytest.mark.parametrize("policies", [None, frozenset({(ps.SLEEP, True)})])
def test_group_policy_comes_first(policies: frozenset[tuple[Setting, bool]] | None) -> None:
    """Trap P2: a plan that never sleeps sleeps where Group Policy says so."""
    seen = probe(calls(policies=policies), policy(ps.SLEEP, ACSettingIndex=1200))
    assert seen["power.sleep_after"].value == 1200
    assert seen["power.sleep_after"].source.startswith("Group Policy, registry HKLM")
    assert seen["power.sleep_after_battery"].value == 900


def test_a_policy_windows_does_not_enforce_is_unknown() -> None:
    """Trap P2: a policy in the registry that Windows denies, against a plan that differs, decides nothing."""
    seen = probe(calls({(ps.SLEEP, True): 1800}), policy(ps.SLEEP, ACSettingIndex=0))
    assert seen["power.sleep_after"].form is Form.UNKNOWN
    assert "restart" in seen["power.sleep_after"].why


def test_a_policy_that_says_what_the_plan_says_is_known() -> None:
    """Policy and plan that agree leave nothing open, whatever Windows says of the policy."""
    seen = probe(calls(), policy(ps.SLEEP, ACSettingIndex=0))
    assert seen["power.sleep_after"].value == NEVER


def test_a_policy_whose_value_cannot_be_seen_is_unknown() -> None:
    """Trap P2: where Windows says a policy rules and its value is nowhere, the plan does not count."""
    seen = probe(calls(policies=frozenset({(ps.SLEEP, True)})))
    assert seen["power.sleep_after"].form is Form.UNKNOWN
    assert "Group Policy" in seen["power.sleep_after"].why
    assert seen["power.screen_off_after"].value == 600


def test_a_policy_that_may_not_be_read_is_unknown() -> None:
    """Trap P2: a policy the account may not read is not the absence of one."""
    seen = probe(registry=policy(ps.SLEEP, ACSettingIndex=DENIED))
    assert seen["power.sleep_after"].form is Form.UNKNOWN
    assert "administrator" in seen["power.sleep_after"].why


def test_a_policy_of_the_wrong_type_is_unknown() -> None:
    """A policy that is a text is no number, and the plan below it does not count."""
    seen = probe(registry=policy(ps.SLEEP, ACSettingIndex="0"))
    assert seen["power.sleep_after"].form is Form.UNKNOWN


def test_a_plan_that_policy_wants_and_windows_does_not_run_is_unknown() -> None:
    """Trap P2: under a policy for another plan no setting of this one is certain."""
    seen = probe(registry={ps.POLICIES: {"ActivePowerScheme": OWN_PLAN.upper()}})
    assert seen["power.plan"].form is Form.UNKNOWN
    assert seen["power.sleep_after"].form is Form.UNKNOWN


def test_a_policy_for_the_plan_that_may_not_be_read_is_unknown() -> None:
    """Trap P2: a plan that runs under a policy nobody may read is not certain."""
    seen = probe(registry={ps.POLICIES: {"ActivePowerScheme": DENIED}})
    assert seen["power.plan"].form is Form.UNKNOWN
    assert seen["power.sleep_after"].form is Form.UNKNOWN


def test_a_plan_that_policy_wants_and_windows_runs_is_known() -> None:
    """A policy for the plan that runs, in whatever spelling, is part of the source."""
    seen = probe(registry={ps.POLICIES: {"ActivePowerScheme": f"{{{BALANCED.upper()}}}"}})
    assert seen["power.plan"].value == "Balanced"
    assert "Group Policy" in seen["power.plan"].source


def test_the_kernel_counts_against_the_registry() -> None:
    """Where the plan and the registry differ the plan's value stands, and the source keeps both."""
    seen = probe(registry=changed(ps.SLEEP, ACSettingIndex=1800))
    assert seen["power.sleep_after"].value == NEVER
    assert "the registry holds 1800" in seen["power.sleep_after"].source


def test_without_the_functions_the_registry_speaks() -> None:
    """A Windows without the power functions is read from its registry: changed values, then start values."""
    registry = {
        **ACTIVE,
        **changed(ps.SLEEP, ACSettingIndex=600),
        **start(ps.SLEEP, ACSettingIndex=1800, DCSettingIndex=900),
        **start(ps.SCREEN, ACSettingIndex=300),
        **start(ps.DISK, ProvACSettingIndex=0),
    }
    seen = probe(silent(), registry)
    assert seen["power.sleep_after"].value == 600
    assert seen["power.sleep_after"].source.startswith("registry HKLM")
    assert seen["power.screen_off_after"].value == 300
    assert seen["power.disk_off_after"].value == NEVER
    assert seen["power.plan"].value == "Balanced"
    assert seen["power.source"].form is Form.UNKNOWN


def test_two_start_values_in_the_registry_decide_nothing() -> None:
    """A maker's start value against Windows's own is not guessed at."""
    registry = {**ACTIVE, **start(ps.SLEEP, ACSettingIndex=0, ProvACSettingIndex=1800)}
    assert probe(silent(), registry)["power.sleep_after"].form is Form.UNKNOWN


@pytest.mark.parametrize("broken", ["0", DENIED])
def test_a_changed_value_that_cannot_be_used_is_no_start_value(broken: Any) -> None:
    """What somebody changed counts even where it cannot be read: the plan's start value then does not."""
    registry: Content = {
        **ACTIVE,
        f"{ps.SCHEMES}\\{BALANCED}\\{ps.SLEEP.subgroup}\\{ps.SLEEP.guid}": {"ACSettingIndex": broken},
        **start(ps.SLEEP, ACSettingIndex=0),
    }
    assert probe(silent(), registry)["power.sleep_after"].form is Form.UNKNOWN


def test_a_plan_of_ones_own_without_the_functions_is_not_guessed() -> None:
    """What a plan somebody made inherits is not read from another plan."""
    registry: Content = {
        ps.SCHEMES: {"ActivePowerScheme": OWN_PLAN},
        **start(ps.SLEEP, ACSettingIndex=0),
        f"{ps.SCHEMES}\\{OWN_PLAN}": {"FriendlyName": "Night runs"},
    }
    seen = probe(silent(), registry)
    assert seen["power.plan"].value == "Night runs"
    assert seen["power.sleep_after"].form is Form.UNKNOWN
    assert "powercfg" in seen["power.sleep_after"].why


def test_nothing_known_of_power_is_unknown_throughout() -> None:
    """A Windows that says nothing gives no value, and no absence."""
    assert {given.form for given in probe(silent()).values()} == {Form.UNKNOWN}


def test_a_setting_the_plan_does_not_list_is_unknown() -> None:
    """Trap P4: a hidden or missing USB setting is not USB suspend switched off."""
    seen = probe(calls({(ps.SLEEP, True): 0}))
    assert seen["power.usb_suspend"].form is Form.UNKNOWN
    assert "USB selective suspend" in seen["power.usb_suspend"].why


@pytest.mark.parametrize(
    ("setting", "reading", "index", "value"),
    [
        (ps.USB, "power.usb_suspend", 0, False),
        (ps.USB, "power.usb_suspend", 1, True),
        (ps.USB, "power.usb_suspend", 2, None),
        (ps.PCIE, "power.pcie_saving", 0, False),
        (ps.PCIE, "power.pcie_saving", 1, True),
        (ps.PCIE, "power.pcie_saving", 2, True),
        (ps.PCIE, "power.pcie_saving", 0xFFFFFFFF, None),
        (ps.LID, "power.lid_action", 0, "nothing"),
        (ps.LID, "power.lid_action", 2, "hibernate"),
        (ps.LID, "power.lid_action", 3, "shut-down"),
        (ps.LID, "power.lid_action", 4, None),
        (ps.SLEEP, "power.sleep_after", 0xFFFFFFFF, None),
        (ps.SCREEN, "power.screen_off_after", 1, 1),
    ],
)
def test_values_of_settings(setting: Setting, reading: str, index: int, value: object) -> None:
    """Each documented value has its meaning; any other means nothing and is unknown."""
    # Microsoft Learn, "Configure power settings": the page of each setting.
    assert probe(calls({(setting, True): index}))[reading].value == value


def test_a_power_mode_is_told_with_the_plan() -> None:
    """Trap P3: the plan's name alone hides the mode laid over it."""
    seen = probe(calls(overlay=BEST_PERFORMANCE))
    assert seen["power.plan"].value == "Balanced"
    assert "best performance" in seen["power.plan"].source
    assert seen["power.sleep_after"].value == NEVER


def test_no_power_mode_is_not_told() -> None:
    """A mode of all zeros is none."""
    assert "mode" not in probe(calls(overlay=ps.NO_MODE))["power.plan"].source


def test_a_power_mode_that_brings_its_own_value_makes_the_setting_unknown() -> None:
    """Trap P3: where the mode has a value of its own, the plan's is not certain."""
    registry = start(ps.SLEEP, BEST_PERFORMANCE, OverrideACSettingIndex=1800)
    seen = probe(calls(overlay=BEST_PERFORMANCE), registry)
    assert seen["power.sleep_after"].form is Form.UNKNOWN
    assert "best performance" in seen["power.sleep_after"].why


def test_the_mode_on_mains_counts_while_on_battery() -> None:
    """Trap P3: on battery another mode may lie over the plan than on mains, where the run takes place."""
    registry = {
        ps.SCHEMES: {"ActiveOverlayAcPowerScheme": BEST_PERFORMANCE.upper()},
        **start(ps.SLEEP, BEST_PERFORMANCE, ProvACSettingIndex=1800, ProvDCSettingIndex=60),
    }
    seen = probe(calls(overlay=ps.NO_MODE, state=status(0, 1)), registry)
    assert seen["power.sleep_after"].form is Form.UNKNOWN
    assert seen["power.sleep_after_battery"].value == 900


def test_the_plan_has_its_english_name() -> None:
    """Trap T6: a profile that asks for Balanced meets a German PC; what is shown there is in the source."""
    seen = probe(calls(name="Ausbalanciert"))
    assert seen["power.plan"].value == "Balanced"
    assert "Ausbalanciert" in seen["power.plan"].source


@pytest.mark.parametrize(
    ("written", "name"),
    [("@%SystemRoot%\\system32\\powrprof.dll,-15,Quiet", "Quiet"), ("Night, quiet", "Night, quiet")],
)
def test_names_of_plans_in_the_registry(written: str, name: str) -> None:
    """The registry's name is a text, or a reference with the name behind it."""
    registry: Content = {
        ps.SCHEMES: {"ActivePowerScheme": OWN_PLAN},
        f"{ps.SCHEMES}\\{OWN_PLAN}": {"FriendlyName": written},
    }
    assert probe(silent(), registry)["power.plan"].value == name


def test_a_plan_without_a_name_is_unknown() -> None:
    """A plan nobody named is told by its number, with a way to look."""
    seen = probe(calls(scheme=OWN_PLAN, name=" "))["power.plan"]
    assert seen.form is Form.UNKNOWN
    assert OWN_PLAN in seen.why


def test_modern_standby_is_told() -> None:
    """Trap P3: a PC that sleeps in Modern Standby says so beside its sleep time."""
    seen = probe(calls(can=capabilities("lid", "s4", "hiber_file", "aoac", "batteries")))
    assert seen["power.sleep_after"].value == NEVER
    assert "Modern Standby" in seen["power.sleep_after"].source


def test_hibernation_under_modern_standby_is_windows_own_choice() -> None:
    """Trap P3: zero is not never where Windows hibernates a sleeping PC as it sees fit."""
    can = capabilities("lid", "s4", "hiber_file", "aoac", "batteries")
    sleeps = {(ps.SLEEP, True): 600, (ps.HIBERNATE, True): 0}
    awake = {(ps.SLEEP, True): 0, (ps.HIBERNATE, True): 0}
    assert probe(calls(sleeps, can=can))["power.hibernate_after"].form is Form.UNKNOWN
    assert probe(calls(awake, can=can))["power.hibernate_after"].value == NEVER


def test_sleep_after_an_unattended_wake_is_told() -> None:
    """A PC that never sleeps by itself, but does after a wake-up by timer or network, says so."""
    seen = probe(calls({(ps.SLEEP, True): 0, (ps.UNATTENDED, True): 120}))
    assert "after 120 s" in seen["power.sleep_after"].source


def test_a_pc_with_no_way_to_sleep_never_does() -> None:
    """A server's firmware without sleep states outweighs its plan, which the source keeps."""
    seen = probe(calls({(ps.SLEEP, True): 1800}, can=capabilities()))
    assert seen["power.sleep_after"].value == NEVER
    assert "1800" in seen["power.sleep_after"].source
    assert seen["power.hibernate_after"].value == NEVER


def test_a_pc_that_can_only_hibernate_keeps_its_sleep_time() -> None:
    """Without sleep states the idle time may end in hibernation, so it is not never."""
    seen = probe(calls({(ps.SLEEP, True): 1800}, can=capabilities("s4", "hiber_file")))
    assert seen["power.sleep_after"].value == 1800


@pytest.mark.parametrize(
    ("can", "enabled", "wanted", "required", "value"),
    [
        (LAPTOP, 1, 1, None, True),
        (LAPTOP, 1, 0, None, False),
        (("s3", "s4"), None, 1, None, False),  # no hibernation file
        (("s3", "s4"), 1, 1, None, False),  # the kernel outweighs the registry
        (LAPTOP, 0, 1, None, True),  # likewise
        (LAPTOP, 1, 0, 1, True),  # Group Policy requires it
        (LAPTOP, 1, 1, 0, True),  # disabled, the policy leaves the local value
        (LAPTOP, 1, 0, 0, False),
        (("s3",), 0, 0, 1, False),
        (LAPTOP, 1, None, None, None),
        (LAPTOP, 1, 0, DENIED, None),
    ],
)
def test_fast_startup(
    can: tuple[str, ...], enabled: int | None, wanted: int | None, required: object, value: bool | None
) -> None:
    """Trap P5: fast start-up needs both its own value, or the policy, and hibernation."""
    # WinInit.admx, "Require use of fast startup".
    registry: dict[str, Mapping[str, Any]] = {
        HIBERNATION: {} if enabled is None else {"HibernateEnabled": enabled},
        FAST: {} if wanted is None else {"HiberbootEnabled": wanted},
        FAST_POLICY: {} if required is None else {"HiberbootEnabled": required},
    }
    seen = probe(calls(can=capabilities(*can)), registry)
    assert seen["power.fast_startup"].value is value


@pytest.mark.parametrize(("enabled", "value"), [(0, False), (1, True), (None, None)])
def test_fast_startup_without_the_kernel(enabled: int | None, value: bool | None) -> None:
    """Trap P5: where Windows does not tell its capabilities the registry says whether hibernation is on."""
    registry: dict[str, Mapping[str, Any]] = {
        HIBERNATION: {} if enabled is None else {"HibernateEnabled": enabled},
        FAST: {"HiberbootEnabled": 1},
    }
    assert probe(silent(), registry)["power.fast_startup"].value is value


def test_hibernation_switched_off_is_never() -> None:
    """A plan that hibernates does not where hibernation is switched off."""
    seen = probe(calls(can=capabilities("s3", "s4")))
    assert seen["power.hibernate_after"].value == NEVER
    assert "hibernation is off" in seen["power.hibernate_after"].source


def test_no_lid_is_absent_only_where_windows_says_so() -> None:
    """A desktop has no lid; a PC that does not tell has the plan's action."""
    assert probe(calls(can=capabilities(*DESKTOP)))["power.lid_action"].form is Form.ABSENT
    registry = {**ACTIVE, **changed(ps.LID, ACSettingIndex=1)}
    assert probe(silent(), registry)["power.lid_action"].value == "sleep"


@pytest.mark.parametrize("cut", [b"", b"\1" * 11])
def test_cut_structures_are_no_answer(cut: bytes) -> None:
    """A structure cut short costs what is in it and nothing else."""
    seen = probe(calls(state=cut, can=cut))
    assert seen["power.source"].form is Form.UNKNOWN
    assert seen["power.screen_off_after"].value == 600
    with pytest.raises(ValueError, match="bytes"):
        windows_power.status(cut)
    with pytest.raises(ValueError, match="bytes"):
        windows_power.capabilities(cut)


def test_guids_go_both_ways() -> None:
    """A GUID's first three parts are little-endian, the rest is as written (guiddef.h)."""
    data = guid.encode("{01234567-89AB-cdef-0123-456789abcdef}")
    assert data == bytes.fromhex("67452301ab89efcd0123456789abcdef")
    assert guid.decode(data) == "01234567-89ab-cdef-0123-456789abcdef"
    with pytest.raises(ValueError, match="no GUID"):
        guid.encode("balanced")
