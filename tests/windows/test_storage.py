"""Volumes and drives of Windows hosts."""

from __future__ import annotations

import struct
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.decode import windows_storage as decode
from pcaudit.probes.windows import storage, volumes
from pcaudit.probes.windows.calls.storage import NoMediumError, StorageCalls
from pcaudit.probes.windows.calls.win32 import NoAnswerError
from pcaudit.probes.windows.volumes import Space
from tests.windows.pc import CONTROL, bios, pc, product, raw_smbios, readings

GB = 10**9
FIXED, REMOVABLE, REMOTE, OPTICAL = volumes.FIXED, volumes.REMOVABLE, volumes.REMOTE, volumes.OPTICAL
# STORAGE_BUS_TYPE, winioctl.h.
SCSI, ATA, USB, RAID, ISCSI, SAS, SATA, SD = 1, 3, 7, 8, 9, 10, 11, 12
VIRTUAL, FILE_BACKED, SPACES, NVME, NVME_NETWORK = 14, 15, 16, 17, 20
NO_MEDIUM = NoMediumError("GetVolumeInformationW: there is nothing in the drive")
REFUSED = NoAnswerError("GetVolumeInformationW failed with Windows error 2150694912")


# -- structures, as winioctl.h has them


def descriptor(
    bus: int, product: str = "Example Drive 1", vendor: str = "", removable: bool = False
) -> bytes:
    """STORAGE_DEVICE_DESCRIPTOR with its texts behind it."""
    texts = vendor.encode() + b"\0" + product.encode() + b"\0"
    vendor_at = 36 if vendor else 0
    product_at = 36 + len(vendor) + 1
    head = struct.pack(
        "<IIBBBBIIIIII", 40, 36 + len(texts), 0, 0, removable, 1, vendor_at, product_at, 0, 0, bus, 0
    )
    return head + texts


def flag(value: bool) -> bytes:
    """DEVICE_SEEK_PENALTY_DESCRIPTOR or DEVICE_TRIM_DESCRIPTOR."""
    return struct.pack("<IIB3x", 12, 12, value)


def extents(*parts: tuple[int, int]) -> bytes:
    """VOLUME_DISK_EXTENTS: number of the drive and bytes of each part."""
    return struct.pack("<I4x", len(parts)) + b"".join(
        struct.pack("<I4xqq", drive, 1 << 20, length) for drive, length in parts
    )


def geometry(size: int) -> bytes:
    """DISK_GEOMETRY_EX."""
    return struct.pack("<qIIIIq", 1000, 12, 255, 63, 512, size) + bytes(8)


# -- a PC


class Disk(NamedTuple):
    """What one drive answers; an ``OSError`` is raised."""

    descriptor: bytes | OSError
    seeks: bool | None = None
    trims: bool | None = None
    size: int | OSError = 500 * GB


class Volume(NamedTuple):
    """What Windows answers about one volume; an ``OSError`` is raised."""

    points: tuple[str, ...]
    kind: int = FIXED
    space: tuple[int, int, int] | OSError = (100 * GB, 400 * GB, 100 * GB)
    file_system: str | OSError = "NTFS"
    parts: tuple[tuple[int, int], ...] = ((0, 400 * GB),)
    protection: int | None = None


SSD = Disk(descriptor(NVME), seeks=False, trims=True)
HDD = Disk(descriptor(SATA, "Example Disk 2"), seeks=True, trims=False)
C = Volume(("C:\\",), protection=2)


class Answers:
    """Stands in for Windows's answers about storage."""

    def __init__(
        self,
        local: Mapping[str, Volume],
        disks: Mapping[int, Disk],
        letters: Mapping[str, tuple[str, Volume]],
    ) -> None:
        self.local = {rf"\\?\Volume{{{name}}}" + "\\": volume for name, volume in local.items()}
        self.disks = disks
        self.letters = letters
        self.slow: dict[str, threading.Event] = {}

    def _volume(self, root: str) -> Volume:
        for volume in self.local.values():
            if root in volume.points:
                return volume
        return self.letters[root][1]

    def _held(self, root: str) -> Volume:
        """As ``_volume``, once the server answers."""
        if root in self.slow:
            self.slow[root].wait()
        return self._volume(root)

    def _given(self, answer: Any) -> Any:
        if isinstance(answer, OSError):
            raise answer
        return answer

    def _protection(self, root: str) -> int:
        value = self._volume(root).protection
        if value is None:
            raise NoAnswerError("PSGetPropertyKeyFromName failed with 0x80004001")
        return value

    def _control(self, path: str, code: int, given: bytes) -> bytes:
        if code == decode.DISK_EXTENTS:
            return extents(*self.local[f"{path}\\"].parts)
        number = int(path.removeprefix(r"\\.\PhysicalDrive"))
        if number not in self.disks:
            raise FileNotFoundError(2, path)
        disk = self.disks[number]
        if code == decode.GEOMETRY:
            return geometry(self._given(disk.size))
        answer = {
            decode.DEVICE_PROPERTY: disk.descriptor,
            decode.SEEK_PENALTY_PROPERTY: disk.seeks,
            decode.TRIM_PROPERTY: disk.trims,
        }[int.from_bytes(given[:4], "little")]
        if answer is None:
            raise NoAnswerError("DeviceIoControl 0x2d1400 failed with Windows error 50")
        return flag(answer) if isinstance(answer, bool) else bytes(self._given(answer))

    def calls(self) -> StorageCalls:
        """The calls."""
        points = [point for volume in self.local.values() for point in volume.points if len(point) == 3]
        return StorageCalls(
            volumes=lambda: list(self.local),
            mount_points=lambda name: list(self.local[name].points),
            letters=lambda: sorted([*points, *self.letters]),
            kind=lambda root: self._volume(root).kind,
            device=lambda letter: self.letters.get(f"{letter}\\", (rf"\Device\{letter}", C))[0],
            file_system=lambda root: str(self._given(self._held(root).file_system)),
            space=lambda root: tuple(self._given(self._held(root).space)),
            system_mount=lambda: "C:\\",
            control=self._control,
            protection=self._protection,
        )


def probe(
    local: Mapping[str, Volume] | None = None,
    disks: Mapping[int, Disk] | None = None,
    letters: Mapping[str, tuple[str, Volume]] | None = None,
    change: Callable[[Answers], None] = lambda answers: None,
    replaced: Mapping[str, Any] | None = None,
    **system: Any,
) -> dict[str, Observation]:
    """Every reading of the group; by default one NVMe drive with one volume."""
    answers = Answers(
        {"1": C} if local is None else local, {0: SSD} if disks is None else disks, letters or {}
    )
    change(answers)
    return readings(storage, pc(**system)._replace(storage=answers.calls()._replace(**(replaced or {}))))


def items(**given: Any) -> list[dict[str, Any]]:
    """The volumes."""
    found = probe(**given)["storage.volumes"].value
    assert isinstance(found, list)
    return found


def drive_items(*disks: Disk, **system: Any) -> list[dict[str, Any]]:
    """The drives."""
    found = probe(disks=dict(enumerate(disks)), **system)["storage.drives"].value
    assert isinstance(found, list)
    return found


def test_one_drive_one_volume() -> None:
    """A PC with one NVMe drive: every reading has its value and says who spoke."""
    seen = probe()
    assert seen["storage.volumes"].value == [
        {
            "mount": "C:\\",
            "filesystem": "NTFS",
            "size": 400 * GB,
            "free": 100 * GB,
            "used": 300 * GB,
            "kind": "fixed",
            "media": "ssd",
            "encrypted": False,
            "system": True,
        }
    ]
    assert seen["storage.volumes"].complete
    assert (seen["storage.system_size"].value, seen["storage.system_free"].value) == (400 * GB, 100 * GB)
    assert seen["storage.system_used"].value == 300 * GB
    assert seen["storage.system_filesystem"].value == "NTFS"
    assert seen["storage.system_media"].value == "ssd"
    assert "GetDiskFreeSpaceExW" in seen["storage.system_free"].source
    assert seen["storage.drives"].value == [
        {"model": "Example Drive 1", "size": 500 * GB, "media": "ssd", "bus": "nvme"}
    ]


def test_dead_server_costs_its_own_line_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Trap D1: a network drive whose server is gone is a line of unknowns, in time, and C is read."""
    monkeypatch.setattr(storage, "_PATIENCE", 0.1)
    gate = threading.Event()

    def hold(answers: Answers) -> None:
        answers.slow["Z:\\"] = gate

    letters = {"Z:\\": (r"\Device\LanmanRedirector\;Z:0001\server\data", Volume((), REMOTE))}
    began = time.monotonic()
    try:
        seen = probe(letters=letters, change=hold)
    finally:
        gate.set()
    assert time.monotonic() - began < 2
    first, second = seen["storage.volumes"].value
    assert first["free"] == 100 * GB
    assert (second["mount"], second["kind"], second["size"], second["free"]) == (
        "Z:\\",
        "network",
        None,
        None,
    )


def test_network_drive_is_listed_once() -> None:
    """Two letters for the same share are one space; another share is another."""
    share = Volume((), REMOTE, space=(GB, 2 * GB, GB))
    letters = {
        "X:\\": (r"\Device\LanmanRedirector\;X:0001\server\data", share),
        "Y:\\": (r"\Device\LanmanRedirector\;Y:0001\server\data", share),
        "Z:\\": (r"\Device\LanmanRedirector\;Z:0001\server\other", share),
    }
    assert [item["mount"] for item in items(letters=letters)] == ["C:\\", "X:\\", "Z:\\"]


@pytest.mark.parametrize("kind", [REMOVABLE, OPTICAL])
def test_empty_reader_is_no_volume(kind: int) -> None:
    """Trap D2: a card reader or disc drive without a medium is left out and costs nothing else."""
    empty = Volume(("E:\\",), kind, space=NO_MEDIUM, file_system=NO_MEDIUM)
    assert [item["mount"] for item in items(local={"1": C, "2": empty})] == ["C:\\"]


@pytest.mark.parametrize("kind", [FIXED, REMOVABLE])
def test_volume_that_cannot_be_read_stays_listed(kind: int) -> None:
    """A volume that refuses (locked, damaged) is there, with everything unknown."""
    locked = Volume(("D:\\",), kind, space=REFUSED, file_system=REFUSED, protection=6)
    second = items(local={"1": C, "2": locked})[1]
    assert (second["filesystem"], second["size"], second["free"]) == (None, None, None)
    assert second["encrypted"] is True


def test_system_volume_that_cannot_be_read_says_why() -> None:
    """Where the system volume refuses, its readings give Windows's own reason."""
    seen = probe({"1": C._replace(space=REFUSED)})
    for name in ("size", "free", "used", "filesystem"):
        assert "2150694912" in seen[f"storage.system_{name}"].why
    assert seen["storage.system_media"].value == "ssd"


def test_letter_where_nothing_answers() -> None:
    """Trap D1: the letter of a network drive that is not connected stays listed, as unknown."""
    letters = {"Z:\\": (r"\Device\LanmanRedirector\;Z:0001\server\data", Volume((), volumes.NO_ROOT))}
    second = items(letters=letters)[1]
    assert (second["mount"], second["kind"], second["free"]) == ("Z:\\", None, None)


def test_lists_that_windows_refuses() -> None:
    """Without one list the other still gives C, and the list stays open; without both it is unknown."""

    def refuse(*_: Any) -> Any:
        raise REFUSED

    for name in ("volumes", "letters", "mount_points"):
        seen = probe(replaced={name: refuse})
        assert not seen["storage.volumes"].complete, name
        assert seen["storage.system_size"].value == 400 * GB, name
    seen = probe(replaced={"volumes": refuse, "letters": refuse})
    assert seen["storage.volumes"].form is seen["storage.system_size"].form is Form.UNKNOWN
    seen = probe(replaced={"system_mount": refuse})
    assert seen["storage.system_size"].form is Form.UNKNOWN
    assert len(seen["storage.volumes"].value) == 1


def test_folder_mount_and_substituted_letter() -> None:
    """Traps D4, D10: a volume mounted in a folder is listed; a letter for a folder is the same space."""
    folder = Volume(("C:\\Data\\",), space=(GB, 2 * GB, GB), parts=((0, 2 * GB),))
    letters = {"S:\\": ("\\??\\C:\\Work", C)}
    assert [item["mount"] for item in items(local={"1": C, "2": folder}, letters=letters)] == [
        "C:\\",
        "C:\\Data\\",
    ]


def test_volume_with_two_mount_points_is_one() -> None:
    """Trap D4: the same volume under a letter and in a folder is listed once, by its letter."""
    twice = Volume(("C:\\Mounted\\", "D:\\"), parts=((0, GB),))
    assert [item["mount"] for item in items(local={"1": C, "2": twice})] == ["C:\\", "D:\\"]


def test_letter_that_a_driver_makes_up_is_not_fixed() -> None:
    """Trap D5: what calls itself fixed with no drive under it is of unknown kind and media."""
    letters = {"G:\\": (r"\Device\Volume{0a}", Volume((), FIXED, space=(9 * GB, 9 * GB, 9 * GB)))}
    second = items(letters=letters)[1]
    assert (second["mount"], second["kind"], second["media"]) == ("G:\\", None, None)


@pytest.mark.parametrize(
    ("disk", "kind", "media"),
    [
        (Disk(descriptor(USB), seeks=False, trims=True), "removable", None),
        (Disk(descriptor(FILE_BACKED), seeks=False), None, None),
        (Disk(descriptor(ISCSI), seeks=False), None, None),
        (Disk(descriptor(SPACES), seeks=False), "fixed", None),
        (HDD, "fixed", "hdd"),
    ],
)
def test_kind_follows_the_drive(disk: Disk, kind: str | None, media: str | None) -> None:
    """Trap D5: Windows calls USB disks, disk images and iSCSI fixed; the drive under them says more."""
    item = items(disks={0: disk})[0]
    assert (item["kind"], item["media"]) == (kind, media)


def test_volume_across_drives_is_as_good_as_the_worst() -> None:
    """Trap D9: a volume over an SSD and a hard disk lies on a hard disk; over an unknown one, unknown."""
    spanned = C._replace(parts=((0, 200 * GB), (1, 200 * GB)))
    local = {"1": spanned}
    assert probe(local, {0: SSD, 1: HDD})["storage.system_media"].value == "hdd"
    seen = probe(local, {0: SSD, 1: Disk(descriptor(RAID, "Array"))})["storage.system_media"]
    assert seen.form is Form.UNKNOWN and "Array: a RAID controller" in seen.why
    assert probe(local, {0: SSD})["storage.system_media"].form is Form.UNKNOWN


def test_volume_whose_drives_are_not_named() -> None:
    """Without disk extents nothing is said of media or kind."""
    seen = probe({"1": C._replace(parts=())})
    assert seen["storage.system_media"].form is Form.UNKNOWN
    assert "Disk Management" in seen["storage.system_media"].why
    assert seen["storage.volumes"].value[0]["kind"] is None


@pytest.mark.parametrize(
    ("disk", "media", "bus"),
    [
        (SSD, "ssd", "nvme"),
        (Disk(descriptor(NVME)), "ssd", "nvme"),
        (Disk(descriptor(NVME), seeks=True), None, "nvme"),
        (Disk(descriptor(SATA), seeks=False, trims=True), "ssd", "sata"),
        (Disk(descriptor(SATA), seeks=False, trims=False), None, "sata"),
        (Disk(descriptor(SATA), seeks=False), None, "sata"),
        (Disk(descriptor(SATA), seeks=True), "hdd", "sata"),
        (Disk(descriptor(SATA), seeks=True, trims=True), None, "sata"),
        (Disk(descriptor(SATA)), None, "sata"),
        (Disk(descriptor(SAS), seeks=True, trims=False), "hdd", "sas"),
        (Disk(descriptor(ATA), seeks=False, trims=True), "ssd", None),
        (Disk(descriptor(SCSI), seeks=False), None, "scsi"),
        (Disk(descriptor(USB), seeks=False), None, "usb"),
        (Disk(descriptor(SD, removable=True), seeks=False), None, "sd"),
        (Disk(descriptor(RAID), seeks=False), None, None),
        (Disk(descriptor(99), seeks=False), None, None),
        (Disk(descriptor(SATA, "QEMU HARDDISK"), seeks=False, trims=True), None, "sata"),
        (Disk(descriptor(SCSI, "VirtIO", "Red Hat"), seeks=False), None, "virtio"),
        (Disk(descriptor(SCSI, "Virtual Disk"), seeks=False), None, None),
    ],
)
def test_media_needs_two_answers_that_agree(disk: Disk, media: str | None, bus: str | None) -> None:
    """Traps D7, D8: media is said only where bus, seek penalty and trim can be believed and agree."""
    (item,) = drive_items(disk)
    assert (item["media"], item["bus"]) == (media, bus)


def test_guest_does_not_know_what_its_drive_is_kept_on() -> None:
    """Trap D7: on a virtual machine even a drive that says SSD is of unknown media."""
    guest = raw_smbios(bios(), product("QEMU", "Standard PC", "1", "0"))
    first, second = drive_items(SSD, Disk(descriptor(VIRTUAL)), smbios=guest)
    assert (first["media"], first["bus"]) == (None, "nvme")
    assert (second["media"], second["bus"]) == (None, None)
    unnamed = probe(smbios=NoAnswerError("no table"))["storage.system_media"]
    assert unnamed.form is Form.UNKNOWN and "virtual drive is unknown" in unnamed.why


def test_card_reader_without_card_is_no_drive() -> None:
    """Trap D2: a removable drive without a medium is left out, a fixed one without a size is not."""
    reader = Disk(descriptor(USB, "Reader", removable=True), size=NO_MEDIUM)
    mute = Disk(descriptor(SATA, "Mute"), seeks=False, size=REFUSED)
    assert [(item["model"], item["size"]) for item in drive_items(reader, mute)] == [("Mute", None)]


def test_gap_in_the_numbers_of_drives() -> None:
    """A drive taken out leaves a gap in the numbers; those after it are still listed."""
    seen = probe(disks={0: SSD, 5: HDD})["storage.drives"]
    assert [item["model"] for item in seen.value] == ["Example Drive 1", "Example Disk 2"]


@pytest.mark.parametrize(
    ("disk", "shown", "why"),
    [
        (Disk(descriptor(RAID, "Array")), 2, "RAID controller"),
        (Disk(descriptor(SPACES, "Space")), 1, "storage space"),
        (Disk(PermissionError(13, "denied")), 2, "PhysicalDrive1"),
        (Disk(b"short"), 2, "cut short"),
    ],
)
def test_what_may_hide_drives_leaves_the_list_open(disk: Disk, shown: int, why: str) -> None:
    """Trap D9: arrays, storage spaces and drives that refuse leave the list open, with the reason."""
    seen = probe(disks={0: SSD, 1: disk})["storage.drives"]
    assert len(seen.value) == shown
    assert not seen.complete and why in seen.why


@pytest.mark.parametrize("bus", [ISCSI, VIRTUAL, FILE_BACKED, NVME_NETWORK])
def test_disk_image_and_network_disk_are_no_drives(bus: int) -> None:
    """What lies in a file or on a network is no drive of this PC."""
    assert [item["bus"] for item in drive_items(SSD, Disk(descriptor(bus)))] == ["nvme"]


def test_no_drive_at_all_is_unknown() -> None:
    """Where Windows shows no drive, drives are unknown rather than none."""
    assert probe(disks={})["storage.drives"].form is Form.UNKNOWN


@pytest.mark.parametrize(("number", "value"), [(1, True), (2, False), (6, True)])
def test_bitlocker_states_that_are_clear(number: int, value: bool) -> None:
    """Protected and locked are encrypted; off is not, as far as BitLocker goes."""
    seen = probe({"1": C._replace(protection=number)})
    assert seen["storage.system_encrypted"].value is value
    assert seen["storage.volumes"].value[0]["encrypted"] is value


@pytest.mark.parametrize(
    ("number", "why"),
    [
        (3, "wait"),
        (4, "wait"),
        (5, "resume"),
        (8, "finish"),
        (0, "manage-bde"),
        (7, "manage-bde"),
        (99, "manage-bde"),
    ],
)
def test_bitlocker_states_in_between_are_unknown(number: int, why: str) -> None:
    """Trap D11: suspended, half done and unnamed states are neither encrypted nor not."""
    seen = probe({"1": C._replace(protection=number)})
    assert seen["storage.system_encrypted"].form is Form.UNKNOWN
    assert why in seen["storage.system_encrypted"].why
    assert seen["storage.volumes"].value[0]["encrypted"] is None


def test_no_word_on_bitlocker_is_not_off() -> None:
    """Trap D11: where the shell does not answer, encryption is unknown and says who may ask."""
    seen = probe({"1": C._replace(protection=None)})["storage.system_encrypted"]
    assert seen.form is Form.UNKNOWN and "as administrator" in seen.why


@pytest.mark.parametrize(
    ("given", "taken", "expected"),
    [
        ((100, 400, 100), 0, Space(400, 100, 300)),
        ((50, 60, 300), 400, Space(None, 50, None)),
        ((50, 60, 300), 0, Space(None, 50, None)),
        ((90, 396, 100), 400, Space(396, 90, 296)),
        ((0, 400, 0), 400, Space(400, 0, 400)),
        ((0, 0, 0), 400, Space()),
        ((500, 400, 500), 400, Space()),
    ],
)
def test_space_under_a_quota(given: tuple[int, int, int], taken: int, expected: Space) -> None:
    """Trap D6: free is what the caller may fill; a quota is not taken for the size of the volume."""
    assert volumes.space(given, taken) == expected


def test_quota_on_the_system_volume_says_so() -> None:
    """Trap D6: under a quota free space is known, size and used say why they are not."""
    seen = probe({"1": C._replace(space=(5 * GB, 10 * GB, 100 * GB))})
    assert seen["storage.system_free"].value == 5 * GB
    assert seen["storage.system_size"].form is seen["storage.system_used"].form is Form.UNKNOWN
    assert "quota" in seen["storage.system_size"].why


def test_system_volume_that_is_not_named() -> None:
    """Where Windows does not say where it is, readings of its volume are unknown, volumes are listed."""

    def lose(answers: Answers) -> None:
        answers.local = {name: volume._replace(points=("D:\\",)) for name, volume in answers.local.items()}

    seen = probe(change=lose)
    assert seen["storage.system_size"].form is Form.UNKNOWN
    assert seen["storage.volumes"].value[0]["system"] is False


def test_windows_on_another_volume() -> None:
    """Trap D10: the system volume is the one the Windows folder is on, whatever its letter."""
    other = C._replace(points=("D:\\",), space=(7 * GB, 8 * GB, 7 * GB))
    seen = probe({"1": C, "2": other}, replaced={"system_mount": lambda: "d:\\"})
    assert seen["storage.system_free"].value == 7 * GB
    assert [item["system"] for item in seen["storage.volumes"].value] == [False, True]


def test_container_has_no_volumes_of_the_pc() -> None:
    """Trap C3: inside a container, volumes and drives are not the PC's."""
    seen = probe(registry={CONTROL: {"ContainerType": 1}})
    assert {given.form for given in seen.values()} == {Form.UNKNOWN}


@pytest.mark.parametrize("read", [decode.extents, decode.descriptor, decode.flag, decode.drive_size])
def test_structure_cut_short_is_refused(read: Callable[[bytes], Any]) -> None:
    """A decoder never makes a value of bytes that are not there."""
    for length in (0, 3, 7):
        with pytest.raises(ValueError, match=r"cut short|no number"):
            read(bytes(length))
    with pytest.raises(ValueError, match="cut short"):
        decode.extents(extents((0, 5), (1, 5))[:-1])


def test_descriptor_without_texts() -> None:
    """Offsets of zero or beyond the end stand for no text."""
    data = struct.pack("<IIBBBBIIIIII", 40, 36, 0, 0, 1, 1, 0, 0xFFFFFFFF, 0, 0, USB, 0)
    assert decode.descriptor(data) == decode.Descriptor("", "", USB, removable=True)
    assert decode.query(7) == bytes((7, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0))
