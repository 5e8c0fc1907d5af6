"""The words of a first profile: what each key means, and examples that are not read.

A line that begins with ``#`` and no space is TOML once the ``#`` is taken away; tests take all of
them away at once. Amounts in examples are common practice, no source.
"""

from __future__ import annotations

from typing import Final

HEAD: Final = """\
# Requirements of one piece of instrument software for the PC it runs on.
#
# Lines that begin with # are not read. "# words" explain. "#key = value", with no space behind
# the #, is an example: take its # away, and that of the [heading] above it, and put in your value.
#
# Texts, sizes and versions stand in double quotes: "16 GB". Numbers, dates, true and false stand
# without. A Windows path stands in single quotes: 'D:\\Data'. No key stands twice under a heading.
#
# pcaudit profile validate FILE   checks this file and tells each mistake with its line
# pcaudit readings                lists everything that can be asked
# pcaudit assess FILE             holds this PC against this file

format = 1

# Who says this, since when, and whom to ask.
#issued = 2026-10-01
#publisher = "Name of the maker"
#contact = "Name, telephone number"
#note = "What else a reader should know"

# What the profile is for; it stands at the top of every report.
"""

WORDS: Final = """\
# Under any [heading] may stand, beside what is asked:
#
# because   why it is asked; the report shows it
# remedy    what to do where the PC falls short
# owner     who does it: lab, IT, purchasing, facilities or installer
# advised   true: better so, but no PC is refused for it
# title     a name for people
# when      the PCs it is about, such as { "os.type" = "windows" }
"""

OS_HEAD: Final = f"""\
# {"-" * 60} operating system

# One block for each system that will do; a PC needs one of them.
#
# type      windows, linux or macos
# edition   home, pro, pro-workstation, education, enterprise, iot-enterprise or server; they
#           have the same versions, so a version alone lets Home and servers in
# product   the system's own name; a version of linux needs it
# version   >= from, > above, <= up to, < below, with commas between. Windows reports 10.0 and a
#           build: Windows 10 is below 10.0.22000, Windows 11 begins there, 24H2 is 10.0.26100.
# machine   x86_64, arm64 or x86

"""

OS_EXAMPLES: Final[dict[str, dict[str, str]]] = {
    "windows": {
        "product": '"Windows 11"',
        "edition": '["pro", "enterprise"]',
        "version": '">=10.0.26100,<=10.0.26200"',
        "machine": '"x86_64"',
        "because": '"these releases were tested"',
    },
    "linux": {
        "product": '"Debian GNU/Linux"',
        "version": '">=12,<14"',
        "machine": '"x86_64"',
    },
    "macos": {
        "version": '">=14"',
        "machine": '"arm64"',
    },
}
"""Keys of an alternative by type of operating system, each with an example in TOML."""

OS_MORE: Final = """
# The decimal separator of the regional settings.
#[os.decimal_separator]
#equal = "."
#because = "methods are exchanged as text with a decimal point"

# A restart for an update ends a run.
#[os.update_restarts]
#equal = false

# true: a restart is due. Set-ups refuse to start before it.
#[os.restart_pending]
#equal = false
#advised = true
#remedy = "restart the PC while nothing runs, then take the readings again"
"""

VOLUME: Final = """
# true: what is on the system volume cannot be read without its key, as on a stolen PC.
#[storage.system_encrypted]
#equal = true
#advised = true
#owner = "IT"

# A volume of its own for data. A volume is a little smaller than the drive it is on.
#[[storage.volumes]]
#id = "data"
#title = "Volume for raw data"
#kind = "fixed"
#system = false
#media = "ssd"
#free = { minimum = "400 GB" }
"""

DISPLAY: Final = "# Pixels across and down the primary screen."

PORT: Final = """
# A port for the instrument that nothing else uses. Each [[...]] of a list has an id of its own.
#[[network.adapters]]
#id = "instrument-port"
#title = "Port for the instrument"
#medium = "wired"
#capable_speed = { minimum = "1 Gbit/s" }
#addressing = "static"
#because = "the instrument expects the PC at a fixed address"
# false: the PC may not power the port down, or the instrument loses the PC while it is idle.
#power_saving = false
"""

POWER: Final = """\
# A PC that sleeps stops acquisition: common practice, no source. If it may sleep, put # before
# the lines of a block. Durations: "30 min", "2 h", "never".
[power.sleep_after]
equal = "never"
because = "a PC that sleeps stops acquisition"

[power.hibernate_after]
equal = "never"
because = "a PC that hibernates stops acquisition"

#[power.screen_off_after]
#minimum = "30 min"
#advised = true

#[power.disk_off_after]
#equal = "never"

# true: idle USB devices may be suspended. Some instruments do not come back.
#[power.usb_suspend]
#equal = false

# true: shutting down keeps a part of Windows for the next start.
#[power.fast_startup]
#equal = false

# nothing, sleep, hibernate or shut-down
#[power.lid_action]
#equal = "nothing"
"""

SOFTWARE: Final = """\
# A program that must not be there. The * stands for whatever follows the name: without it
# another release of the program would pass.
#[[software.packages]]
#id = "conflicting-program"
#title = "No program that holds the instrument's ports"
#count = 0
#name = { matches = "Name of the program*" }
#remedy = "uninstall it, or use another PC"

# A runtime that must be there.
#[[software.runtimes]]
#id = "dotnet-framework"
#name = ".NET Framework"
#version = ">=4.8,<5"
"""

CHOICES: Final = """\
# A number the lab chooses: pcaudit assess FILE --set instruments=2
#[parameters.instruments]
#title = "Instruments on one PC"
#default = 1
#minimum = 1
#maximum = 4

# What holds only where it is chosen: pcaudit assess FILE --option second-detector
#[options.second-detector]
#title = "Second detector"
#[options.second-detector.memory.installed]
#minimum = "32 GB"
#because = "both detectors are recorded at full rate"
"""

_ARRANGEMENTS: Final = (
    ("licence", "Licence for this PC", "10 working days", "purchasing"),
    ("certificate", "Certificate for the name of this PC", "5 working days", "IT"),
    ("authorisation code", "Code that unlocks the instrument driver", "5 working days", "purchasing"),
    ("medium", "Set-up medium of the release ordered", "2 days", "lab"),
    ("order paper", "Order paper with the instrument's serial number", "2 days", "purchasing"),
    ("credential", "Somebody with administrator rights on this PC", "5 working days", "IT"),
    ("support contract", "Support contract with its number", "2 weeks", "purchasing"),
    ("person", "A network administrator who can be reached", "10 working days", "IT"),
    ("place", "A dry place for the PC beside the instrument", "2 days", "lab"),
    ("supply", "An outlet that is not switched off at night", "5 working days", "facilities"),
    ("agreement", "A folder on the file server, with a backup", "5 working days", "IT"),
)


def _arrangement(kind: str, title: str, lead_time: str, owner: str) -> str:
    lines = (
        "[[arrangements]]",
        f'id = "{kind.replace(" ", "-")}"',
        f'kind = "{kind}"',
        f'title = "{title}"',
        f'lead_time = "{lead_time}"',
        f'owner = "{owner}"',
        *(('needed = "on the day"',) if kind in ("credential", "person") else ()),
    )
    return "".join(f"#{line}\n" for line in lines)


ARRANGEMENTS: Final = """\
# What no program can see and a person must have in hand. Never write a key or a password here:
# say what is needed, not the secret itself.
#
# lead_time   how long it takes to get: "2 days", "10 working days", "3 weeks", "2 months"
# needed      "before the day", unless it says "on the day"
# because, remedy and owner as above

""" + "\n".join(_arrangement(*one) for one in _ARRANGEMENTS)
