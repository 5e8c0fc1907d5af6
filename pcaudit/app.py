"""The use cases: wires the rooms together and prints nothing."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, BinaryIO, Final, NamedTuple

from pcaudit import __version__
from pcaudit.core.snapshot import Form, Observation, Snapshot
from pcaudit.errors import MistakesError, UsageError
from pcaudit.probes.interface import Probe, Timing

if TYPE_CHECKING:
    from pcaudit.core.advice import Advice
    from pcaudit.core.choose import Asked
    from pcaudit.core.compare import Comparison
    from pcaudit.core.concessions import Concession
    from pcaudit.core.drift import Drift
    from pcaudit.core.kept_report import KeptReport
    from pcaudit.core.plan.answered import Answered
    from pcaudit.core.plan.calendar_entries import Entry
    from pcaudit.core.plan.document import Plan
    from pcaudit.core.prices import Prices
    from pcaudit.core.profile import Profile
    from pcaudit.core.record import Chain, File, Kept
    from pcaudit.core.report import ConcessionsSource, Finding, Report
    from pcaudit.core.survey import Survey
    from pcaudit.core.worksheet.blank import Filled
    from pcaudit.core.worksheet.sheet import Worksheet
    from pcaudit.worksheets import Choice


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


class Planned(NamedTuple):
    """A plan, what of it stands in a calendar, and the files of the profiles it was made with."""

    plan: Plan
    entries: tuple[Entry, ...]
    files: tuple[str, ...] = ()


def take_snapshot() -> Taken:
    """Probe this PC.

    Raises:
        UsageError: This operating system has no probes yet.
    """
    from pcaudit.probes.runner import run

    snapshot, timings = run(_probes(), __version__, lambda: datetime.now(UTC))
    return Taken(snapshot, timings)


KEY_LENGTH: Final = 32
"""Fewest bytes of a secret that pseudonyms are made with: as many as SHA-256 gives (RFC 2104, section 3)."""

KEY_DISTINCT: Final = 8
"""Fewest different bytes in a secret: 32 random hexadecimal digits have fewer once in 10 million times.

Common practice, no source.
"""


def redaction_key(path: str | None = None, stdin: BinaryIO | None = None) -> bytes:
    """The secret that pseudonyms are made with: a file's, or a random one that is then forgotten.

    Args:
        path: The file, ``-`` for standard input; None for a random secret.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: The file cannot be read, is too short, or repeats a few bytes.
    """
    if path is None:
        import os

        return os.urandom(KEY_LENGTH)
    from pcaudit.files import TOML_LIMIT, name, read_bytes

    # Editors put a line end after a secret that is typed, and not all do.
    secret = read_bytes(path, TOML_LIMIT, stdin).strip()
    if len(secret) < KEY_LENGTH:
        raise UsageError(
            f"{name(path):.200} holds {len(secret)} bytes, too few for a secret",
            next_step=f"write {KEY_LENGTH} or more random characters into it, and keep it secret",
        )
    if len(set(secret)) < KEY_DISTINCT:
        raise UsageError(
            f"{name(path):.200} has too few different bytes for a secret: {len(set(secret))}",
            next_step=f"write {KEY_LENGTH} or more random characters into it, and keep it secret",
        )
    return secret


def redacted(taken: Taken, key: bytes) -> Taken:
    """What was taken, with pseudonyms; what went wrong with a probe stands beside its readings."""
    from pcaudit.core.redact import redact_snapshot

    timings = tuple(
        one._replace(problem="see the reason beside its readings" if one.problem else "")
        for one in taken.timings
    )
    return Taken(redact_snapshot(taken.snapshot, key), timings)


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


def _values(settings: Sequence[str]) -> dict[str, str]:
    """Text of each parameter that ``NAME=VALUE`` sets, by name.

    Raises:
        UsageError: One is no such setting, or sets a parameter twice.
    """
    values: dict[str, str] = {}
    for setting in settings:
        name, equals, value = setting.partition("=")
        if not equals or not name.strip():
            raise UsageError(f"--set {setting:.60}: no NAME=VALUE", next_step="write --set instruments=3")
        if name.strip() in values:
            raise UsageError(
                f"--set {setting:.60}: {name.strip():.60} is set twice", next_step="set each parameter once"
            )
        values[name.strip()] = value.strip()
    return values


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

    asked = ask([load_profile(path, stdin) for path in paths], options, _values(settings))
    mistakes = contradictions(asked)
    if mistakes:
        raise MistakesError(" and ".join(paths), mistakes)
    return asked


def load_worksheet(path: str, stdin: BinaryIO | None = None) -> Worksheet:
    """Read a worksheet.

    Raises:
        UsageError: It cannot be read, or is no TOML.
        MistakesError: It holds what resembles a secret, or says something wrong.
    """
    from pcaudit.worksheets import load_worksheet as load

    return load(path, stdin)


def choice(
    profiles: Sequence[str], also: Sequence[str], options: Sequence[str], settings: Sequence[str]
) -> Choice:
    """What the command line adds to a worksheet, or puts in the place of what it says.

    Raises:
        UsageError: A setting is none, or sets a parameter twice.
    """
    from pcaudit.worksheets import Choice

    return Choice(tuple(profiles), tuple(also), tuple(options), _values(settings))


def asked_by(worksheet: Worksheet, chosen: Choice, stdin: BinaryIO | None = None) -> tuple[Asked, ...]:
    """Read the profiles a worksheet names, and choose what it and the command line say.

    Raises:
        UsageError: A profile cannot be read, or the command line chooses what none has.
        MistakesError: A profile says something wrong, two contradict each other, or the worksheet
            chooses or answers what no profile has.
    """
    from pcaudit.worksheets import asked_by as ask_by

    return ask_by(worksheet, chosen, stdin)


def concessions_of(worksheet: Worksheet) -> str | None:
    """Path of the concessions file a worksheet names; None where it names none."""
    from pcaudit.worksheets import concessions_of as path_of

    return path_of(worksheet)


def filled(paths: Sequence[str], asked: Sequence[Asked], options: Sequence[str]) -> Filled:
    """What a worksheet begins with: the files of its profiles, and what was chosen of them."""
    from pcaudit.core.worksheet.blank import Filled

    chosen = {name: str(one.parameters[name].value) for one in asked for name in one.given}
    return Filled(tuple(dict.fromkeys(paths)), tuple(dict.fromkeys(options)), dict(sorted(chosen.items())))


def new_worksheet(asked: Sequence[Asked], known: Filled, output: str) -> str:
    """Write a worksheet that names its profiles as they are seen from where it will lie.

    Args:
        asked: The profiles, and what was chosen of them.
        known: What is filled in already.
        output: Where it will lie, ``-`` for standard output: then as seen from here.

    Raises:
        MistakesError: A profile holds what resembles a secret.
    """
    from pcaudit.worksheets import new_worksheet as write

    return write(asked, known, output)


def checked(worksheet: Worksheet) -> str:
    """Check that a worksheet fits the profiles it names; what it answers, in words.

    Raises:
        UsageError: A profile cannot be read.
        MistakesError: A profile says something wrong, or the worksheet does not fit them.
    """
    from pcaudit.worksheets import checked as check

    return check(worksheet)


def answered(worksheet: Worksheet, needed: date | None, as_of: date, knowledge: str = "") -> Answered:
    """A worksheet and what it is held against.

    Args:
        worksheet: The answers.
        needed: Day judged for, where somebody said one; else the installation day counts.
        as_of: Day work counts from.
        knowledge: Folder of knowledge files that replace the shipped ones of the same name.

    Raises:
        UsageError: A knowledge file cannot be read or says something wrong.
    """
    from pcaudit.core.plan.answered import Answered
    from pcaudit.core.plan.arrangements import Days
    from pcaudit.core.plan.calendar import holiday_years, working_days
    from pcaudit.loading import electrical, public_holidays

    calendar, day = worksheet.calendar, needed or worksheet.installation.day
    public = public_holidays(calendar.country, calendar.subdivision, holiday_years(day, as_of))
    days = Days(day, as_of, working_days(calendar, public.days))
    rules = electrical(knowledge) if worksheet.place.asked else None
    return Answered(worksheet, days, rules, public.notes)


def plan(
    worksheet: Worksheet,
    snapshot: Snapshot | None,
    *,
    needed: date | None,
    as_of: date,
    knowledge: str = "",
) -> Planned:
    """Plan everything around a PC.

    Args:
        worksheet: What the lab knows.
        snapshot: Of the PC; None where there is none yet.
        needed: Day judged for, where somebody said one; else the installation day counts.
        as_of: Day work counts from.
        knowledge: Folder of knowledge files that replace the shipped ones of the same name.

    Raises:
        UsageError: A profile or a knowledge file cannot be read.
        MistakesError: A profile says something wrong, or the worksheet does not fit its profiles.
    """
    from pcaudit.core.plan.calendar_entries import calendar_entries
    from pcaudit.core.plan.whole import make_plan
    from pcaudit.worksheets import Choice, asked_by as ask_by

    concessions_of(worksheet)  # a plan uses none, and says where the file is not there
    held = answered(worksheet, needed, as_of, knowledge)
    asked = ask_by(worksheet, Choice()) if worksheet.use.profiles else ()
    made, table = make_plan(held, asked, snapshot, on=held.days.needed or as_of, tool_version=__version__)
    entries = () if table is None else calendar_entries(table, worksheet.title)
    return Planned(made, entries, tuple(one.path for each in asked for one in each.profile.sources))


class Granted(NamedTuple):
    """What a concessions file grants, and which file it is."""

    concessions: tuple[Concession, ...] = ()
    source: ConcessionsSource | None = None


def load_concessions(path: str, stdin: BinaryIO | None = None) -> Granted:
    """Read a concessions file.

    Raises:
        UsageError: It cannot be read.
        MistakesError: It says something wrong; every mistake in it.
    """
    from pcaudit.core.concessions import read_concessions
    from pcaudit.core.report import ConcessionsSource
    from pcaudit.files import read_toml

    document = read_toml(path, stdin)
    granted = read_concessions(document.data, path=path, place=document.place)
    return Granted(granted, ConcessionsSource(path, document.sha256))


def load_snapshot(path: str, stdin: BinaryIO | None = None) -> Snapshot:
    """Read a saved snapshot.

    Args:
        path: Its file, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It is no JSON, no snapshot, or of a newer format.
    """
    from pcaudit.core.snapshot import from_mapping
    from pcaudit.files import is_toml, read_json

    try:
        data = read_json(path, stdin)
    except UsageError:
        if path != "-" and is_toml(path):
            raise UsageError(
                f"{path} is TOML, and a snapshot is JSON",
                next_step="a second product on the same PC is named with --also PROFILE",
            ) from None
        raise
    return from_mapping(data, "standard input" if path == "-" else path)


def _with_remedies(findings: tuple[Finding, ...], snapshot: Snapshot, folder: str) -> tuple[Finding, ...]:
    from pcaudit.core.remedies import entries, fill

    bounded = {name for name, seen in snapshot.readings.items() if seen.form is Form.AT_LEAST}
    names = entries(findings, bounded)
    if not names:
        return findings
    from pcaudit.loading import remedies

    os_type = snapshot.get("os.type")
    system = os_type.value if os_type.form is Form.KNOWN else ""
    return fill(findings, remedies(folder, names, system), system, bounded)


def assess(
    asked: Sequence[Asked],
    snapshot: Snapshot,
    *,
    on: date,
    as_of: date,
    concessions: Sequence[Concession] = (),
    knowledge: str = "",
    answers: Answered | None = None,
) -> Report:
    """Hold profiles against a snapshot.

    Args:
        asked: What is asked.
        snapshot: What was seen.
        on: Day judged for.
        as_of: Day work counts from.
        concessions: What may be accepted although it falls short.
        knowledge: Folder of knowledge files that replace the shipped ones of the same name.
        answers: The worksheet, if there is one.

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
        asked,
        snapshot,
        evaluation,
        on=on,
        as_of=as_of,
        tool_version=__version__,
        knowledge=known,
        answered=answers,
    )


def load_prices(path: str, stdin: BinaryIO | None = None) -> Prices:
    """Read a prices file.

    Raises:
        UsageError: It cannot be read.
        MistakesError: It says something wrong; every mistake in it.
    """
    from pcaudit.core.prices import read_prices
    from pcaudit.files import read_toml

    document = read_toml(path, stdin)
    return read_prices(document.data, path=path, place=document.place)


def compare(
    asked: Sequence[Asked],
    snapshots: Sequence[tuple[str, Snapshot]],
    *,
    on: date,
    as_of: date,
    concessions: Sequence[Concession] = (),
    knowledge: str = "",
    prices: Prices | None = None,
) -> Comparison:
    """Hold profiles against several snapshots, and set them side by side.

    Args:
        asked: What is asked.
        snapshots: Of the candidates, each with the name of its file.
        on: Day judged for.
        as_of: Day work counts from.
        concessions: What may be accepted although it falls short.
        knowledge: As for ``assess``.
        prices: Of parts.

    Returns:
        The comparison.

    Raises:
        UsageError: Too few candidates, or too many; a knowledge file cannot be read or says
            something wrong.
    """
    from pcaudit.core.assess import make_report
    from pcaudit.core.compare import FEWEST, MOST, Entry, compare as set_side_by_side
    from pcaudit.core.evaluate import evaluate_all
    from pcaudit.core.mending import mend
    from pcaudit.core.smallest_change import Question
    from pcaudit.loading import needed_by, tables

    if not FEWEST <= len(snapshots) <= MOST:
        raise UsageError(
            f"{len(snapshots)} snapshot{'s' * (len(snapshots) != 1)} to compare",
            next_step=f"name from {FEWEST} to {MOST}; pcaudit assess judges one",
        )
    # Support counts in the ranking, whatever the profile asks.
    known = tables(dict.fromkeys(("os", *needed_by(asked))), knowledge)
    entries = []
    for file, snapshot in snapshots:
        evaluation = evaluate_all(asked, snapshot, knowledge=known, concessions=concessions, on=on)
        findings = _with_remedies(evaluation.findings, snapshot, knowledge)
        report = make_report(
            asked,
            snapshot,
            evaluation._replace(findings=findings),
            on=on,
            as_of=as_of,
            tool_version=__version__,
            knowledge=known,
        )
        question = Question(asked, snapshot, known, concessions, on, prices)
        entries.append(Entry(file, report, mend(question, {one.id: one for one in findings})))
    return set_side_by_side(entries, asked, known, prices.currency if prices else "")


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


class Entering(NamedTuple):
    """What a person says on entering a record.

    Attributes:
        by: Who enters it.
        meaning: Of ``pcaudit.core.record.MEANINGS``.
        replaces: Path or name of the record it corrects; empty for none.
        because: Why it corrects it.
        although_differing: A report of another version is kept although this one judges otherwise.
    """

    by: str
    meaning: str
    replaces: str = ""
    because: str = ""
    although_differing: bool = False


class Entered(NamedTuple):
    """A record just entered.

    Attributes:
        path: Of the record.
        differs: Ids of findings this version judges otherwise.
        untold: What somebody must know of it besides, one line each: what its report does not tell,
            and which records keep the same report.
    """

    path: str
    differs: tuple[str, ...]
    untold: str = ""


def _entering(entering: Entering) -> None:
    from pcaudit.core.record import LONGEST_TEXT, MEANINGS
    from pcaudit.core.visible import visible

    if entering.meaning not in MEANINGS:
        raise UsageError(
            f"--meaning {entering.meaning!r:.60} is none", next_step=f"one of: {', '.join(MEANINGS)}"
        )
    for option, text in (("--by", entering.by), ("--because", entering.because)):
        if text != visible(text, LONGEST_TEXT):
            raise UsageError(
                f"{option} has characters that do not show, or more than {LONGEST_TEXT}",
                next_step="write it in one line of plain text",
            )
    if not entering.by.strip():
        raise UsageError("--by names nobody", next_step='write --by "A. Example"')
    if bool(entering.replaces.strip()) != bool(entering.because.strip()):
        raise UsageError(
            "--replaces RECORD and --because REASON go together",
            next_step="a correction says which record it corrects, and why",
        )


_GIVE_CONCESSIONS = "give the file the report was made with: --concessions FILE"


def _refuse_other_concessions(
    path: str | None, report: KeptReport, file: File | None, granted: tuple[Concession, ...]
) -> None:
    """Refuse a concessions file that is not the one a report was made with.

    Raises:
        UsageError: It is not, or an older report does not say and the file grants more or less.
    """
    from pcaudit.core.kept_report import not_granted, not_used, other_file

    if other := other_file(report, path, file.sha256 if file else ""):
        without = "" if report.conceded else ", or leave --concessions out"
        raise UsageError(other, next_step=_GIVE_CONCESSIONS + without)
    if missing := not_granted(report, granted):
        grants = "" if path is None else f" what {path:.200} does not grant"
        raise UsageError(
            f"the report accepts by concession{grants}: {', '.join(missing):.200}",
            next_step=_GIVE_CONCESSIONS,
        )
    # Later judging would apply them, and nobody can tell that the report was made with them.
    if report.conceded is None and (unused := not_used(report, granted)):
        raise UsageError(
            f"{path!s:.200} grants what the report accepts nothing by, and the report does not say which "
            f"file it was made with: {', '.join(unused):.200}",
            next_step="make the report again with --concessions FILE: it then says which file that was",
        )


def _concessions_kept(
    path: str | None, report: KeptReport, stdin: BinaryIO | None
) -> tuple[File | None, tuple[Concession, ...]]:
    """The concessions file, and what it grants; it must be the one the report was made with."""
    from pcaudit.core.concessions import read_concessions
    from pcaudit.files import read_toml

    file: File | None = None
    granted: tuple[Concession, ...] = ()
    if path is not None:
        document = read_toml(path, stdin)
        granted = read_concessions(document.data, path=path, place=document.place)
        from pcaudit.core.record import File

        file = File(path, document.sha256, document.text)
    _refuse_other_concessions(path, report, file, granted)
    return file, granted


def _untold_concessions(report: KeptReport, file: File | None) -> str:
    """That an older report does not say which concessions it was made with; empty where it does."""
    if report.conceded is not None or file is None:
        return ""
    from pcaudit.core.visible import visible

    return (
        "the report does not say which concessions file it was made with: that the limits are those of "
        f"{visible(file.path, 200)} is not checked"
    )


def _judged(
    report: KeptReport,
    granted: Sequence[Concession],
    snapshot: Snapshot,
    days: tuple[date, date],
    knowledge: str,
    answers: Answered | None = None,
) -> Report:
    """Judge readings by the profiles, choices and concessions that a report holds.

    Args:
        report: Holds them.
        granted: The concessions.
        snapshot: Readings.
        days: Judged for, and counted from.
        knowledge: As for ``assess``.
        answers: The worksheet the report holds, where its arrangements are judged too.
    """
    from pcaudit.core.choose import ask
    from pcaudit.recorded import profiles_of

    asked = ask(profiles_of(report.profiles, report.asked), report.options, report.parameters)
    return assess(
        asked,
        snapshot,
        on=days[0],
        as_of=days[1],
        concessions=granted,
        knowledge=knowledge,
        answers=answers,
    )


def _answers_kept(report: KeptReport, knowledge: str) -> Answered | None:
    """The worksheet a report holds, and the days it was held against; None where it holds none.

    Raises:
        UsageError: A knowledge file cannot be read or says something wrong.
        MistakesError: This version finds mistakes in it.
    """
    if report.worksheet is None:
        return None
    from pcaudit.worksheets import worksheet_of_text

    kept = report.worksheet
    day = None if kept.day is None else date.fromisoformat(kept.day)
    return answered(worksheet_of_text(kept.path, kept.text, kept.sha256), day, report.as_of, knowledge)


def _untold(report: KeptReport) -> str:
    """What a report does not tell of what was asked, and what it is taken for; empty where it tells all."""
    from pcaudit.core.visible import visible
    from pcaudit.recorded import perhaps_asked

    doubtful = perhaps_asked(report.profiles) if report.asked is None else []
    if not doubtful:
        return ""
    return (
        f"the report does not say which profiles were asked for: {visible(', '.join(doubtful), 200)} "
        "counts only as what another is based on"
    )


def _differs(raw: dict[str, Any], report: KeptReport, again: Report) -> tuple[str, ...]:
    """What says something else in one of two reports: ids of findings, and keys of the report itself."""
    from pcaudit.core.json_text import dump_json, parse_json
    from pcaudit.core.kept_report import besides, outcomes, read_report
    from pcaudit.core.report import report_mapping

    file = "the report made again"
    repeated = parse_json(dump_json(report_mapping(again)), file)
    said: list[dict[str, object]]
    if report.tool_version == __version__:
        said = [{one["id"]: dump_json(one) for one in each["findings"]} for each in (raw, repeated)]
    else:  # another version may say the same in other words
        findings = (report.findings, read_report(repeated, file).findings)
        said = [{name: one.verdict.value for name, one in each.items()} for each in findings]
        for one, each in zip(said, (raw, repeated), strict=True):
            one |= outcomes(each)
    own, other = said
    if report.tool_version == __version__:
        for one, each in ((own, raw), (other, repeated)):
            one |= {key: dump_json(value) for key, value in besides(each, raw).items()}
    return tuple(name for name in {**own, **other} if own.get(name) != other.get(name))


_KEEP_DIFFERING = (
    "make the report again with this version; to keep it as it is, with what differs named in the "
    "record, add --although-differing"
)


def _refuse_differing(
    differs: tuple[str, ...], report: KeptReport, again: Report, name: str, entering: Entering
) -> None:
    """Refuse a report that, judged again, comes to something else than it says.

    Raises:
        UsageError: It is of this very version; or it is of another one, differs in what decides,
            and nobody said that it is kept all the same.
    """
    lead = f"{name}: its readings, judged again, say otherwise of {', '.join(differs):.200}"
    if differs and report.tool_version == __version__:
        raise UsageError(
            lead,
            next_step=_untold(report)
            or "the report was changed, or made with --knowledge or by another build: make it again",
        )
    # What only this version asks counts too: it may be unmet, and the report silent about it.
    advised = {one.id for one in again.findings if not one.binding}
    advised &= {one.id for one in report.findings.values() if not one.binding}
    decide = [one for one in differs if one not in advised]
    if decide and not entering.although_differing:
        version = f"{report.tool_version:.40}"
        raise UsageError(
            f"{name}: it says that version {version} made it, and this version, judging its readings "
            f"again, comes to {again.outcome.value} and differs in {', '.join(decide):.200}",
            next_step="; ".join(filter(None, (_untold(report), _KEEP_DIFFERING))),
        )


def keep_report(
    path: str,
    entering: Entering,
    store: str,
    *,
    concessions: str | None = None,
    knowledge: str = "",
    stdin: BinaryIO | None = None,
) -> Entered:
    """Keep a report as a record.

    The report's readings are judged again by the profiles it holds. A report of this very version
    that says something else was changed, or judged with other knowledge, and is refused; of
    another version, one that differs in what decides is kept only if that was said, and the record
    says which verdicts differ.

    Args:
        path: Of the report in JSON, or ``-`` for standard input.
        entering: Who enters it, and why.
        store: Folder of records; made if it is missing.
        concessions: The concessions file the report was made with.
        knowledge: Folder of knowledge files the report was made with.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: Something of it cannot be read or does not hold together, or the store cannot
            take it; nothing was written.
        MistakesError: This version finds mistakes in a profile, the concessions or the worksheet.
    """
    from pcaudit.core import record as r
    from pcaudit.core.canonical import sha256
    from pcaudit.core.json_text import parse_json
    from pcaudit.core.kept_report import read_report
    from pcaudit.core.visible import visible
    from pcaudit.files import JSON_LIMIT, name, read_source
    from pcaudit.store import add

    _entering(entering)
    source = read_source(path, JSON_LIMIT, stdin)
    raw = parse_json(source.text, name(path))
    report = read_report(raw, visible(name(path)))
    file, granted = _concessions_kept(concessions, report, stdin)
    days, answers = (report.on, report.as_of), _answers_kept(report, knowledge)
    judged = _judged(report, granted, report.snapshot, days, knowledge, answers)
    differs = _differs(raw, report, judged)
    _refuse_differing(differs, report, judged, visible(name(path)), entering)
    inputs = [r.Input("report", path, sha256(source.raw))]
    inputs += [r.Input("profile", one.path, one.sha256) for one in report.profiles]
    inputs += [r.Input("concessions", file.path, file.sha256)] if file else []
    sheet = report.worksheet and r.File(report.worksheet.path, report.worksheet.sha256, report.worksheet.text)
    inputs += [r.Input("worksheet", sheet.path, sheet.sha256)] if sheet else []
    again = {
        "tool": {"name": "pcaudit", "version": __version__},
        "differs": list(differs),
        "outcome": judged.outcome.value,
    }

    def make(previous: r.Link | None, replaces: r.Link | None) -> dict[str, object]:
        at = datetime.now().astimezone().isoformat(timespec="seconds")
        return r.make_record(
            raw,
            r.Entry(entering.by.strip(), entering.meaning, at),
            tool_version=__version__,
            inputs=tuple(inputs),
            concessions=file,
            worksheet=sheet,
            previous=previous,
            replaces=replaces,
            because=entering.because.strip(),
            judged_again=again,
        )

    added = add(store, make, entering.replaces.strip())
    unsaid = (
        _untold(report) if differs else "",
        _untold_concessions(report, file),
        f"the same report is kept already: {', '.join(added.twice):.200}" if added.twice else "",
    )
    return Entered(added.path, differs, "\n".join(one for one in unsaid if one))


def verify_record(path: str) -> Chain:
    """Check a record against its digests, and the chain of records before it.

    Raises:
        UsageError: It cannot be read, is no record, or is of a newer format.
    """
    from pcaudit.store import verify

    return verify(path)


def load_record(path: str) -> Kept:
    """Read a record and check its content against its digests, not the chain before it.

    Raises:
        UsageError: It cannot be read, is no record, or is of a newer format.
    """
    from pcaudit.store import read_record

    return read_record(path)


def untold(record: Kept) -> str:
    """What a record does not tell of what was asked, and what it is taken for; empty where it tells all.

    Raises:
        UsageError: Its report cannot be used.
    """
    from pcaudit.core.kept_report import read_report

    return _untold(read_report(record.document["report"], record.name))


def drift(record: Kept, snapshot: Snapshot, *, on: date | None, as_of: date, knowledge: str = "") -> Drift:
    """Hold readings against a record, by the profiles, choices and concessions it holds.

    Args:
        record: Whose content matches its digests.
        snapshot: The new readings.
        on: Day judged for; without one the day the record was judged for, so that only the PC,
            and what is known of releases, can turn a verdict.
        as_of: Day work counts from.
        knowledge: As for ``assess``.

    Raises:
        UsageError: The record's report or a knowledge file cannot be used.
        MistakesError: This version finds mistakes in a profile or the concessions of the record.
    """
    from pcaudit.core.concessions import read_concessions
    from pcaudit.core.derive import Readings
    from pcaudit.core.drift import Held, make_drift
    from pcaudit.core.kept_report import read_report
    from pcaudit.loading import TABLES, tables
    from pcaudit.recorded import document_of

    assert not record.fault, "a record that does not match its digests is held against nothing"
    report = read_report(record.document["report"], record.name)
    granted: tuple[Concession, ...] = ()
    if conceded := record.document["concessions"]:
        document = document_of(conceded["path"], conceded["text"])
        granted = read_concessions(document.data, path=document.path, place=document.place)
    days = (report.on if on is None else on, as_of)
    known = tables(TABLES, knowledge)
    entered = record.document["entered"]
    return make_drift(
        Held(record.name, record.document["digest"], *(str(entered.get(k)) for k in ("by", "meaning", "at"))),
        report,
        _judged(report, granted, report.snapshot, days, knowledge),
        _judged(report, granted, snapshot, days, knowledge),
        Readings(report.snapshot, known),
        Readings(snapshot, known),
    )


class Surveyed(NamedTuple):
    """What a survey is asked to do.

    Attributes:
        against: Path of another edition; empty for none.
        what_if: ``NAME=VALUE`` for each thing that is supposed.
        only: The outcome to list; empty for all.
        jobs: Processes at most; 0 for as many as there are processors.
        changes: Whether to look for the one change with which PCs that nearly pass would pass.
    """

    against: str = ""
    what_if: tuple[str, ...] = ()
    only: str = ""
    jobs: int = 0
    changes: bool = True


def survey(
    path: str,
    asked: Sequence[Asked],
    wanted: Surveyed,
    chosen: tuple[Sequence[str], Sequence[str]],
    *,
    days: tuple[date, date],
    knowledge: str = "",
    progress: Callable[[int, int], None] = lambda _done, _of: None,
) -> Survey:
    """Hold profiles against every snapshot of a folder, or of a file of JSON Lines.

    Args:
        path: The folder or file.
        asked: The profiles, as ``load_asked`` gives them.
        wanted: What else is asked.
        chosen: Options and settings ``asked`` was loaded with.
        days: Judged for, and counted from.
        knowledge: As for ``assess``.
        progress: Is told how many snapshots were judged, and of how many.

    Raises:
        UsageError: There is no such folder, or what is asked cannot be used.
        MistakesError: The other edition says something wrong.
    """
    from pcaudit.core.survey import Heading
    from pcaudit.core.survey_what_if import suppose
    from pcaudit.surveys import Job, edition, survey as hold

    values = _values(chosen[1])
    against = load_asked([wanted.against], *chosen) if wanted.against else None
    job = Job(
        edition(asked, chosen[0], values),
        None if against is None else edition(against, chosen[0], values),
        suppose(wanted.what_if),
        knowledge,
        wanted.changes,
    )
    heading = Heading(
        on=days[0],
        as_of=days[1],
        tool_version=__version__,
        profiles=job.edition.sources,
        against=job.against.sources if job.against else (),
        options=tuple(sorted({name for each in asked for name in each.options})),
        parameters={name: one.value for each in asked for name, one in each.parameters.items()},
        what_if=wanted.what_if,
        only=wanted.only,
    )
    return hold(path, job, heading, wanted.jobs, progress)
