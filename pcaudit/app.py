"""The use cases: wires the rooms together and prints nothing."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, BinaryIO, NamedTuple

from pcaudit import __version__
from pcaudit.core.snapshot import Form, Observation, Snapshot
from pcaudit.errors import MistakesError, UsageError
from pcaudit.probes.interface import Probe, Timing

if TYPE_CHECKING:
    from pcaudit.core.advice import Advice
    from pcaudit.core.choose import Asked
    from pcaudit.core.concessions import Concession
    from pcaudit.core.profile import Profile
    from pcaudit.core.report import Finding, Report


class Taken(NamedTuple):
    """A snapshot just taken, and how long each probe took."""

    snapshot: Snapshot
    timings: tuple[Timing, ...]


def _probes() -> tuple[Probe, ...]:
    platform: str = sys.platform  # a plain text: type checkers know of one platform only
    if platform == "linux":
        from pcaudit.probes.linux.all import probes

        return probes()
    if platform == "win32":
        from pcaudit.probes.windows.all import probes as windows_probes

        return windows_probes()
    if platform == "darwin":
        from pcaudit.probes.macos.all import probes as macos_probes

        return macos_probes()
    raise UsageError(
        f"this version probes Windows, Linux and macOS only, not {platform}",
        next_step="take a snapshot on such a PC, or assess a saved one: pcaudit assess PROFILE SNAPSHOT",
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
    """Read and compile a profile and everything it is based on.

    Args:
        path: Its file, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It, or what it is based on, cannot be read, leads in a circle or out of its folder.
        MistakesError: It says something wrong; every mistake in it.
    """
    from pcaudit.loading import load

    return load(path, stdin)


def remarks(profile: Profile) -> tuple[Advice, ...]:
    """What a valid profile could say better."""
    from pcaudit.core.advice import advise
    from pcaudit.loading import series_for

    return advise(profile, series_for(profile))


def load_asked(
    paths: Sequence[str],
    options: Sequence[str] = (),
    settings: Sequence[str] = (),
    stdin: BinaryIO | None = None,
) -> tuple[Asked, ...]:
    """Read profiles and choose options and parameters of them.

    Args:
        paths: Of the profiles.
        options: Names chosen.
        settings: ``NAME=VALUE`` for each parameter chosen.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: As ``load_profile``, where an option or parameter is none of theirs, a value is
            outside its range, or a parameter is set twice.
        MistakesError: A profile says something wrong, or two conditions contradict each other.
    """
    from pcaudit.core.choose import ask
    from pcaudit.core.contradictions import contradictions

    values = {}
    for setting in settings:
        name, equals, value = setting.partition("=")
        if not equals or not name.strip():
            raise UsageError(f"--set {setting:.60}: no NAME=VALUE", next_step="write --set instruments=3")
        if name.strip() in values:
            raise UsageError(
                f"--set {setting:.60}: {name.strip():.60} is set twice", next_step="set each parameter once"
            )
        values[name.strip()] = value.strip()
    asked = ask([load_profile(path, stdin) for path in paths], options, values)
    mistakes = contradictions(asked)
    if mistakes:
        raise MistakesError(" and ".join(paths), mistakes)
    return asked


def load_concessions(path: str, stdin: BinaryIO | None = None) -> tuple[Concession, ...]:
    """Read a concessions file.

    Raises:
        UsageError: It cannot be read.
        MistakesError: It says something wrong; every mistake in it.
    """
    from pcaudit.core.concessions import read_concessions
    from pcaudit.files import read_toml

    document = read_toml(path, stdin)
    return read_concessions(document.data, path=path, place=document.place)


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


def _with_remedies(findings: tuple[Finding, ...], snapshot: Snapshot, folder: str) -> tuple[Finding, ...]:
    from pcaudit.core.remedies import fill, wants_remedy

    if not any(wants_remedy(finding) for finding in findings):
        return findings
    from pcaudit.loading import remedies

    os_type = snapshot.get("os.type")
    return fill(findings, remedies(folder), os_type.value if os_type.form is Form.KNOWN else "")


def assess(
    asked: Sequence[Asked],
    snapshot: Snapshot,
    *,
    on: date,
    as_of: date,
    concessions: Sequence[Concession] = (),
    knowledge: str = "",
) -> Report:
    """Hold profiles against a snapshot.

    Args:
        asked: What is asked.
        snapshot: What was seen.
        on: Day judged for.
        as_of: Day work counts from.
        concessions: What may be accepted although it falls short.
        knowledge: Folder of knowledge files that replace the shipped ones of the same name.

    Returns:
        The report.

    Raises:
        UsageError: A knowledge file cannot be read or says something wrong.
    """
    from pcaudit.core.assess import make_report
    from pcaudit.core.evaluate import evaluate_all
    from pcaudit.loading import needed_by, tables

    known = tables(needed_by(asked), knowledge)
    evaluation = evaluate_all(asked, snapshot, knowledge=known, concessions=concessions, on=on)
    evaluation = evaluation._replace(findings=_with_remedies(evaluation.findings, snapshot, knowledge))
    return make_report(
        asked, snapshot, evaluation, on=on, as_of=as_of, tool_version=__version__, knowledge=known
    )


def all_readings(snapshot: Snapshot, knowledge: str = "") -> dict[str, Observation]:
    """Every reading of a snapshot by name, derived ones too, in the catalogue's order.

    Raises:
        UsageError: A knowledge file cannot be read or says something wrong.
    """
    from pcaudit.core.catalogue import CATALOGUE
    from pcaudit.core.derive import Readings
    from pcaudit.loading import TABLES, tables

    readings = Readings(snapshot, tables(TABLES, knowledge))
    return {name: readings.get(name) for name in CATALOGUE}
