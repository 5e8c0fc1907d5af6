"""The virtual PCs: what each is made of, and what its readings must be, written down beforehand.

Makers and names are invented. Expected values follow from the hardware alone, in the units of the
catalogue: memory as JEDEC counts it, drives in bytes.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from tests.virtual_pcs import edid, smbios
from tests.virtual_pcs.machine import Card, Drive, Pc, Screen
from tests.virtual_pcs.smbios import GIB

GB: Final = 10**9
_FILLER: Final = "To be filled by O.E.M."


class Unknown(NamedTuple):
    """The reading is unknown, and its reason has these words in it."""

    words: str


class AtLeast(NamedTuple):
    """Only a lower bound is known: more than half of ``most`` and never above it."""

    most: int


class Between(NamedTuple):
    """A number from ``low`` to ``high``: what is left of a size after its own bookkeeping."""

    low: float
    high: float


class Case(NamedTuple):
    """A virtual PC, who probes it, and what must be read.

    Attributes:
        readings: By name; lists hold the keys that matter of each item, in any order.
        verdicts: Of profile.toml, by the id of the finding.
        exit_code: Of ``pcaudit assess``.
    """

    pc: Pc
    readings: dict[str, Any]
    verdicts: dict[str, str]
    exit_code: int
    as_root: bool = True


def _drive(model: str, size: int, media: str | None, bus: str) -> dict[str, Any]:
    return {"model": model, "size": size, "media": media, "bus": bus}


DESKTOP: Final = Case(
    Pc(
        name="bench-one",
        memory=16 * GIB,
        sockets=1,
        cores=4,
        threads=2,
        cpu="Skylake-Client,model=94",
        cpu_name="Intel(R) Core(TM) i7-6700 CPU @ 3.40GHz",
        smbios=(
            smbios.firmware("Example Firmware", "1.20", "03/15/2022"),
            smbios.system("Example Works", "Desk 400", "EX-0001"),
            smbios.board("Example Works", "D400-MB"),
            smbios.chassis("Example Works", smbios.DESKTOP, "CH-1"),
            smbios.memory_array(4, 64 * GIB),
            smbios.module(0, 8 * GIB, smbios.DDR4, 2400, 2133),
            smbios.module(1, smbios.EMPTY),
            smbios.module(2, 8 * GIB, smbios.DDR4, 2400, 2133),
            smbios.module(3, smbios.EMPTY),
        ),
        drives=(
            Drive("ssd", 256 * GB, "EX SSD 256", "/data"),
            Drive("hdd", 1000 * GB, "EX HDD 1000"),
        ),
        cards=(Card("e1000e", "02:00:00:dd:00:01"), Card("e1000", "02:00:00:dd:00:02")),
        screens=(Screen(1920, 1080, edid.block(1920, 1080, 531, 299, "EX 24")),),
    ),
    {
        "computer.host_name": "bench-one",
        "computer.manufacturer": "Example Works",
        "computer.model": "Desk 400",
        "computer.serial_number": "EX-0001",
        "computer.chassis": "desktop",
        "computer.firmware_version": "1.20",
        "computer.firmware_date": "2022-03-15",
        "computer.firmware_mode": "bios",
        "computer.secure_boot": False,
        "computer.virtual": True,
        "cpu.model": "Intel(R) Core(TM) i7-6700 CPU @ 3.40GHz",
        "cpu.vendor": "intel",
        "cpu.sockets": 1,
        "cpu.cores": 4,
        "cpu.threads": 8,
        "cpu.series": "core i7",
        "cpu.generation": 6,
        "memory.installed": 16 * GIB,
        "memory.slots": 4,
        "memory.slots_free": 2,
        "memory.ecc": False,
        "memory.modules": [{"size": 8 * GIB, "speed": 2133, "type": "DDR4"}] * 2,
        "storage.drives": [
            _drive("EX SSD 256", 256 * GB, "ssd", "sata"),
            _drive("EX HDD 1000", 1000 * GB, "hdd", "sata"),
        ],
        "display.screen_count": 1,
        "display.screens": [{"name": "EX 24", "width": 1920, "height": 1080, "diagonal": 24.0}],
        "network.wired_count": 2,
        "network.adapters": [
            {
                "mac": f"02:00:00:dd:00:0{n}",
                "medium": "wired",
                "bus": "pci",
                "link_up": True,
                "speed": GB,
                "capable_speed": GB,
            }
            for n in (1, 2)
        ],
        "session.elevated": True,
        "session.user": "root",
        "cpu.level": "x86-64-v3",
        "memory.usable": Between(15 * GIB, 16 * GIB),
        "storage.volumes": [{"mount": "/data", "filesystem": "ext4", "kind": "fixed", "media": "ssd"}],
        # Nobody sits at a PC that no login manager runs on.
        "display.primary_width": Unknown("console"),
    },
    {
        "cpu.cores": "met",
        "cpu.level": "met",
        "memory.installed": "met",
        "memory.ecc": "marginal",
        "computer.chassis": "met",
        "computer.manufacturer": "met",
        "storage.drives[data-drive]": "met",
        "network.adapters[site-port]": "met",
        "network.adapters[instrument-port]": "met",
        "display.screens[screen]": "met",
    },
    exit_code=0,
)


NOTEBOOK: Final = Case(
    Pc(
        name="bench-two",
        memory=4 * GIB,
        sockets=1,
        cores=2,
        threads=1,
        cpu="Haswell-noTSX",
        cpu_name="Intel(R) Celeron(R) CPU 2955U @ 1.40GHz",
        smbios=(
            smbios.firmware("Example Firmware", "0.9", "01/10/2015"),
            smbios.system("Example Works", "Note 11", "EX-0002"),
            smbios.chassis("Example Works", smbios.NOTEBOOK, "CH-2"),
            smbios.memory_array(1, 8 * GIB),
            smbios.module(0, 4 * GIB, smbios.DDR3, 1600, 1600),
        ),
        drives=(Drive("ssd", 64 * GB, "EX SSD 64"),),
        cards=(Card("e1000e", "02:00:00:dd:00:03", cabled=False),),
        screens=(Screen(1366, 768, edid.block(1366, 768, 256, 144, "EX 11")),),
        modprobe="mac80211_hwsim radios=1",
    ),
    {
        "computer.manufacturer": "Example Works",
        "computer.model": "Note 11",
        "computer.serial_number": Unknown("administrator"),
        "computer.chassis": "laptop",
        "computer.firmware_date": "2015-01-10",
        "cpu.cores": 2,
        "cpu.threads": 2,
        "cpu.series": "celeron",
        "memory.installed": AtLeast(4 * GIB),
        "memory.slots": Unknown("administrator"),
        "memory.modules": Unknown("administrator"),
        "storage.drives": [_drive("EX SSD 64", 64 * GB, "ssd", "sata")],
        "display.screens": [{"name": "EX 11", "width": 1366, "height": 768}],
        "network.wired_count": 1,
        "network.adapters": [
            {"mac": "02:00:00:dd:00:03", "medium": "wired", "link_up": False, "speed": None},
            # A simulated radio has no bus behind it, so it is no adapter of this PC.
            {"name": "wlan0", "medium": "virtual"},
        ],
        "session.elevated": False,
        "session.user": "nobody",
        "memory.usable": Between(3.5 * GIB, 4 * GIB),
        "memory.slots_free": Unknown("administrator"),
        "memory.ecc": Unknown("administrator"),
    },
    {
        "cpu.cores": "unmet",
        "cpu.level": "met",
        # Installed memory needs administrator rights; what the kernel has proves neither way.
        "memory.installed": "unverified",
        "memory.ecc": "unverified",
        "computer.chassis": "unmet",
        "computer.manufacturer": "met",
        "storage.drives[data-drive]": "unmet",
        "network.adapters[site-port]": "unmet",
        # The one card has no link, so it does not serve the site and is left for the instrument.
        "network.adapters[instrument-port]": "met",
        "display.screens[screen]": "unmet",
    },
    exit_code=3,
    as_root=False,
)


SERVER: Final = Case(
    Pc(
        name="bench-three",
        memory=8 * GIB,
        sockets=2,
        cores=2,
        threads=1,
        cpu="EPYC",
        cpu_name="AMD EPYC 7763 64-Core Processor",
        smbios=(
            smbios.firmware("Example Firmware", "2.4.1", "11/30/2023"),
            smbios.system("Example Works", "Rack 2", "EX-0003"),
            smbios.chassis("Example Works", smbios.RACK, "CH-3"),
            smbios.memory_array(2, 64 * GIB, smbios.SINGLE_BIT_ECC),
            smbios.module(0, 4 * GIB, smbios.DDR4, 3200, 3200, check_bits=8),
            smbios.module(1, 4 * GIB, smbios.DDR4, 3200, 3200, check_bits=8),
        ),
        drives=(
            Drive("nvme", 1920 * GB),
            Drive("hdd", 4000 * GB, "EX HDD 4000"),
            Drive("usb", 32 * GB),
        ),
        cards=(
            Card("virtio-net-pci", "02:00:00:dd:00:04"),
            Card("e1000e", "02:00:00:dd:00:05"),
            Card("e1000e", "02:00:00:dd:00:06", cabled=False),
        ),
    ),
    {
        "computer.chassis": "server",
        "computer.serial_number": "EX-0003",
        "cpu.vendor": "amd",
        "cpu.sockets": 2,
        "cpu.cores": 4,
        "cpu.threads": 4,
        "cpu.series": "epyc",
        "cpu.generation": 3,
        "memory.installed": 8 * GIB,
        "memory.slots": 2,
        "memory.slots_free": 0,
        "memory.ecc": True,
        "storage.drives": [
            # What is behind an NVMe drive of a virtual machine cannot be known.
            _drive("QEMU NVMe Ctrl", 1920 * GB, None, "nvme"),
            _drive("EX HDD 4000", 4000 * GB, "hdd", "sata"),
            {"size": 32 * GB, "bus": "usb"},
        ],
        "memory.usable": Between(7.5 * GIB, 8 * GIB),
        "display.screen_count": 0,
        "display.graphics": [],
        "display.screens": [],
        "network.wired_count": 3,
        "network.adapters": [
            {"mac": "02:00:00:dd:00:04", "bus": "virtio", "medium": "wired", "link_up": True, "speed": None},
            {"mac": "02:00:00:dd:00:05", "bus": "pci", "medium": "wired", "link_up": True, "speed": GB},
            {"mac": "02:00:00:dd:00:06", "bus": "pci", "medium": "wired", "link_up": False, "speed": None},
        ],
    },
    {
        "cpu.cores": "met",
        "cpu.level": "met",
        "memory.installed": "marginal",
        "memory.ecc": "met",
        "computer.chassis": "met",
        "computer.manufacturer": "met",
        "storage.drives[data-drive]": "met",
        "network.adapters[site-port]": "met",
        "network.adapters[instrument-port]": "met",
        "display.screens[screen]": "unmet",
    },
    exit_code=3,
)


FILLED_IN_BY_NOBODY: Final = Case(
    Pc(
        name="bench-four",
        memory=8 * GIB,
        sockets=1,
        cores=2,
        threads=2,
        cpu="Skylake-Client,model=78",
        cpu_name="Intel(R) Core(TM) i5-6300U CPU @ 2.40GHz",
        smbios=(
            smbios.firmware("Example Firmware", "Default string", "01/01/2017"),
            smbios.system(_FILLER, "System Product Name", "0123456789"),
            smbios.board("Example Boards", "EB-7"),
            smbios.chassis(_FILLER, smbios.DESKTOP, "Default string"),
            smbios.memory_array(2, 32 * GIB),
            smbios.module(0, 8 * GIB, smbios.DDR4, 2133, 2133),
            smbios.module(1, smbios.EMPTY),
        ),
        drives=(Drive("ssd", 32 * GB, "EX SSD 32", "/data"),),
        cards=(Card("e1000e", "02:00:00:dd:00:07"),),
        screens=(
            Screen(1280, 1024, edid.block(1280, 1024, 376, 301, "EX 19")),
            Screen(2560, 1440, edid.block(2560, 1440, 597, 336, "EX 27")),
        ),
    ),
    {
        "computer.manufacturer": Unknown("placeholder"),
        "computer.model": Unknown("placeholder"),
        "computer.serial_number": Unknown("placeholder"),
        "computer.firmware_version": Unknown("placeholder"),
        "memory.installed": 8 * GIB,
        "memory.slots_free": 1,
        "cpu.generation": 6,
        "display.screen_count": 2,
        "display.screens": [
            {"name": "EX 19", "width": 1280, "height": 1024},
            {"name": "EX 27", "width": 2560, "height": 1440},
        ],
        "network.wired_count": 1,
    },
    {
        "cpu.cores": "unmet",
        "cpu.level": "met",
        "memory.installed": "marginal",
        "memory.ecc": "marginal",
        "computer.chassis": "met",
        "computer.manufacturer": "unverified",
        "storage.drives[data-drive]": "unmet",
        "network.adapters[site-port]": "met",
        "network.adapters[instrument-port]": "unmet",
        "display.screens[screen]": "met",
    },
    exit_code=3,
)


CASES: Final = (DESKTOP, NOTEBOOK, SERVER, FILLED_IN_BY_NOBODY)
