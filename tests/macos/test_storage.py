"""Storage: the same space once, media that can be believed, FileVault as it stands."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.snapshot import Form
from pcaudit.probes.macos.all import probes
from pcaudit.probes.macos.tools import ToolError
from pcaudit.probes.runner import run
from tests.macos import macs
from tests.macos.clock import NOW
from tests.macos.recorded import Mac, host, plist, read

_INFO = "diskutil info -plist disk0"


def _volumes(mac: Mac) -> dict[str, dict[str, Any]]:
    return {volume["mount"]: volume for volume in read(mac, "storage.volumes").value}


def _drive(**more: Any) -> Mac:
    return macs.DESKTOP.saying({_INFO: macs.disk("disk0", 1000555581440, **more)})


def test_the_space_of_a_container_is_listed_once() -> None:
    """Trap D4: volumes of one APFS container share its space; only the system volume shows it."""
    volumes = _volumes(macs.DESKTOP)
    assert list(volumes) == ["/", "/Volumes/Runs", "/Volumes/STICK on a (bench)", "/Volumes/raw"]
    assert volumes["/"]["free"] == read(macs.DESKTOP, "storage.system_free").value
    assert (volumes["/Volumes/Runs"]["size"], volumes["/Volumes/Runs"]["free"]) == (None, None)


def test_volumes_are_of_their_kind() -> None:
    """Fixed, removable and network volumes; the latter are not measured, for a dead server hangs."""
    kinds = {mount: volume["kind"] for mount, volume in _volumes(macs.DESKTOP).items()}
    assert kinds == {
        "/": "fixed",
        "/Volumes/Runs": "fixed",
        "/Volumes/STICK on a (bench)": "removable",
        "/Volumes/raw": "network",
    }
    assert _volumes(macs.DESKTOP)["/Volumes/raw"]["free"] is None


def test_a_volume_is_encrypted_where_it_is_locked() -> None:
    """FileVault's lock counts, not the encryption that Apple's drives always do."""
    encrypted = {mount: volume["encrypted"] for mount, volume in _volumes(macs.DESKTOP).items()}
    assert encrypted == {
        "/": False,
        "/Volumes/Runs": True,
        "/Volumes/STICK on a (bench)": None,
        "/Volumes/raw": None,
    }


@pytest.mark.parametrize(
    ("printed", "expected"),
    [
        ("FileVault is On.\n", True),
        ("FileVault is Off.\n", False),
        ("FileVault is Off.\nDeferred enablement appears to be active for user 'alex'.\n", False),
        ("FileVault is On.\nEncryption in progress: Percent completed = 42\n", None),
        ("FileVault is On, but needs to be restarted to finish.\n", None),
        ("Decryption in progress: Percent completed = 80\n", None),
        ("", None),
    ],
)
def test_file_vault_is_on_when_it_is_through(printed: str, expected: bool | None) -> None:
    """What is still being encrypted is not encrypted yet. Texts: fdesetup(8), outputs others recorded."""
    assert (
        read(macs.DESKTOP.saying({"fdesetup status": printed}), "storage.system_encrypted").value is expected
    )


@pytest.mark.parametrize(
    ("info", "media"),
    [
        ({"BusProtocol": "Apple Fabric", "SolidState": True}, "ssd"),
        ({"BusProtocol": "SATA", "SolidState": False}, "hdd"),
        ({"BusProtocol": "Apple Fabric"}, None),
    ],
)
def test_the_medium_is_what_the_drive_says(info: dict[str, Any], media: str | None) -> None:
    """A drive that does not say whether it is solid-state has no medium."""
    assert read(_drive(Internal=True, **info), "storage.system_media").value == media


def test_behind_usb_no_medium_is_believed() -> None:
    """A USB bridge speaks for the drive behind it."""
    answer = {"system_profiler -json SPNVMeDataType": macs.profile("SPNVMeDataType", [])}
    mac = _drive(BusProtocol="USB", SolidState=True, Internal=False).saying(answer)
    assert read(mac, "storage.system_media").form is Form.UNKNOWN


def test_a_fusion_drive_is_as_slow_as_its_slower_part() -> None:
    """A container on a solid-state and a rotating drive is called rotating."""
    stores = {"PhysicalStores": [{"DeviceIdentifier": name} for name in ("disk0s2", "disk1s2")]}
    mac = macs.DESKTOP.saying(
        {
            "diskutil apfs list -plist": plist({"Containers": [{"ContainerReference": "disk3", **stores}]}),
            "diskutil info -plist disk1": macs.disk("disk1", 10**12, BusProtocol="SATA", SolidState=False),
        }
    )
    assert read(mac, "storage.system_media").value == "hdd"


def test_a_part_that_cannot_be_seen_leaves_the_medium_open() -> None:
    """Of two drives one does not answer: the other's medium is not that of both."""
    stores = {"PhysicalStores": [{"DeviceIdentifier": name} for name in ("disk0s2", "disk1s2")]}
    container = plist({"Containers": [{"ContainerReference": "disk3", **stores}]})
    mac = macs.DESKTOP.saying({"diskutil apfs list -plist": container})
    assert read(mac, "storage.system_media").form is Form.UNKNOWN


def test_a_part_without_a_name_leaves_the_medium_open() -> None:
    """A part of a container that names no disk may be any drive."""
    stores = {"PhysicalStores": [{"DeviceIdentifier": "disk0s2"}, {"DeviceIdentifier": "?"}]}
    container = plist({"Containers": [{"ContainerReference": "disk3", **stores}]})
    mac = macs.DESKTOP.saying({"diskutil apfs list -plist": container})
    asked: list[str] = []
    seen = run(probes(host(mac, asked)), "0", lambda: NOW)[0].get("storage.system_media")
    assert seen.form is Form.UNKNOWN
    assert "diskutil info -plist " not in asked


def test_without_the_containers_the_drives_are_not_known() -> None:
    """Where diskutil fails, a container's own disk is not taken for a drive."""
    mac = macs.DESKTOP.saying(
        {"diskutil apfs list -plist": ToolError("/usr/sbin/diskutil failed (status 1)")}
    )
    assert read(mac, "storage.system_media").form is Form.UNKNOWN
    assert read(mac, "storage.system_size").value == 994662584320


def test_drives_are_those_of_metal() -> None:
    """Disk images and disks made of others are no drives; a USB drive's medium is not believed."""
    assert read(macs.DESKTOP, "storage.drives").value == [
        {"model": "APPLE SSD AP1024Z", "size": 1000555581440, "media": "ssd", "bus": "nvme"},
        {"model": "Stick", "size": 64023257088, "media": None, "bus": "usb"},
    ]
    assert read(macs.DESKTOP, "storage.drives").complete


def test_a_drive_that_does_not_answer_makes_the_list_incomplete() -> None:
    """A disk that diskutil lists but says nothing of may be a drive."""
    seen = read(macs.DESKTOP.saying({_INFO: b"rubbish"}), "storage.drives")
    assert not seen.complete
    assert "disk0" in seen.why
