"""Volumes and drives of Linux hosts."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.decode import mountinfo
from pcaudit.probes.linux import storage
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import live
from tests.probes.hosts import Entry, Link, host

_REAL: dict[str, Entry] = {
    "/proc/self/ns/pid": Link("pid:[4026531836]"),
    "/proc/cpuinfo": "processor : 0\nflags\t: fpu sse sse2\n",
    "/sys/class/dmi/id/sys_vendor": "Example Works",
}
_GUEST: dict[str, Entry] = {**_REAL, "/proc/cpuinfo": "processor : 0\nflags\t: fpu hypervisor sse\n"}
_SATA = "/sys/devices/pci0/ata{n}/host{n}/target{n}:0:0/{n}:0:0:0"


def rate(value: int) -> bytes:
    """VPD page B1h with a medium rotation rate (SBC-4)."""
    return b"\x00\xb1\x00\x3c" + value.to_bytes(2, "big") + bytes(58)


def listed(name: str, number: str, path: str) -> dict[str, Entry]:
    """The links by which the kernel shows a block device."""
    return {
        f"/sys/dev/block/{number}": Link(f"../..{path[4:]}"),
        f"/sys/class/block/{name}": Link(f"../..{path[4:]}"),
    }


def drive(
    name: str, number: str, device: str, rotational: int, sectors: int = 2000, **files: Entry
) -> dict[str, Entry]:
    """A whole drive; ``files`` go to its device folder."""
    path = f"{device}/block/{name}"
    return {
        f"/sys/block/{name}": Link(f"..{path[4:]}"),
        **listed(name, number, path),
        f"{path}/device": Link("../.."),
        f"{path}/size": str(sectors),
        f"{path}/queue/rotational": str(rotational),
        f"{path}/removable": "0",
        **{f"{device}/{key}": value for key, value in files.items()},
    }


def sata(letter: str, number: int, *, rotational: int, **files: Entry) -> dict[str, Entry]:
    """A SATA drive with one partition."""
    device = _SATA.format(n=number)
    name = f"sd{letter}"
    part = f"{device}/block/{name}/{name}1"
    return {
        f"/sys/class/scsi_host/host{number}/proc_name": "ahci",
        **drive(name, f"8:{16 * number}", device, rotational, 2000, **files),
        f"{part}/partition": "1",
        **listed(f"{name}1", f"8:{16 * number + 1}", part),
    }


def mapped(name: str, number: str, uuid: str, *below: str) -> dict[str, Entry]:
    """A device-mapper device over others."""
    path = f"/sys/devices/virtual/block/{name}"
    return {
        f"/sys/block/{name}": Link(f"..{path[4:]}"),
        **listed(name, number, path),
        f"{path}/dm/uuid": uuid,
        f"{path}/dm/name": f"map-{name}",
        f"{path}/size": "2000",
        f"{path}/slaves/": "",
        **{f"{path}/slaves/{part}": "" for part in below},
    }


def mounts(*lines: str, options: str = "rw") -> dict[str, Entry]:
    """A mountinfo file; each line is ``device root point type source``."""
    text = ""
    for number, line in enumerate(lines):
        device, root, point, kind, source = line.split(" ")
        parent = 10 if point != "/" else 1
        text += f"{10 + number} {parent} {device} {root} {point} rw shared:1 - {kind} {source} {options}\n"
    return {"/proc/self/mountinfo": text}


def sizes(blocks: int, available: int, unit: int = 4096) -> os.statvfs_result:
    """An answer of statvfs with a block size that must not be used in place of the unit."""
    return os.statvfs_result((1 << 20, unit, blocks, available + 5, available, 0, 0, 0, 0, 255))


def probe(
    files: Mapping[str, Entry], statvfs: Callable[[str], os.statvfs_result] | None = None
) -> dict[str, Observation]:
    """Every reading of the group."""
    seen = host(files, statvfs=statvfs or (lambda path: sizes(1000, 400)))
    out: dict[str, Observation] = {}
    for each in storage.probes(seen):
        given = each.take()
        assert set(given) == set(each.reads)
        out.update(given)
    return out


_ROOT = "8:17 / / ext4 /dev/sda1"


def test_system_volume_on_a_solid_state_drive() -> None:
    """Size, free space, media and encryption of a plain partition on a real PC."""
    seen = probe({**_REAL, **sata("a", 1, rotational=0, vpd_pgb1=rate(1)), **mounts(_ROOT)})
    assert seen["storage.system_size"].value == 4096 * 1000
    assert seen["storage.system_free"].value == 4096 * 400
    assert seen["storage.system_used"].value == 4096 * (1000 - 405)
    assert seen["storage.system_filesystem"].value == "ext4"
    assert seen["storage.system_media"].value == "ssd"
    assert seen["storage.system_encrypted"].value is False
    assert "drive's own encryption is not seen" in seen["storage.system_encrypted"].source
    assert seen["storage.volumes"].value == [
        {
            "mount": "/",
            "filesystem": "ext4",
            "size": 4096 * 1000,
            "free": 4096 * 400,
            "used": 4096 * 595,
            "kind": "fixed",
            "media": "ssd",
            "encrypted": False,
            "system": True,
        }
    ]


@pytest.mark.parametrize(
    ("machine", "rotational", "page", "media"),
    [
        (_REAL, 0, None, "ssd"),
        (_REAL, 1, None, "hdd"),
        (_REAL, 1, rate(7200), "hdd"),
        (_REAL, 0, rate(7200), None),  # queue/rotational was set by hand
        (_REAL, 1, rate(1), None),
        (_REAL, 0, rate(2), None),  # reserved by SBC-4
        (_GUEST, 0, None, None),
        (_GUEST, 1, rate(0), None),
        (_GUEST, 0, rate(1), "ssd"),
        (_GUEST, 1, rate(5400), "hdd"),
    ],
)
def test_media_needs_a_source_that_can_be_believed(
    machine: Mapping[str, Entry], rotational: int, page: bytes | None, media: str | None
) -> None:
    """The kernel's flag counts on a real PC only, and never against what the drive itself says."""
    files: dict[str, Entry] = {} if page is None else {"vpd_pgb1": page}
    seen = probe({**machine, **sata("a", 1, rotational=rotational, **files), **mounts(_ROOT)})
    assert seen["storage.drives"].value[0]["media"] == media
    assert seen["storage.system_media"].value == media
    assert media or seen["storage.system_media"].why


@pytest.mark.parametrize(
    ("device", "name", "bus", "media"),
    [
        ("/sys/devices/pci0/nvme/nvme0", "nvme0n1", "nvme", "ssd"),
        ("/sys/devices/pci0/usb2/2-1/host7/target7:0:0/7:0:0:0", "sdb", "usb", None),
        ("/sys/devices/pci0/virtio1", "vda", "virtio", None),
        ("/sys/devices/pci0/mmc_host/mmc0/mmc0:1", "mmcblk0", "sd", None),
        ("/sys/devices/pci0/host0/port-0:0/end_device-0:0/target0:0:0/0:0:0:0", "sdc", "sas", "ssd"),
        ("/sys/devices/pci0/host1/target1:2:0/1:2:0:0", "sdd", "scsi", None),
        ("/sys/devices/vbd-51712", "xvda", None, None),
    ],
)
def test_bus_and_media_by_the_drive_s_place(
    device: str, name: str, bus: str | None, media: str | None
) -> None:
    """The bus is where the drive hangs; behind bridges, controllers and hypervisors media is unknown."""
    seen = probe({**_REAL, **drive(name, "8:0", device, rotational=0), **mounts(_ROOT)})
    assert seen["storage.drives"].value == [{"model": None, "size": 1_024_000, "media": media, "bus": bus}]


def test_what_is_no_drive_is_not_listed() -> None:
    """Loops, optical drives, boot areas of flash chips, empty readers and network drives are no drives."""
    usb = "/sys/devices/pci0/usb1/host9/target9:0:0/9:0:0:0"
    files = {
        **_REAL,
        **drive("loop0", "7:0", "/sys/devices/virtual/x", rotational=0),
        **drive("sr0", "11:0", _SATA.format(n=5), rotational=1),
        **drive("mmcblk0boot0", "179:8", "/sys/devices/pci0/mmc_host/mmc0", rotational=0),
        **drive("sdf", "8:80", usb, rotational=1, sectors=0),
        **drive("sdg", "8:96", "/sys/devices/platform/host3/session1/target3:0:0/3:0:0:0", rotational=0),
        **mapped("dm-0", "253:0", "LVM-x"),
        **mounts(_ROOT),
    }
    assert probe(files)["storage.drives"].value == []


def test_ata_model_is_read_in_full() -> None:
    """A name longer than the kernel's sixteen letters comes from the drive's own identification."""
    words = "EXAMPLE DRIVE 3000 LONG NAME".ljust(40).encode()
    swapped = bytearray(words)
    swapped[0::2], swapped[1::2] = words[1::2], words[0::2]
    page = bytes(60 + 54) + bytes(swapped) + bytes(418)
    files = sata("a", 1, rotational=0, model="EXAMPLE DRIVE 30", vpd_pg89=page)
    assert (
        probe({**_REAL, **files, **mounts(_ROOT)})["storage.drives"].value[0]["model"]
        == words.decode().strip()
    )


def test_mixed_drives_count_as_the_worst() -> None:
    """A volume over a solid-state and a rotating drive is as slow as the rotating one."""
    files = {
        **_REAL,
        **sata("a", 1, rotational=0, vpd_pgb1=rate(1)),
        **sata("b", 2, rotational=1, vpd_pgb1=rate(7200)),
        **mapped("dm-0", "253:0", "LVM-x", "sda1", "sdb1"),
        **mounts("253:0 / / ext4 /dev/mapper/map-dm-0"),
    }
    assert probe(files)["storage.system_media"].value == "hdd"


def test_one_doubtful_drive_makes_the_media_unknown() -> None:
    """A volume over a good drive and one that hides what it is has no known media."""
    usb = "/sys/devices/pci0/usb1/host9/target9:0:0/9:0:0:0"
    files = {
        **_REAL,
        **sata("a", 1, rotational=0, vpd_pgb1=rate(1)),
        **drive("sdb", "8:32", usb, rotational=0),
        **mapped("dm-0", "253:0", "LVM-x", "sda1", "sdb"),
        **mounts("253:0 / / ext4 /dev/mapper/map-dm-0"),
    }
    seen = probe(files)["storage.system_media"]
    assert seen.value is None and "sdb: a USB bridge" in seen.why


@pytest.mark.parametrize(("second", "encrypted"), [("dm-1", True), ("sdb1", False)])
def test_encryption_must_cover_every_way_to_a_drive(second: str, encrypted: bool) -> None:
    """A logical volume over an encrypted and a plain partition is not encrypted."""
    files = {
        **_REAL,
        **sata("a", 1, rotational=0),
        **sata("b", 2, rotational=0),
        **mapped("dm-0", "253:0", "CRYPT-LUKS2-x", "sda1"),
        **mapped("dm-1", "253:1", "CRYPT-LUKS2-y", "sdb1"),
        **mapped("dm-2", "253:2", "LVM-x", "dm-0", second),
        **mounts("253:2 / / ext4 /dev/mapper/map-dm-2"),
    }
    assert probe(files)["storage.system_encrypted"].value is encrypted


@pytest.mark.parametrize(
    ("uuid", "encrypted"),
    [
        ("CRYPT-LUKS1-x", True),
        ("CRYPT-PLAIN-x", True),
        ("CRYPT-VERITY-x-root", False),
        ("CRYPT-INTEGRITY-root", False),
        ("CRYPT-TEMP-x", None),
    ],
)
def test_mapping_that_only_checks_does_not_encrypt(uuid: str, encrypted: bool | None) -> None:
    """Of cryptsetup's mappings only those that encrypt count, and the source says what was not read."""
    files = {
        **_REAL,
        **sata("a", 1, rotational=0),
        **mapped("dm-0", "253:0", uuid, "sda1"),
        **mounts("253:0 / / ext4 /dev/mapper/map-dm-0"),
    }
    seen = probe(files)["storage.system_encrypted"]
    assert seen.value is encrypted
    assert encrypted is not True or "cipher not read" in seen.source


def test_encryption_under_a_mapping_that_checks_is_seen() -> None:
    """A checked volume over an encrypted one is encrypted."""
    files = {
        **_REAL,
        **sata("a", 1, rotational=0),
        **mapped("dm-0", "253:0", "CRYPT-LUKS2-x", "sda1"),
        **mapped("dm-1", "253:1", "CRYPT-VERITY-x", "dm-0"),
        **mounts("253:1 / / ext4 /dev/mapper/map-dm-1"),
    }
    assert probe(files)["storage.system_encrypted"].value is True


def test_btrfs_stands_on_all_its_devices() -> None:
    """A file system over several drives is judged by each, and its subvolumes are one volume."""
    files = {
        **_REAL,
        **sata("a", 1, rotational=0),
        **sata("b", 2, rotational=1),
        "/sys/fs/btrfs/11-22/devices/sda1": "",
        "/sys/fs/btrfs/11-22/devices/sdb1": "",
        **mounts("0:30 /@ / btrfs /dev/sda1", "0:30 /@home /home btrfs /dev/sda1"),
    }
    seen = probe(files)
    assert seen["storage.system_media"].value == "hdd"
    assert [item["mount"] for item in seen["storage.volumes"].value] == ["/"]


@pytest.mark.parametrize(
    ("device", "groups", "believed"),
    [
        ("sda1", {}, True),
        ("sda1", {"0_5/limit_flags": "0", "1_100/limit_flags": "0", "enabled": "1"}, True),
        ("sda1", {"0_5/limit_flags": "0", "0_256/limit_flags": "1"}, False),
        ("sda1", {"0_5/referenced": "0"}, False),  # flags denied
        ("sda1", {"": ""}, False),
        ("sdz", {"0_5/limit_flags": "1"}, False),  # which file system this is cannot be told
    ],
)
def test_btrfs_quotas_hide_size_and_free_space(
    device: str, groups: Mapping[str, str], believed: bool
) -> None:
    """Where quota groups bound what fits, the numbers of the whole file system are not given."""
    files: dict[str, Entry] = {
        **_REAL,
        **sata("a", 1, rotational=0),
        f"/sys/fs/btrfs/11-22/devices/{device}": "",
        **{f"/sys/fs/btrfs/11-22/qgroups/{name}": value for name, value in groups.items()},
        **mounts("0:30 /@ / btrfs /dev/sda1"),
    }
    seen = probe(files)
    (item,) = seen["storage.volumes"].value
    for name in ("size", "free"):
        assert (seen[f"storage.system_{name}"].form is Form.KNOWN) is believed
        assert (item[name] is not None) is believed
    assert believed or "btrfs qgroup show" in seen["storage.system_free"].why
    assert seen["storage.system_used"].form is Form.KNOWN


@pytest.mark.parametrize(
    ("options", "believed"),
    [
        ("rw,usrquota", False),
        ("rw,attr2,prjquota", False),
        ("rw,jqfmt=vfsv1,usrjquota=aquota.user", False),
        ("rw,noquota", True),
        ("rw,usrjquota=", True),
        ("rw,uqnoenforce", True),
    ],
)
def test_disk_quotas_hide_free_space(options: str, believed: bool) -> None:
    """Where users have quotas, what the file system has free is not what they may fill."""
    seen = probe({**_REAL, **sata("a", 1, rotational=0), **mounts(_ROOT, options=options)})
    (item,) = seen["storage.volumes"].value
    assert (item["free"] is not None) is believed
    assert believed or "quotas are on" in seen["storage.system_free"].why
    assert (seen["storage.system_free"].form is Form.KNOWN) is believed
    assert seen["storage.system_size"].form is Form.KNOWN


def test_same_space_is_listed_once() -> None:
    """Bind mounts, pseudo file systems and loop images add no volume."""
    seen = probe(
        {
            **_REAL,
            **sata("a", 1, rotational=0),
            **sata("b", 2, rotational=0),
            **mounts(
                _ROOT,
                "0:21 / /proc proc proc",
                "8:17 /srv /a ext4 /dev/sda1",
                "8:33 /deep /b xfs /dev/sdb1",
                "8:33 / /data/long xfs /dev/sdb1",
                "7:3 / /snap/x squashfs /dev/loop3",
                "0:25 / /tmp tmpfs tmpfs",
            ),
        }
    )["storage.volumes"]
    assert [item["mount"] for item in seen.value] == ["/", "/data/long"]
    assert seen.complete


def test_unheard_of_file_system_makes_the_list_incomplete() -> None:
    """A mount of a type this version does not know may be a volume, and the list says so."""
    seen = probe({**_REAL, **sata("a", 1, rotational=0), **mounts(_ROOT, "0:77 / /x newfs none")})
    volumes = seen["storage.volumes"]
    assert not volumes.complete and "newfs" in volumes.why


def test_dead_server_costs_its_own_sizes_only() -> None:
    """A network mount that never answers has no size; the local ones are there in good time."""
    release = threading.Event()

    def ask(path: str) -> os.statvfs_result:
        if path == "/net":
            release.wait()
        return sizes(10, 5)

    files = {**_REAL, **sata("a", 1, rotational=0), **mounts(_ROOT, "0:50 / /net nfs4 srv:/x")}
    began = time.monotonic()
    seen = probe(files, ask)
    took = time.monotonic() - began
    release.set()
    assert took < 3
    items = {item["mount"]: item for item in seen["storage.volumes"].value}
    assert items["/net"]["kind"] == "network" and items["/net"]["size"] is None
    assert items["/"]["size"] == 40960


def test_removable_drive_is_told_apart() -> None:
    """A volume on a USB drive is removable, one on a SATA drive fixed."""
    usb = "/sys/devices/pci0/usb1/host9/target9:0:0/9:0:0:0"
    files = {
        **_REAL,
        **sata("a", 1, rotational=0),
        **drive("sdb", "8:32", usb, rotational=1),
        **mounts(_ROOT, "8:32 / /media/stick vfat /dev/sdb"),
    }
    kinds = {item["mount"]: item["kind"] for item in probe(files)["storage.volumes"].value}
    assert kinds == {"/": "fixed", "/media/stick": "removable"}


@pytest.mark.parametrize("name", ["zram0", "ram1"])
@pytest.mark.parametrize("over", [False, True])
def test_ram_disk_is_no_fixed_volume(name: str, over: bool) -> None:
    """A volume in memory, or on a mapping over it, has no space of a drive and is of no kind."""
    path = f"/sys/devices/virtual/block/{name}"
    files = {
        **_REAL,
        f"/sys/block/{name}": Link(f"..{path[4:]}"),
        **listed(name, "251:0", path),
        f"{path}/size": "2000",
        f"{path}/removable": "0",
        **mapped("dm-0", "253:0", "LVM-x", name),
        **mounts("253:0 / / ext4 /dev/mapper/map-dm-0" if over else f"251:0 / / ext4 /dev/{name}"),
    }
    seen = probe(files)
    for what in ("size", "free", "used"):
        assert "RAM disk" in seen[f"storage.system_{what}"].why
    (item,) = seen["storage.volumes"].value
    assert [item[key] for key in ("size", "free", "used", "kind", "media")] == [None] * 5


@pytest.mark.parametrize(
    "files",
    [
        {**_REAL, **mounts("0:24 / / overlay overlay")},
        {"/run/systemd/container": "example", **mounts("8:17 / / ext4 /dev/sda1")},
    ],
)
def test_root_that_is_not_the_pc_s_own_is_unknown(files: Mapping[str, Entry]) -> None:
    """In a live system or a container the system volume is unknown, with a reason."""
    seen = probe({**files, **sata("a", 1, rotational=0)})
    for name in ("storage.system_size", "storage.system_free", "storage.system_media"):
        assert seen[name].form is Form.UNKNOWN and seen[name].why


def test_mount_points_are_unescaped() -> None:
    """Spaces, line ends and backslashes in mount points are written as proc(5) says."""
    line = rb"30 1 8:1 / /a\040b\012c\134d rw - ext4 /dev/sda1 rw"
    assert mountinfo.decode(line)[0].point == "/a b\nc\\d"


def test_hidden_mounts_are_left_out() -> None:
    """What was mounted over is not seen any more, and the later mount is."""
    text = (
        b"1 1 0:1 / / rw - rootfs rootfs rw\n"
        b"10 1 8:1 / / rw - ext4 /dev/a rw\n"
        b"11 10 8:2 / /mnt/host rw - ext4 /dev/b rw\n"
        b"12 10 0:9 / /mnt rw - tmpfs tmpfs rw\n"
        b"13 10 8:3 / /mntx rw - ext4 /dev/c rw\n"
    )
    shown = mountinfo.visible(mountinfo.decode(text))
    assert [(mount.point, mount.source) for mount in shown] == [
        ("/", "/dev/a"),
        ("/mnt", "tmpfs"),
        ("/mntx", "/dev/c"),
    ]


@given(
    st.lists(
        st.tuples(st.integers(0, 4), st.integers(0, 4), st.sampled_from(["/", "/a", "/a/b", "/c"])),
        max_size=8,
    )
)
def test_any_tree_of_mounts_ends(given_mounts: list[tuple[int, int, str]]) -> None:
    """Loops and orphans in mountinfo do not trap the reader, which invents no mount."""
    lines = [f"{i} {p} 8:{i} / {point} rw - ext4 x rw" for i, p, point in given_mounts]
    decoded = mountinfo.decode("\n".join(lines).encode())
    assert len(decoded) == len(given_mounts)
    assert set(mountinfo.visible(decoded)) <= set(decoded)


@given(st.binary(max_size=200))
def test_any_bytes_are_a_mountinfo(data: bytes) -> None:
    """Broken lines are left out; nothing raises."""
    assert len(mountinfo.decode(data)) <= data.count(b"\n") + 1


# -- this host, against other programs


def _on_this_host() -> dict[str, Observation]:
    seen = live()
    if container_reason(seen):
        pytest.skip("in a container the storage readings are unknown by design")
    return {name: given for each in storage.probes(seen) for name, given in each.take().items()}


def _run(*command: str) -> str:
    if shutil.which(command[0]) is None:
        pytest.skip(f"{command[0]} is not installed")
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_system_volume_as_df_says() -> None:
    """The size of the system volume is the one df gives, and the free space about the same."""
    seen = _on_this_host()
    if seen["storage.system_size"].form is Form.UNKNOWN:
        pytest.skip(seen["storage.system_size"].why)
    said = _run("df", "-B1", "--output=size,avail,fstype,used", "/").splitlines()[1].split()
    assert seen["storage.system_size"].value == int(said[0])
    # Other programs write meanwhile.
    assert abs(seen["storage.system_free"].value - int(said[1])) < 2 * 10**9
    assert abs(seen["storage.system_used"].value - int(said[3])) < 2 * 10**9
    assert seen["storage.system_filesystem"].value == said[2]


def test_drives_as_lsblk_says() -> None:
    """Drives have the number and the sizes that lsblk lists as disks with hardware behind them."""
    seen = _on_this_host()["storage.drives"].value
    said: list[dict[str, Any]] = json.loads(_run("lsblk", "-J", "-b", "-d", "-o", "NAME,TYPE,SIZE"))[
        "blockdevices"
    ]
    disks = [d for d in said if d["type"] == "disk" and os.path.exists(f"/sys/block/{d['name']}/device")]
    assert sorted(item["size"] for item in seen) == sorted(
        int(disk["size"]) for disk in disks if int(disk["size"])
    )


def test_mounts_as_findmnt_says() -> None:
    """Visible mounts are those findmnt shows, and lead to the same sources."""
    with open("/proc/self/mountinfo", "rb") as file:
        shown = mountinfo.visible(mountinfo.decode(file.read()))
    said = json.loads(_run("findmnt", "-J", "-l", "-o", "TARGET,FSTYPE"))["filesystems"]
    assert {(mount.point, mount.filesystem) for mount in shown} <= {(m["target"], m["fstype"]) for m in said}
