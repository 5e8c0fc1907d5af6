"""Booting a PC whose hardware is chosen, and running one command in it.

QEMU emulates the PC in software; its root is this machine's, read-only, with what the guest
writes held in memory and gone at the end. Networks lead nowhere (``restrict=on``).
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple

_HERE: Final = Path(__file__).parent
FOLDER: Final = Path(os.environ.get("PCAUDIT_VIRTUAL_PCS") or Path.home() / ".cache" / "pcaudit-virtual-pcs")
"""Where kernel and initramfs are kept between runs."""

NOBODY: Final = 65534


class Drive(NamedTuple):
    """A drive: ``kind`` is nvme, ssd, hdd (both SATA) or usb; ``size`` in bytes.

    Where ``mount`` is given, it holds one ext4 file system, mounted there.
    """

    kind: str
    size: int
    model: str = ""
    mount: str = ""


class Card(NamedTuple):
    """A network card of QEMU's ``model``; where ``cabled`` is false nothing is plugged in."""

    model: str
    mac: str
    cabled: bool = True


class Screen(NamedTuple):
    """A screen: its resolution, and its own identification (EDID)."""

    width: int
    height: int
    edid: bytes


class Pc(NamedTuple):
    """What a virtual PC is made of.

    Attributes:
        name: Its host name.
        memory: Bytes.
        sockets, cores, threads: Sockets, cores in each, threads in each core.
        cpu: QEMU's processor model.
        cpu_name: What the processor says it is.
        smbios: Structures of its firmware tables.
        modprobe: A kernel module to load, with its parameters.
    """

    name: str
    memory: int
    sockets: int
    cores: int
    threads: int
    cpu: str
    cpu_name: str
    smbios: tuple[bytes, ...]
    drives: tuple[Drive, ...] = ()
    cards: tuple[Card, ...] = ()
    screens: tuple[Screen, ...] = ()
    modprobe: str = ""


class Answer(NamedTuple):
    """What a command run in a virtual PC gave."""

    code: int
    stdout: str
    stderr: str


class _Job:
    """The folder shared with one guest, and the QEMU options collected for it."""

    def __init__(self, pc: Pc, folder: Path) -> None:
        self.pc = pc
        self.folder = folder
        self.share = folder / "job"
        (self.share / "edid").mkdir(parents=True)
        self.options: list[str] = []
        self.mounts: list[str] = []
        self.nics: list[str] = []

    def device(self, text: str) -> None:
        self.options += ["-device", text]

    def add_processor(self) -> None:
        pc = self.pc
        count = pc.sockets * pc.cores * pc.threads
        topology = f"{count},sockets={pc.sockets},cores={pc.cores},threads={pc.threads},maxcpus={count}"
        name = pc.cpu_name.replace(",", ",,")
        self.options += ["-smp", topology, "-cpu", f"{pc.cpu},model-id={name}"]

    def add_memory(self) -> None:
        megabytes = self.pc.memory >> 20
        self.options += ["-m", f"{megabytes}M", "-machine", "memory-backend=ram"]
        self.options += ["-object", f"memory-backend-ram,id=ram,size={megabytes}M,reserve=off"]
        for number, structure in enumerate(self.pc.smbios):
            file = self.folder / f"smbios{number}"
            file.write_bytes(structure)
            self.options += ["-smbios", f"file={file}"]

    def add_screens(self) -> None:
        for number, screen in enumerate(self.pc.screens):
            (self.share / "edid" / f"{number + 1}.bin").write_bytes(screen.edid)
            model = "secondary-vga" if number else "VGA"
            self.device(
                f"{model},edid=on,xres={screen.width},yres={screen.height},vgamem_mb=64,addr={2 + number:#x}"
            )

    def add_shares(self) -> None:
        for tag, path, extra, address in (
            ("host", "/", ",readonly=on", "0x1b"),
            ("job", str(self.share), "", "0x1c"),
        ):
            self.options += [
                "-fsdev",
                f"local,id={tag},path={path},security_model=none,multidevs=remap{extra}",
            ]
            self.device(f"virtio-9p-pci,fsdev={tag},mount_tag={tag}0,addr={address}")

    def add_drives(self) -> None:
        if any(drive.kind == "usb" for drive in self.pc.drives):
            self.device("qemu-xhci,id=xhci")
        for number, drive in enumerate(self.pc.drives):
            image = self.folder / f"drive{number}.img"
            with image.open("wb") as file:
                file.truncate(drive.size)
            if drive.mount:
                label = f"vm{number}"
                command = ["mkfs.ext4", "-q", "-L", label, "-E", "lazy_itable_init=1", str(image)]
                subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
                self.mounts.append(f"{label} {drive.mount}")
            self.options += ["-drive", f"if=none,id=d{number},file={image},format=raw,cache=unsafe"]
            self.device(self._drive(drive, number))

    @staticmethod
    def _drive(drive: Drive, number: int) -> str:
        serial = f"drive=d{number},serial=EX-{number}"
        if drive.kind == "nvme":
            return f"nvme,{serial}"
        if drive.kind == "usb":
            return f"usb-storage,bus=xhci.0,{serial},removable=on"
        rotation = 1 if drive.kind == "ssd" else 7200  # ATA: 1 is no rotation
        return f"ide-hd,bus=ide.{number},{serial},rotation_rate={rotation},model={drive.model}"

    def add_cards(self) -> None:
        for number, card in enumerate(self.pc.cards):
            network = f"10.0.{2 + number}"
            self.options += ["-netdev", f"user,id=n{number},restrict=on,ipv6=off,net={network}.0/24"]
            self.device(f"{card.model},netdev=n{number},mac={card.mac},romfile=")
            if card.cabled:
                gateway = f"{network}.2" if number == 0 else "none"
                self.nics.append(f"{card.mac} {network}.15 {gateway}")

    def orders(self, command: Sequence[str], folder: str) -> None:
        """What the guest is to do."""
        settings = {
            "RIG": str(FOLDER),
            "KERNEL": (FOLDER / "kernel" / "version").read_text().strip(),
            "HOST_NAME": self.pc.name,
            "NICS": "\n".join(self.nics),
            "MOUNTS": "\n".join(self.mounts),
            "RUN_CWD": folder,
            "MODPROBE": self.pc.modprobe,
        }
        lines = [f"{name}={shlex.quote(text)}\n" for name, text in settings.items()]
        (self.share / "conf").write_text("".join(lines))
        path = "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin"
        environment = f"env -i HOME=/root USER=root TERM=dumb LANG=C.UTF-8 PATH={path}"
        (self.share / "cmd").write_text(f"exec {environment} {shlex.join(command)}\n")

    def command_line(self) -> list[str]:
        """The whole QEMU command line."""
        words = ["console=ttyS0", "quiet", "loglevel=3", "panic=-1", "rdinit=/init", "random.trust_cpu=on"]
        words += ["no_timer_check", "tsc=nowatchdog", "mitigations=off", "nokaslr", "udev.children_max=4"]
        edids = [f"Virtual-{n + 1}:edid/{n + 1}.bin" for n in range(len(self.pc.screens))]
        if edids:
            words.append(f"drm.edid_firmware={','.join(edids)}")
        base = ["qemu-system-x86_64", "-nodefaults", "-no-user-config", "-no-reboot", "-display", "none"]
        base += ["-machine", "q35,accel=tcg", "-rtc", "base=utc"]
        kernel = ["-kernel", str(FOLDER / "kernel" / "vmlinux"), "-initrd", str(FOLDER / "initrd.img")]
        console = ["-append", " ".join(words), "-serial", f"file:{self.folder / 'console'}"]
        return [*base, *self.options, *kernel, *console]

    def read(self, name: str) -> str:
        try:
            return (self.share / name).read_text(errors="replace")
        except OSError:
            return ""


def make_ready() -> str:
    """Set the rig up where it is not yet.

    Returns:
        Why there can be no virtual PC here; empty where there can.
    """
    if shutil.which("apt-cache") is None:
        return "virtual PCs are made from Debian packages, and this is no Debian"
    setup = subprocess.run(
        [str(_HERE / "rig" / "setup"), str(FOLDER)], check=False, capture_output=True, text=True
    )
    return "" if setup.returncode == 0 else f"the rig cannot be set up: {setup.stderr.strip()[-300:]}"


def run(pc: Pc, command: Sequence[str], folder: str, seconds: float = 300) -> Answer:
    """Boot a PC, run a command in it as root, and let it go.

    Args:
        pc: The PC.
        command: With the full path of its program.
        folder: Current folder of the command.
        seconds: The guest is stopped after so long.

    Raises:
        RuntimeError: The PC did not get as far as an exit code; its console's last words.
    """
    with tempfile.TemporaryDirectory(prefix="pc-", dir=FOLDER) as temporary:
        job = _Job(pc, Path(temporary))
        job.add_processor()
        job.add_memory()
        job.add_screens()
        job.add_shares()
        job.add_drives()
        job.add_cards()
        job.orders(command, folder)
        said = ""
        try:
            qemu = subprocess.run(
                job.command_line(), check=False, capture_output=True, text=True, timeout=seconds
            )
            said = qemu.stderr
        except subprocess.TimeoutExpired:
            said = f"no end within {seconds:g} s"
        code = job.read("code").strip()
        if not code:
            console = job.folder / "console"
            words = console.read_text(errors="replace")[-2000:] if console.exists() else ""
            raise RuntimeError(f"{pc.name}: {said}\n{words}")
        return Answer(int(code), job.read("out"), job.read("err"))
