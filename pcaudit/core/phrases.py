"""How readings are spoken of in a sentence.

A catalogue title heads a column ("Virtual machine"); a sentence needs a subject and, for what
is true or false, something the subject is or is not: "the PC" "a virtual machine". What is not
listed here is spoken of by its title.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Property, Type


class Phrase(NamedTuple):
    """A reading or an item's key in a sentence.

    Attributes:
        subject: "the installed memory"; of an item's key without article ("link speed"), empty
            where the item itself is meant ("that is wired").
        complement: For true and false: what the subject is or is not.
    """

    subject: str
    complement: str = ""


_SESSION: Final = "the session the readings are taken in"

_READINGS: Final = {
    "session.user": Phrase("the account the readings are taken under"),
    "session.remote": Phrase(_SESSION, "a remote one"),
    "session.elevated": Phrase(_SESSION, "one with administrator rights"),
    "computer.manufacturer": Phrase("the manufacturer of the PC"),
    "computer.model": Phrase("the model of the PC"),
    "computer.serial_number": Phrase("the serial number of the PC"),
    "computer.firmware_date": Phrase("the date of the firmware"),
    "computer.secure_boot": Phrase("Secure Boot", "on"),
    "computer.secure_boot_capable": Phrase("Secure Boot", "possible"),
    "computer.virtual": Phrase("the PC", "a virtual machine"),
    "os.product": Phrase("the product name of the operating system"),
    "os.version": Phrase("the version of the operating system"),
    "os.servicing": Phrase("the servicing channel"),
    "os.support_ends": Phrase("the last day of security updates"),
    "os.language": Phrase("the language of the user interface"),
    "os.locale": Phrase("the locale for numbers and dates"),
    "os.clock_synchronised": Phrase("the clock", "kept right by a time source"),
    "os.clock_synchronised_at": Phrase("the day the clock was last set by a time source"),
    "os.restart_pending": Phrase("a restart", "pending"),
    "os.update_restarts": Phrase("a restart by the operating system after updates", "possible"),
    "cpu.vendor": Phrase("the maker of the processor"),
    "cpu.sockets": Phrase("the number of processor packages"),
    "cpu.cores": Phrase("the number of cores"),
    "cpu.threads": Phrase("the number of threads"),
    "cpu.base_clock": Phrase("the base clock of the processor"),
    "cpu.max_clock": Phrase("the highest clock of the processor"),
    "cpu.level": Phrase("the x86-64 level of the processor"),
    "memory.installed": Phrase("the installed memory"),
    "memory.usable": Phrase("the usable memory"),
    "memory.slots": Phrase("the number of memory slots"),
    "memory.slots_free": Phrase("the number of free memory slots"),
    "memory.ecc": Phrase("the memory", "error-correcting"),
    "storage.system_size": Phrase("the size of the system volume"),
    "storage.system_free": Phrase("the free space on the system volume"),
    "storage.system_used": Phrase("the space taken on the system volume"),
    "storage.system_filesystem": Phrase("the file system of the system volume"),
    "storage.system_media": Phrase("the drive under the system volume"),
    "storage.system_encrypted": Phrase("the system volume", "encrypted"),
    "display.screen_count": Phrase("the number of screens"),
    "display.primary_width": Phrase("the width of the primary screen in pixels"),
    "display.primary_height": Phrase("the height of the primary screen in pixels"),
    "display.primary_scaling": Phrase("the scaling of the primary screen"),
    "display.primary_logical_width": Phrase("the width of the primary screen in pixels after scaling"),
    "display.primary_logical_height": Phrase("the height of the primary screen in pixels after scaling"),
    "network.wired_count": Phrase("the number of wired network adapters"),
    "network.proxy": Phrase("the proxy for web traffic"),
    "power.sleep_after": Phrase("the idle time on mains after which the PC sleeps"),
    "power.sleep_after_battery": Phrase("the idle time on battery after which the PC sleeps"),
    "power.hibernate_after": Phrase("the idle time on mains after which the PC hibernates"),
    "power.screen_off_after": Phrase("the idle time on mains after which the screen is switched off"),
    "power.disk_off_after": Phrase("the idle time on mains after which drives stop"),
    "power.usb_suspend": Phrase("suspending idle USB devices", "allowed"),
    "power.pcie_saving": Phrase("power saving on PCI Express links", "allowed"),
    "power.fast_startup": Phrase("fast start-up", "on"),
    "power.lid_action": Phrase("the action on closing the lid"),
}

_KEYS: Final = {
    ("storage.volumes", "free"): Phrase("free space"),
    ("storage.volumes", "used"): Phrase("space taken"),
    ("storage.volumes", "media"): Phrase("drive"),
    ("storage.volumes", "encrypted"): Phrase("", "encrypted"),
    ("storage.volumes", "system"): Phrase("", "the system volume"),
    ("storage.drives", "media"): Phrase("kind"),
    ("display.screens", "width"): Phrase("width in pixels"),
    ("display.screens", "height"): Phrase("height in pixels"),
    ("display.screens", "ppi"): Phrase("number of pixels per inch"),
    ("display.screens", "colour_depth"): Phrase("colour depth in bits"),
    ("display.screens", "primary"): Phrase("", "the primary one"),
    ("network.adapters", "medium"): Phrase(""),
    ("network.adapters", "link_up"): Phrase("link", "up"),
    ("network.adapters", "capable_speed"): Phrase("highest possible speed"),
    ("network.adapters", "power_saving"): Phrase("", "allowed to be powered down"),
    ("network.endpoints", "reachable"): Phrase("", "reachable"),
}

NEVER: Final = {
    "power.sleep_after": ("the PC", "sleep when idle on mains", "sleeps when idle on mains"),
    "power.sleep_after_battery": ("the PC", "sleep when idle on battery", "sleeps when idle on battery"),
    "power.hibernate_after": ("the PC", "hibernate when idle on mains", "hibernates when idle on mains"),
    "power.screen_off_after": (
        "the screen",
        "be switched off when the PC is idle on mains",
        "is switched off when the PC is idle on mains",
    ),
    "power.disk_off_after": ("drives", "stop when idle on mains", "stop when idle on mains"),
}
"""What must never happen: who, "must never ..." and "never ...", by reading."""

_ITEMS: Final = {
    "memory.modules": ("memory module", "memory modules"),
    "storage.volumes": ("volume", "volumes"),
    "storage.drives": ("drive", "drives"),
    "display.screens": ("screen", "screens"),
    "display.graphics": ("graphics card", "graphics cards"),
    "network.adapters": ("network adapter", "network adapters"),
    "network.endpoints": ("endpoint", "endpoints"),
    "software.packages": ("installed program", "installed programs"),
    "software.runtimes": ("runtime", "runtimes"),
    "software.antivirus": ("virus scanner", "virus scanners"),
    "software.services": ("service", "services"),
}


def lowered(title: str) -> str:
    """A title inside a sentence: "memory slots", but "TPM version" and "x86-64 level"."""
    first = title.partition(" ")[0]
    return title if any(letter.isupper() or letter.isdigit() for letter in first[1:]) else _small(title)


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def of_reading(name: str, spec: Property) -> Phrase:
    """How a reading is spoken of; by its title where nothing better is known."""
    known = _READINGS.get(name)
    return known or Phrase(f"the {lowered(spec.title)}", "true" if spec.type is Type.BOOLEAN else "")


def of_key(record: str, key: str, spec: Property) -> Phrase:
    """How a key of a list's items is spoken of; by its title where nothing better is known."""
    known = _KEYS.get((record, key))
    return known or Phrase(lowered(spec.title), "true" if spec.type is Type.BOOLEAN else "")


def of_items(record: str, several: bool) -> str:
    """What the items of a list are called, one or several."""
    known = _ITEMS.get(record)
    if known is None:
        return f"{'entries' if several else 'entry'} under {lowered(CATALOGUE[record].value.title)}"
    return known[several]
