"""The settings of a Windows power plan that matter here, and where the registry keeps them."""

from __future__ import annotations

from typing import Final, NamedTuple


class Setting(NamedTuple):
    """One setting of a power plan.

    Attributes:
        name: For messages.
        subgroup, guid: How Windows knows it.
    """

    name: str
    subgroup: str
    guid: str


# GUIDs and values: Microsoft Learn, "Configure power settings" and the page of each setting below it,
# and winnt.h for the subgroups. Read 2026-11-25.
_SLEEP: Final = "238c9fa8-0aad-41ed-83f4-97be242c8f20"
SLEEP: Final = Setting("sleep after", _SLEEP, "29f6c1db-86da-48c5-9fdb-f2b67b1f44da")
"""Seconds; 0 is never. Page "Sleep idle timeout"."""
UNATTENDED: Final = Setting("unattended sleep", _SLEEP, "7bc4a2f9-d8fc-4469-b07b-33eb785aaca0")
"""Seconds before sleep after a wake-up nobody caused; 0 is never. Page "Sleep unattended idle timeout"."""
HIBERNATE: Final = Setting("hibernate after", _SLEEP, "9d7815a6-7ee4-497e-8888-515a05f02364")
"""Seconds; 0 is never, under Modern Standby Windows's own choice. Page "Hibernate idle timeout"."""
SCREEN: Final = Setting(
    "turn off the display after",
    "7516b95f-f776-4464-8c53-06167f40cc99",
    "3c0bc021-c8a8-4e07-a973-6b14cbcb2b7e",
)
"""Seconds; 0 is never. Page "Display idle timeout"."""
DISK: Final = Setting(
    "turn off the hard disk after",
    "0012ee47-9041-4b5d-9b77-535fba8b1442",
    "6738e2c4-e8a5-4a42-b16a-e040e769756e",
)
"""Seconds; 0 is never. Page "Disk idle timeout"."""
USB: Final = Setting(
    "USB selective suspend", "2a737441-1930-4402-8d77-b2bebba308a3", "48e6b7a6-50f5-4782-a5d4-53bb8f07e226"
)
"""0 off, 1 on. Common practice, no source."""
PCIE: Final = Setting(
    "link state power management",
    "501a4d13-42af-4429-9fd1-a8218c268e20",
    "ee12f906-d277-404b-b6da-e5fa1a576df5",
)
"""0 off, 1 moderate, 2 maximum power savings. Page "Link state power management"."""
LID: Final = Setting(
    "lid close action", "4f971e89-eebd-4455-a8de-9e59040e7347", "5ca83367-6e45-459f-a27b-476b1d01c936"
)
"""0 nothing, 1 sleep, 2 hibernate, 3 shut down. Page "Lid switch close action"."""

PLANS: Final = {
    # winnt.h: GUID_TYPICAL_POWER_SAVINGS, GUID_MIN_POWER_SAVINGS, GUID_MAX_POWER_SAVINGS.
    "381b4222-f694-41f0-9685-ff5bb260df2e": "Balanced",
    "8c5e7fda-e8bf-4a96-9a85-a6e23a8c635c": "High performance",
    "a1841308-3541-4fab-bc81-f71556f20b4a": "Power saver",
    # From memory.
    "e9a42b02-d5df-448d-aa00-03f14749eb61": "Ultimate Performance",
}
"""English names of the plans Windows brings, whatever the language of its user interface."""

MODES: Final = {
    # Common practice, no source.
    "961cc777-2547-4f9d-8174-7d86181b8a7a": "best power efficiency",
    "3af9b8d9-7c97-431d-ad78-34a8bfea439f": "better performance",
    "ded574b5-45a0-4f42-8737-46345c09c238": "best performance",
}
"""Power modes that may lie over a plan."""
NO_MODE: Final = "00000000-0000-0000-0000-000000000000"

POLICIES: Final = r"HKLM\SOFTWARE\Policies\Microsoft\Power\PowerSettings"
"""Where Group Policy puts power settings: Power.admx."""
SCHEMES: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\Power\User\PowerSchemes"
"""Where Windows keeps what was changed in a plan. From memory."""
DEFAULTS: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\Power\PowerSettings"
"""Where Windows keeps the settings and what each plan starts from. From memory."""
