"""A report in JSON, read back: what it judged, by what, and what it said.

Only what a record needs is read; whoever keeps a report wants to know that it says the same in
every place, so what contradicts itself is refused.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.canonical import is_digest, text_is
from pcaudit.core.concessions import Concession
from pcaudit.core.profile import ProfileSource
from pcaudit.core.pseudonyms import is_redacted
from pcaudit.core.report import FORMAT, Outcome, Verdict, WorksheetSource, all_of, worse
from pcaudit.core.snapshot import Form, Observation, Snapshot, from_mapping
from pcaudit.errors import UsageError

_AGAIN: Final = "make the report again: pcaudit assess PROFILE SNAPSHOT --format json --output FILE"
_COMPUTER: Final = ("host_name", "model", "serial_number")


class Said(NamedTuple):
    """What a report said of one condition, or of one of several on a reading.

    Attributes:
        id, title: Of the finding.
        verdict: What it said.
        binding: Whether it decided the outcome.
        required, found: In words.
        digest: Of the condition.
        concession: because, by and until where it was accepted.
        parts: Each of several conditions.
    """

    id: str
    title: str
    verdict: Verdict
    binding: bool
    required: str
    found: str
    digest: str
    concession: tuple[str, str, str] | None
    parts: tuple[Said, ...] = ()


class KeptReport(NamedTuple):
    """A report read back.

    Attributes:
        snapshot: What it judged.
        profiles: By what.
        on, as_of: For which day, and counted from which.
        options, parameters: What was chosen; parameters as ``--set`` takes them. Of a report that
            does not say which were chosen all of them, those left at their default too.
        asked: Positions in ``profiles`` of those asked for; None where the report does not say.
        findings: What it said, by id, in its order.
        pc_outcome: What that came to.
        tool_version: Version of pcaudit that wrote it.
        conceded: SHA-256 of the concessions file it was made with, empty where there was none; None
            where an older report does not say.
    """

    snapshot: Snapshot
    profiles: tuple[ProfileSource, ...]
    on: date
    as_of: date
    options: tuple[str, ...]
    parameters: dict[str, str]
    findings: dict[str, Said]
    pc_outcome: Outcome
    tool_version: str
    asked: tuple[int, ...] | None = None
    worksheet: WorksheetSource | None = None
    conceded: str | None = None


class _Reader:
    """Reads one report; ``file`` is its name for messages."""

    def __init__(self, file: str) -> None:
        self.file = file

    def wrong(self, what: str) -> UsageError:
        return UsageError(f"{self.file}: {what}", next_step=_AGAIN)

    def table(self, value: Any, what: str) -> Mapping[str, Any]:
        if not isinstance(value, dict):
            raise self.wrong(f"{what} is not there, or no table")
        return value

    def tables(self, value: Any, what: str) -> list[Mapping[str, Any]]:
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise self.wrong(f"{what} is not there, or no list of tables")
        return value

    def text(self, table: Mapping[str, Any], key: str, what: str) -> str:
        value = table.get(key)
        if not isinstance(value, str):
            raise self.wrong(f"{what} has no text `{key}`")
        return value

    def day(self, table: Mapping[str, Any], key: str) -> date:
        try:
            return date.fromisoformat(self.text(table, key, "the report"))
        except ValueError:
            raise self.wrong(f"`{key}` is no day") from None

    def outcome(self, table: Mapping[str, Any], key: str) -> Outcome:
        try:
            return Outcome(table.get(key))
        except ValueError:
            raise self.wrong(f"`{key}` is no outcome") from None

    def profile(self, table: Mapping[str, Any]) -> ProfileSource:
        fields = {key: self.text(table, key, "a profile in the report") for key in ProfileSource._fields}
        source = ProfileSource(**fields)
        if not text_is(source.text, source.sha256):
            raise self.wrong(f"the text of the profile {source.path:.200} does not match its SHA-256")
        return source

    def worksheet(self, document: Mapping[str, Any]) -> WorksheetSource | None:
        """The worksheet that answered the arrangements; None where none did."""
        if document.get("worksheet") is None:
            return None
        table = self.table(document["worksheet"], "`worksheet`")
        what = "the worksheet in the report"
        title, path, digest, text = (
            self.text(table, key, what) for key in ("title", "path", "sha256", "text")
        )
        source = WorksheetSource(title, path, digest, text, None)
        if not text_is(source.text, source.sha256):
            raise self.wrong(f"the text of the worksheet {source.path:.200} does not match its SHA-256")
        if table.get("day") is None:
            return source
        return source._replace(day=self.day(table, "day").isoformat())

    def said(self, table: Mapping[str, Any], within: str = "") -> Said:
        name = within or self.text(table, "id", "a finding")
        what = f"the finding {name:.100}"
        try:
            verdict = Verdict(table.get("verdict"))
        except ValueError:
            raise self.wrong(f"{what} has no verdict") from None
        binding = table.get("binding")
        if not isinstance(binding, bool):
            raise self.wrong(f"{what} does not say whether it binds")
        conceded = table.get("concession")
        if (verdict is Verdict.ACCEPTED) != (conceded is not None):
            raise self.wrong(f"{what} is accepted without a concession, or has one and is not")
        parts = () if within else self.tables(table.get("conditions", []), f"`conditions` of {what}")
        return Said(
            id=name,
            title=name if within else self.text(table, "title", what),
            verdict=verdict,
            binding=binding,
            required=self.text(table, "required", what),
            found="" if within else self.text(table, "found", what),
            digest=self.text(table, "digest", what),
            concession=None if conceded is None else self.concession(conceded, what),
            parts=tuple(self.said(part, name) for part in parts),
        )

    def concession(self, raw: Any, what: str) -> tuple[str, str, str]:
        table = self.table(raw, f"the concession of {what}")
        because, by, until = (
            self.text(table, key, f"the concession of {what}") for key in ("because", "by", "until")
        )
        return because, by, until

    def findings(self, document: Mapping[str, Any]) -> dict[str, Said]:
        raw = self.tables(document.get("findings"), "the list of findings")
        found = {one.id: one for one in map(self.said, raw)}
        if len(found) != len(raw):
            raise self.wrong("two findings have the same id")
        return found

    def parameters(self, document: Mapping[str, Any]) -> dict[str, str]:
        raw = self.table(document.get("parameters"), "the table of parameters")
        for name, value in raw.items():
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise self.wrong(f"the parameter {name:.100} is no number")
        return {name: _setting(raw[name]) for name in self.given(document, raw)}

    def given(self, document: Mapping[str, Any], parameters: Mapping[str, Any]) -> Iterable[str]:
        """Names of the parameters that were chosen; all of them where an older report does not say."""
        if "given" not in document:
            return parameters
        given: list[str] = self.names(document, "given", "parameters given")
        if gone := [name for name in given if name not in parameters]:
            raise self.wrong(f"the parameter {gone[0]:.100} was given, and has no value")
        return given

    def asked(self, document: Mapping[str, Any], number: int) -> tuple[int, ...] | None:
        """Positions of the profiles asked for among ``number``; None where an older report does not say."""
        if "asked" not in document:
            return None
        raw = document["asked"]
        if not isinstance(raw, list) or not raw or not all(type(one) is int for one in raw):
            raise self.wrong("`asked` is no list of positions in the list of profiles")
        if gone := [one for one in raw if not 0 <= one < number]:
            raise self.wrong(f"profile {gone[0]!s:.20} was asked for, and the list has {number} (from 0)")
        return tuple(raw)

    def conceded(self, document: Mapping[str, Any]) -> str | None:
        """SHA-256 of the concessions file; empty without one, None where an older report does not say."""
        if "concessions" not in document:
            return None
        if document["concessions"] is None:
            return ""
        digest = self.text(self.table(document["concessions"], "`concessions`"), "sha256", "`concessions`")
        if not is_digest(digest):
            raise self.wrong("the SHA-256 of its concessions file is not 64 hexadecimal digits")
        return digest

    def options(self, document: Mapping[str, Any]) -> tuple[str, ...]:
        return tuple(self.names(document, "options", "options"))

    def names(self, document: Mapping[str, Any], key: str, what: str) -> list[str]:
        raw = document.get(key)
        if not isinstance(raw, list) or not all(isinstance(one, str) for one in raw):
            raise self.wrong(f"the list of {what} is not there, or holds other things than names")
        return raw

    def check_outcomes(self, document: Mapping[str, Any], findings: Mapping[str, Said]) -> Outcome:
        """The PC's outcome, which must be what the findings make of it.

        Raises:
            UsageError: The report says another.
        """
        stated, whole = self.outcome(document, "pc_outcome"), self.outcome(document, "outcome")
        other = document.get("arrangements_outcome")
        arrangements = None if other is None else self.outcome(document, "arrangements_outcome")
        worst = all_of(one.verdict for one in findings.values() if one.binding)
        follows = _OUTCOMES.get(worst, Outcome.READY)
        if follows is not stated:
            raise self.wrong(f"it says {stated.value}, and its findings make it {follows.value}")
        if worse(stated, arrangements) is not whole:
            raise self.wrong(f"it says {whole.value} in all, which does not follow from its parts")
        return stated

    def check_computer(self, document: Mapping[str, Any], snapshot: Snapshot) -> None:
        """Raise where the report names another PC than its snapshot.

        Raises:
            UsageError: It does.
        """
        named = self.table(document.get("computer"), "what names the PC")
        for key in _COMPUTER:
            seen = snapshot.get(f"computer.{key}")
            if named.get(key) != (seen.value if seen.form is Form.KNOWN else None):
                raise self.wrong(f"it names another PC than its snapshot does ({key})")


def _setting(value: int | float) -> str:
    """A number as ``--set`` takes it, wherever one is taken: a whole one without a point."""
    return str(int(value)) if isinstance(value, float) and value.is_integer() else repr(value)


_OUTCOMES: Final = {Verdict.UNMET: Outcome.NOT_READY, Verdict.UNVERIFIED: Outcome.INCONCLUSIVE}


def _check_kind(document: Any, file: str) -> Mapping[str, Any]:
    if not isinstance(document, dict) or document.get("kind") != "report":
        kind = document.get("kind") if isinstance(document, dict) else None
        what = f"it is a {kind}" if isinstance(kind, str) and kind else "it names no kind"
        raise UsageError(f"{file}: not a report ({what:.80})", next_step=_AGAIN)
    form = document.get("format")
    if not isinstance(form, int) or isinstance(form, bool) or form < 1:
        raise UsageError(f"{file}: the report's format is not a number from 1 up", next_step=_AGAIN)
    if form > FORMAT:
        raise UsageError(
            f"{file}: report format {form!s:.20} is newer than this version of pcaudit reads ({FORMAT})",
            next_step="use a newer pcaudit",
        )
    return document


def _is_redacted(seen: Observation) -> bool:
    if isinstance(seen.value, list):
        return any(map(is_redacted, (*seen.value, *_texts(seen.value))))
    return is_redacted(seen.value)


def _texts(items: list[Any]) -> list[Any]:
    return [value for item in items if isinstance(item, dict) for value in item.values()]


def read_report(raw: Any, file: str) -> KeptReport:
    """Read a report back.

    Args:
        raw: The parsed document.
        file: Its name, for messages.

    Raises:
        UsageError: It is no report, of a newer format, redacted, or contradicts itself.
    """
    document = _check_kind(raw, file)
    read = _Reader(file)
    profiles = tuple(
        read.profile(one) for one in read.tables(document.get("profiles"), "the list of profiles")
    )
    if not profiles:
        raise read.wrong("it names no profile")
    snapshot = from_mapping(document.get("snapshot"), f"{file}, snapshot")
    read.check_computer(document, snapshot)
    if any(map(_is_redacted, snapshot.readings.values())):
        raise UsageError(
            f"{file}: the report is redacted, and was judged before that",
            next_step="keep the report as it was made, without --redact",
        )
    findings = read.findings(document)
    return KeptReport(
        snapshot=snapshot,
        profiles=profiles,
        on=read.day(document, "on"),
        as_of=read.day(document, "as_of"),
        options=read.options(document),
        parameters=read.parameters(document),
        findings=findings,
        pc_outcome=read.check_outcomes(document, findings),
        tool_version=read.text(read.table(document.get("tool"), "the tool's name"), "version", "the tool"),
        asked=read.asked(document, len(profiles)),
        worksheet=read.worksheet(document),
        conceded=read.conceded(document),
    )


_BESIDES: Final = (
    *("profiles", "asked", "options", "parameters", "given"),
    *("arrangements", "arrangements_outcome", "worksheet", "plan"),
    *("backup", "not_asked"),
)
_LATER: Final = ("asked", "given")
_OF_CONCESSIONS: Final = "concession for "


def besides(document: Mapping[str, Any], kept: Mapping[str, Any]) -> dict[str, Any]:
    """What a report says besides its findings that follows from its readings and from what was asked.

    Args:
        document: A report in JSON, as ``read_report`` let it pass.
        kept: The one to be kept. Where an earlier build made it that did not say which parameters
            were given, what was not asked does not follow from it.

    Returns:
        By key, those it has. Warnings are without those of concessions, which name a file that may
        lie elsewhere by now.
    """
    unsaid = {key for key in _LATER if key not in kept}
    if "given" in unsaid:
        unsaid.add("not_asked")
    keys = [key for key in _BESIDES if key not in unsaid]
    found = {key: document[key] for key in keys if key in document}
    warnings = document.get("warnings")
    if isinstance(warnings, list):
        found["warnings"] = [one for one in warnings if not str(one).startswith(_OF_CONCESSIONS)]
    return found


def outcomes(document: Mapping[str, Any]) -> dict[str, Any]:
    """What a report comes to: its outcomes, and the verdict of each arrangement, by what each is called."""
    keys = ("outcome", "pc_outcome", "arrangements_outcome")
    raw = document.get("arrangements")
    arrangements = [one for one in raw if isinstance(one, dict)] if isinstance(raw, list) else []
    verdicts = {f"arrangements.{one.get('id')}": one.get("verdict") for one in arrangements}
    return {**{key: document.get(key) for key in keys}, **verdicts}


_Granted = tuple[str, ...]
"""What a report repeats of a concession: id and digest of the condition, because, by and until."""


def _granted_by(concession: Concession) -> _Granted:
    c = concession
    return (c.condition, c.digest, c.because, c.by, c.until.isoformat())


def _accepted_in(report: KeptReport) -> list[_Granted]:
    said = [one for finding in report.findings.values() for one in (finding, *finding.parts)]
    return [(one.id, one.digest, *one.concession) for one in said if one.concession is not None]


def not_granted(report: KeptReport, concessions: tuple[Concession, ...]) -> list[str]:
    """Ids of findings that are accepted by a concession that is not among ``concessions``."""
    granted = set(map(_granted_by, concessions))
    return list(dict.fromkeys(one[0] for one in _accepted_in(report) if one not in granted))


def not_used(report: KeptReport, concessions: tuple[Concession, ...]) -> list[str]:
    """Ids that concessions name by which the report accepts nothing."""
    used = set(_accepted_in(report))
    return list(dict.fromkeys(one.condition for one in concessions if _granted_by(one) not in used))


def other_file(report: KeptReport, path: str | None, sha256: str) -> str:
    """Why a concessions file is not the one a report was made with; empty where it is, or where none was.

    Args:
        report: An older one that does not say which file it was made with has no objection.
        path: Of the file; None where none is given.
        sha256: Of its bytes.
    """
    if report.conceded is None or report.conceded == sha256:
        return ""
    if not report.conceded:
        return f"the report was made without concessions, and {path!s:.200} holds some"
    if path is None:
        return f"the report was made with concessions, of a file with SHA-256 {report.conceded}"
    return (
        f"{path:.200} is not the file of concessions the report was made with: its SHA-256 is {sha256}, "
        f"and that one's {report.conceded}"
    )
