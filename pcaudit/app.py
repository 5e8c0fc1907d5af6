"""The use cases: wires the rooms together and prints nothing."""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime
from typing import BinaryIO, NamedTuple

from pcaudit import __version__
from pcaudit.core.profile import Profile
from pcaudit.core.report import Finding, Report
from pcaudit.core.snapshot import Form, Observation, Snapshot
from pcaudit.errors import UsageError
from pcaudit.probes.interface import Probe, Timing


class Taken(NamedTuple):
    """A snapshot just taken, and how long each probe took."""

    snapshot: Snapshot
    timings: tuple[Timing, ...]


def _probes() -> tuple[Probe, ...]:
    if sys.platform == "linux":
        from pcaudit.probes.linux.all import probes

        return probes()
    raise UsageError(
        f"this version probes Linux only, not {sys.platform}",
        next_step="take a snapshot on a Linux PC, or assess a saved one: pcaudit assess PROFILE SNAPSHOT",
    )


def take_snapshot() -> Taken:
    """Probe this PC.

    Raises:
        UsageError: This operating system has no probes yet.
    """
    from pcaudit.probes.runner import run

    snapshot, timings = run(_probes(), __version__, lambda: datetime.now(UTC))
    return Taken(snapshot, timings)


def load_profile(path: str, stdin: BinaryIO | None = None) -> Profile:
    """Read and compile a profile.

    Args:
        path: Its file, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It cannot be read.
        MistakesError: It says something wrong; every mistake in it.
    """
    from pcaudit.core.compile import compile_profile
    from pcaudit.core.visible import visible
    from pcaudit.files import TOML_LIMIT, name, read_source, toml_document

    source = read_source(path, TOML_LIMIT, stdin)
    if source.text.lstrip().startswith("{"):
        raise UsageError(
            f"{visible(name(path))} is JSON, and a profile is TOML",
            next_step="the profile comes first: pcaudit assess PROFILE SNAPSHOT",
        )
    document = toml_document(source)
    return compile_profile(
        document.data, path=path, place=document.place, sha256=document.sha256, text=document.text
    )


def load_snapshot(path: str, stdin: BinaryIO | None = None) -> Snapshot:
    """Read a saved snapshot.

    Args:
        path: Its file, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It is no JSON, no snapshot, or of a newer format.
    """
    from pcaudit.core.snapshot import from_mapping
    from pcaudit.files import read_json

    return from_mapping(read_json(path, stdin), "standard input" if path == "-" else path)


def _with_remedies(findings: tuple[Finding, ...], snapshot: Snapshot) -> tuple[Finding, ...]:
    from pcaudit.core.remedies import fill, wants_remedy

    if not any(wants_remedy(finding) for finding in findings):
        return findings
    import tomllib

    from pcaudit.files import knowledge_file

    known = tomllib.loads(knowledge_file("remedies.toml").decode())["remedies"]
    os_type = snapshot.get("os.type")
    return fill(findings, known, os_type.value if os_type.form is Form.KNOWN else "")


def assess(profile: Profile, snapshot: Snapshot, *, on: date, as_of: date) -> Report:
    """Hold a profile against a snapshot.

    Args:
        profile: What is asked.
        snapshot: What was seen.
        on: Day judged for.
        as_of: Day work counts from.

    Returns:
        The report.
    """
    from pcaudit.core.assess import make_report
    from pcaudit.core.evaluate import evaluate

    findings = _with_remedies(evaluate(profile, snapshot), snapshot)
    return make_report(profile, snapshot, findings, on=on, as_of=as_of, tool_version=__version__)


def all_readings(snapshot: Snapshot) -> dict[str, Observation]:
    """Every reading of a snapshot by name, derived ones too, in the catalogue's order."""
    from pcaudit.core.catalogue import CATALOGUE
    from pcaudit.core.derive import Readings

    readings = Readings(snapshot)
    return {name: readings.get(name) for name in CATALOGUE}
