"""Examples that ``--help`` shows under each command."""

from __future__ import annotations

from typing import Final

EXAMPLES: Final[dict[str, tuple[str, ...]]] = {
    "assess": (
        "pcaudit assess workstation.toml pc-07.json --set instruments=2 --format markdown",
        "pcaudit assess --worksheet installation.toml",
    ),
    "compare": (
        "pcaudit compare workstation.toml pc-07.json pc-08.json pc-11.json --prices prices.toml",
        "pcaudit compare workstation.toml pc-07.json pc-08.json --set instruments=2 --format json",
    ),
    "survey": (
        "pcaudit survey workstation.toml snapshots --only not-ready --format csv --output to-do.csv",
        'pcaudit survey workstation.toml snapshots --what-if memory.installed="32 GB"',
    ),
    "plan": (
        "pcaudit plan installation.toml pc-07.json --format html --output plan.html",
        "pcaudit plan installation.toml --format ics --output installation.ics",
    ),
    "probe": ("pcaudit probe --output pc-07.json", "pcaudit probe --redact --output for-helpdesk.json"),
    "readings": ("pcaudit readings memory.installed", "pcaudit readings --snapshot pc-07.json"),
    "profile": ("pcaudit profile new", "pcaudit profile validate workstation.toml"),
    "new": ('pcaudit profile new --title "Data system" --os windows --memory "16 GB" --output data.toml',),
    "validate": ("pcaudit profile validate workstation.toml",),
    "explain": ("pcaudit profile explain workstation.toml --output to-sign.txt",),
    "schema": ("pcaudit profile schema --output profile.schema.json",),
    "worksheet": (
        "pcaudit worksheet new workstation.toml",
        "pcaudit worksheet validate installation.toml",
    ),
    "worksheet new": (
        "pcaudit worksheet new workstation.toml --option mass-detector --output installation.toml",
    ),
    "worksheet validate": ("pcaudit worksheet validate installation.toml",),
    "record": ('pcaudit record report.json --by "R. Example" --meaning approved --store records',),
    "verify": ("pcaudit verify records/PC07_2026-11-25_3f9a2c1b.record.json",),
    "drift": ("pcaudit drift records/PC07_2026-11-25_3f9a2c1b.record.json",),
}
"""Command lines by the name of the command."""


def epilog(command: str) -> str | None:
    """What stands at the end of a command's help; None where it has no example.

    The mark in the first line keeps the lines as they are.
    """
    lines = EXAMPLES.get(command)
    return "\n".join(("\b", "Examples:" if len(lines) > 1 else "Example:", *lines)) if lines else None
