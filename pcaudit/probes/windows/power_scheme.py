"""What a setting of the power plan comes to: Group Policy, then the plan itself, then the registry.

Each layer may be silent. Where two of them speak and which one counts cannot be told, the setting
is unknown: a plan that says "never" under a policy that says otherwise must not pass.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.probes.windows import power_settings as known_settings, reads
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.power_settings import Setting

_INDEX: Final = {True: "ACSettingIndex", False: "DCSettingIndex"}
_CUT: Final = "for its value see: powercfg /qh SCHEME_CURRENT"


class Scheme(NamedTuple):
    """The power plan in force.

    Attributes:
        guid: Which; empty where it is not known.
        source: What said so.
        why: Why it is not known.
    """

    guid: str = ""
    source: str = ""
    why: str = ""


class Index(NamedTuple):
    """The value of one setting.

    Attributes:
        value: As Windows keeps it; None where it is not known.
        source: What said so.
        why: Why it is not known.
    """

    value: int | None = None
    source: str = ""
    why: str = ""


def _folded(guid: str) -> str:
    return guid.strip("{} ").casefold()


def scheme(host: Host) -> Scheme:
    """The power plan in force."""
    policy = reads.read(host.registry, known_settings.POLICIES, "ActivePowerScheme", str)
    if policy.value is None and not policy.absent:
        return Scheme(why=f"the Group Policy for the power plan cannot be read: {policy.why}")
    try:
        found = Scheme(_folded(host.power.active_scheme()), "PowerGetActiveScheme")
    except OSError as error:
        written = reads.read(host.registry, known_settings.SCHEMES, "ActivePowerScheme", str)
        if not written.value:
            return Scheme(why=f"Windows does not say which power plan is in force: {error}")
        found = Scheme(_folded(written.value), f"registry {known_settings.SCHEMES}\\ActivePowerScheme")
    if policy.value and _folded(policy.value) != found.guid:
        return Scheme(why="Group Policy asks for another power plan than runs: restart and probe again")
    if policy.value:
        return found._replace(source=f"{found.source}, set by Group Policy")
    return found


def mode(host: Host) -> str:
    """GUID of the power mode that lies over the plan; empty for none or not known."""
    try:
        found = host.power.overlay()
    except OSError:
        return ""
    return "" if found == known_settings.NO_MODE else found


def _policy(host: Host, setting: Setting, name: str) -> reads.Read:
    return reads.read(host.registry, f"{known_settings.POLICIES}\\{setting.guid}", name, int)


def _start(host: Host, guid: str, setting: Setting, name: str) -> Index:
    """What a plan starts from, as the registry holds it."""
    path = f"{known_settings.DEFAULTS}\\{setting.subgroup}\\{setting.guid}\\DefaultPowerSchemeValues\\{guid}"
    # A maker's image may bring its own start value; which of the two counts is not documented.
    held = [reads.read(host.registry, path, each, int) for each in (name, f"Prov{name}")]
    values = {each.value for each in held if not each.absent}
    if not values:
        return Index(why=f"the power plan does not list '{setting.name}'; {_CUT}")
    if len(values) > 1 or None in values:
        return Index(why=f"the plan's start value for '{setting.name}' is not certain; {_CUT}")
    return Index(
        values.pop(), f"registry {known_settings.DEFAULTS}\\...\\{setting.guid}, the plan's start value"
    )


def _kept(host: Host, guid: str, setting: Setting, name: str) -> Index:
    """What the registry holds for a plan: what was changed, else what the plan starts from."""
    path = f"{known_settings.SCHEMES}\\{guid}\\{setting.subgroup}\\{setting.guid}"
    changed = reads.read(host.registry, path, name, int)
    if changed.absent:
        return _start(host, guid, setting, name)
    return Index(
        changed.value, f"registry {known_settings.SCHEMES}\\...\\{setting.guid}\\{name}", changed.why
    )


def _of_plan(host: Host, guid: str, setting: Setting, mains: bool, name: str) -> Index:
    kept = _kept(host, guid, setting, name)
    call = "PowerReadACValueIndex" if mains else "PowerReadDCValueIndex"
    try:
        value = host.power.setting(guid, setting.subgroup, setting.guid, mains)
    except OSError:
        return kept
    source = f"{call}, plan in force"
    if kept.value not in {None, value}:
        source += f" (the registry holds {kept.value})"
    return Index(value, source)


def _modes(host: Host, mains: bool) -> set[str]:
    """Power modes that may lie over the plan: now, and on mains or on battery."""
    name = f"ActiveOverlay{'Ac' if mains else 'Dc'}PowerScheme"  # from memory
    chosen = _folded(reads.text(host.registry, known_settings.SCHEMES, name))
    return {mode(host), chosen} - {"", known_settings.NO_MODE}


def _overlaid(host: Host, setting: Setting, mains: bool, planned: Index) -> str:
    """Why a power mode makes a plan's value uncertain; empty where it does not."""
    index_name = _INDEX[mains]
    for over in sorted(_modes(host, mains)):
        below = f"{setting.subgroup}\\{setting.guid}\\DefaultPowerSchemeValues\\{over}"
        for name in (f"Override{index_name}", f"Prov{index_name}", index_name):
            value = reads.number(host.registry, f"{known_settings.DEFAULTS}\\{below}", name)
            if value not in {None, planned.value}:
                called = known_settings.MODES.get(over, over)
                return (
                    f"the power mode '{called}' brings its own value for '{setting.name}': "
                    "choose the balanced mode in the power settings and probe again"
                )
    return ""


def _overridden(host: Host, setting: Setting, mains: bool) -> bool | None:
    try:
        return host.power.overridden(setting.guid, mains)
    except OSError:
        return None


def _under_policy(policy: int, planned: Index, overridden: bool | None, source: str, name: str) -> Index:
    if overridden is False and planned.value != policy:
        return Index(
            why=f"the registry has a policy for '{name}' that Windows does not enforce: "
            "restart and probe again"
        )
    return Index(policy, source)


def index(host: Host, plan: Scheme, setting: Setting, mains: bool = True) -> Index:
    """The value of a setting in force, on mains or on battery."""
    name = _INDEX[mains]
    policy = _policy(host, setting, name)
    if policy.value is None and not policy.absent:
        return Index(why=f"the Group Policy for '{setting.name}' cannot be read: {policy.why}")
    planned = _of_plan(host, plan.guid, setting, mains, name) if plan.guid else Index(why=plan.why)
    overridden = _overridden(host, setting, mains)
    if policy.value is not None:
        source = f"Group Policy, registry {known_settings.POLICIES}\\{setting.guid}\\{name}"
        return _under_policy(policy.value, planned, overridden, source, setting.name)
    if overridden:
        return Index(why=f"Group Policy sets '{setting.name}', and its value cannot be seen: ask IT")
    if planned.value is not None and (why := _overlaid(host, setting, mains, planned)):
        return Index(why=why)
    return planned
