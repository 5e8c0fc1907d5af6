"""Invented reports and snapshots to render."""

from __future__ import annotations

from datetime import date
from typing import Final

from pcaudit.core import report as r, snapshot as s
from pcaudit.core.profile import ProfileSource

GB: Final = 1 << 30  # JEDEC JESD100B.01: 1 GB of memory is 2^30 bytes

SNAPSHOT: Final = s.Snapshot(
    "2026-11-25T09:00:00+00:00",
    "0.1.0",
    {
        "computer.host_name": s.known("bench-pc-07", "kernel (uname)"),
        "computer.serial_number": s.unknown("needs administrator rights"),
        "memory.installed": s.at_least(8 * GB, "/proc/meminfo", "firmware tables need administrator rights"),
        "network.adapters": s.known(
            [
                {
                    "name": "eth0",
                    "medium": "wired",
                    "link_up": True,
                    "speed": 10**9,
                    "mac": "00:00:5e:00:53:ab",  # RFC 7042, documentation range
                    "addresses": ["192.0.2.7"],  # RFC 5737, documentation range
                },
                {"name": "wlan0", "medium": "wireless", "link_up": None},
            ],
            "/sys/class/net",
        ),
        "power.lid_action": s.absent("no lid", "ACPI"),
        "power.sleep_after": s.known(1800, "desktop setting"),
        "software.packages": s.known(
            [{"name": f"package-{n}", "version": "1.0"} for n in range(40)],
            "dpkg",
            missing="programs of other users are not seen",
        ),
    },
)


def finding(
    name: str,
    verdict: r.Verdict,
    *,
    title: str = "",
    binding: bool = True,
    required: str = "at least 16 GB",
    found: str = "16 GB",
    why: str = "",
    because: str = "",
    remedy: str = "",
    owner: str = "IT",
    source: str = "kernel",
    line: int = 1,
    parts: tuple[r.Part, ...] = (),
    acceptance: r.Acceptance | None = None,
    effort: r.Effort | None = None,
) -> r.Finding:
    """A finding of which only what matters is said."""
    return r.Finding(
        id=name,
        title=title or name,
        group=name.partition(".")[0],
        verdict=verdict,
        binding=binding,
        required=required,
        found=found,
        value=None,
        source=source,
        why=why,
        because=because,
        remedy=remedy,
        owner=owner,
        profile="workstation.toml",
        line=line,
        digest="0123456789abcdef",
        parts=parts,
        acceptance=acceptance,
        effort=effort,
    )


def part(
    required: str,
    verdict: r.Verdict,
    line: int,
    *,
    binding: bool = True,
    acceptance: r.Acceptance | None = None,
) -> r.Part:
    """One of several conditions on a reading."""
    words = ("runs beside others", "purchasing", "base.toml")
    return r.Part(required, verdict, binding, *words, line, "fedcba98", acceptance)


ACCEPTANCE: Final = r.Acceptance(
    r.Verdict.UNMET, "replaced in the summer of 2027 with the instrument", "A. Example", date(2027, 6, 30)
)


FINDINGS: Final = (
    finding(
        "os.version", r.Verdict.MET, title="Version", required="12 or newer, below 14", found="12.5", line=14
    ),
    finding(
        "memory.installed",
        r.Verdict.UNMET,
        title="Memory installed",
        required="at least 20 GB (36 GB recommended)",
        found="8 GB",
        because="two detectors at full rate",
        remedy="Add memory modules; two slots are free.",
        owner="purchasing",
        source="SMBIOS type 17",
        line=21,
        parts=(
            part("at least 20 GB", r.Verdict.UNMET, 9),
            part("at least 4 GB", r.Verdict.MET, 12, binding=False),
        ),
    ),
    finding(
        "storage.system_free",
        r.Verdict.MARGINAL,
        title="System volume free",
        required="at least 100 GB (500 GB recommended)",
        found="256 GB (238.4 GiB)",
        because="a week of raw data stays on the PC",
        remedy="Clear space or fit a larger drive.",
        effort=r.Effort(("administrator", "restart"), "free", undo=False),
        source="statvfs of /",
        line=27,
    ),
    finding(
        "computer.tpm_version",
        r.Verdict.UNVERIFIED,
        title="TPM version",
        required="2.0",
        found="unknown",
        why="needs administrator rights",
        because="the drive is encrypted",
        remedy="Probe again with administrator rights.",
        line=33,
    ),
    finding(
        "power.sleep_after",
        r.Verdict.UNMET,
        title="Sleep after",
        binding=False,
        required="never",
        found="30 min",
        because="a sleeping PC ends the acquisition",
        remedy="Set sleep to never for mains power.",
        owner="lab",
        source="desktop setting",
        line=40,
    ),
    finding(
        "cpu.cores",
        r.Verdict.ACCEPTED,
        title="Cores",
        required="at least 8",
        found="6",
        owner="purchasing",
        line=44,
        acceptance=ACCEPTANCE,
    ),
    finding(
        "power.lid_action",
        r.Verdict.NOT_APPLICABLE,
        title="Closing the lid",
        required="nothing",
        found="no lid",
        line=48,
    ),
)

ARRANGEMENTS: Final = (
    r.Arrangement(
        id="patched-port",
        kind="place",
        title="Patched network port at the bench",
        because="",
        remedy="Ask for the port to be patched and tested.",
        owner="facilities",
        needed="before the day",
        lead_time="15 working days",
        profile="workstation.toml",
        line=60,
    ),
    r.Arrangement(
        id="licence-certificate",
        kind="licence",
        title="Licence certificate for the workstation",
        because="the software does not start without it",
        remedy="",
        owner="lab",
        needed="on the day",
        lead_time="",
        profile="workstation.toml",
        line=54,
        state="in hand",
        holder="R. Example",
        kept="safe in room 12",
        expires="2027-12-31",
    ),
)

BACKUP: Final = r.BackupOutline(
    (
        r.BackupItem("System volume", 256 * 10**9, "space in use by the snapshot"),
        r.BackupItem("Acquired data", None, "the profile names no data folder"),
    ),
    (
        "copy 1: on the PC itself",
        "copy 2: on another medium in the lab",
        "copy 3: in another building",
    ),
    "Restore one method and one result on another PC before the first sample.",
    ("A mirrored drive is not a backup.",),
)


def report(
    findings: tuple[r.Finding, ...] = FINDINGS,
    *,
    arrangements: tuple[r.Arrangement, ...] = ARRANGEMENTS,
    arrangements_outcome: r.Outcome | None = None,
    not_asked: tuple[str, ...] = ("2 arrangements: give a worksheet with --worksheet",),
    warnings: tuple[str, ...] = (),
    title: str = "Chromatography data system, workstation",
    computer: dict[str, str | None] | None = None,
) -> r.Report:
    """A report; its outcome follows from its findings."""
    named: dict[str, str | None] = {"host_name": "bench-pc-07", "model": "Benchtop 7", "serial_number": None}
    return r.Report(
        pc_outcome=r.outcome_of(findings),
        arrangements_outcome=arrangements_outcome,
        on=date(2026, 12, 7),
        as_of=date(2026, 11, 26),
        tool_version="0.1.0",
        profiles=(ProfileSource(title, "workstation.toml", "00" * 32, "format = 1\n"),),
        computer=named if computer is None else computer,
        findings=findings,
        arrangements=arrangements,
        backup=BACKUP,
        not_asked=not_asked,
        warnings=warnings,
        snapshot=SNAPSHOT,
        options=("mass-detector",),
        parameters={"instruments": 2, "flow": 0.5},
    )
