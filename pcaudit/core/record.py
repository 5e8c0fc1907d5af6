"""Records: a report kept for good, with who entered it, when, why, and digests that hold it together.

A digest shows that something changed since; it is no signature, and proves nothing against
somebody who changes a record and works the digests out again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from pcaudit.core.canonical import NotCanonicalError, digest, is_digest, text_is
from pcaudit.errors import UsageError

FORMAT: Final = 1
"""Newest record format this version reads and writes."""

MEANINGS: Final = ("reviewed", "approved")
"""What entering a record can mean."""

ENDING: Final = ".record.json"
"""How the file name of a record ends."""

LONGEST_TEXT: Final = 400
"""Most characters of a name or reason."""

FETCH: Final = "do not rely on it: fetch the record from the backup of its store"
"""What to do about a record that is damaged or was changed."""

_LONGEST_NAME: Final = 60


class Link(NamedTuple):
    """Another record in the same store: its file name and its digest."""

    record: str
    digest: str


class Entry(NamedTuple):
    """Who entered a record, what that means, and when.

    ``at`` is RFC 3339 with an offset, by the clock of the PC it was entered on.
    """

    by: str
    meaning: str
    at: str


class Input(NamedTuple):
    """A file a record was made of; ``role`` is report, profile, concessions or worksheet."""

    role: str
    path: str
    sha256: str


class File(NamedTuple):
    """A file kept whole: path as given, SHA-256 of its bytes, its text."""

    path: str
    sha256: str
    text: str


class Kept(NamedTuple):
    """A record as it lies in a folder, its content checked.

    Attributes:
        name: Its file name.
        document: What it says.
        fault: Where its content and its digests disagree; empty where they agree.
    """

    name: str
    document: dict[str, Any]
    fault: str

    @property
    def link(self) -> Link:
        """How another record names this one."""
        return Link(self.name, self.document["digest"])


class Chain(NamedTuple):
    """What came of verifying a record and those before it.

    Attributes:
        records: Those that verify, this one first, each with the one before it next.
        fault: The first thing that does not agree, with the record it is in; empty where all does.
    """

    records: tuple[Kept, ...]
    fault: str


# -- making


def part_digests(document: Mapping[str, Any]) -> dict[str, Any]:
    """The digest of each part of a record, by which a change is found.

    ``report`` is the report without its snapshot and profiles, which have their own.

    Raises:
        NotCanonicalError: A part has no canonical form.
        KeyError, TypeError: The document has not the shape of a record.
    """
    report = dict(document["report"])
    snapshot, profiles = report.pop("snapshot"), report.pop("profiles")
    texts = ("concessions", "worksheet")
    return {
        "snapshot": digest(snapshot),
        "profiles": [digest(profile) for profile in profiles],
        "report": digest(report),
        **{key: None if document[key] is None else digest(document[key]) for key in texts},
    }


def whole_digest(document: Mapping[str, Any]) -> str:
    """The digest of a record: SHA-256 of the canonical form of all of it but ``digest``.

    Raises:
        NotCanonicalError: It has no canonical form.
    """
    return digest({key: value for key, value in document.items() if key != "digest"})


def _link(link: Link | None) -> dict[str, Any] | None:
    return None if link is None else link._asdict()


def make_record(
    report: Mapping[str, Any],
    entry: Entry,
    *,
    tool_version: str,
    inputs: tuple[Input, ...],
    concessions: File | None = None,
    worksheet: File | None = None,
    previous: Link | None = None,
    replaces: Link | None = None,
    because: str = "",
    judged_again: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Put a record together.

    Args:
        report: The report in JSON; it holds the snapshot and the profiles' texts.
        entry: Who enters it, what that means, and when.
        tool_version: Version of pcaudit that keeps it.
        inputs: Every file it is made of.
        concessions: The concessions file the report was made with.
        worksheet: The worksheet that answered its arrangements.
        previous: The record before it in its store.
        replaces: The record it corrects.
        because: Why it does.
        judged_again: What came of judging the report's readings again.

    Returns:
        The document, ready to write.

    Raises:
        NotCanonicalError: The report has a number or text that has no canonical form.
    """
    corrects = None if replaces is None else {**replaces._asdict(), "because": because}
    document: dict[str, Any] = {
        "kind": "record",
        "format": FORMAT,
        "tool": {"name": "pcaudit", "version": tool_version},
        "entered": entry._asdict(),
        "report": dict(report),
        "concessions": None if concessions is None else concessions._asdict(),
        "worksheet": None if worksheet is None else worksheet._asdict(),
        "inputs": [one._asdict() for one in inputs],
        "judged_again": None if judged_again is None else dict(judged_again),
        "replaces": corrects,
        "previous": _link(previous),
    }
    document["digests"] = part_digests(document)
    document["digest"] = whole_digest(document)
    return document


# -- reading


def check_kind(document: Any, file: str) -> dict[str, Any]:
    """Refuse what is no record, or one of a newer format.

    Raises:
        UsageError: It is not a record this version reads.
    """
    if not isinstance(document, dict) or document.get("kind") != "record":
        kind = document.get("kind") if isinstance(document, dict) else None
        what = f"it is a {kind}" if isinstance(kind, str) and kind else "it names no kind"
        raise UsageError(
            f"{file}: not a record ({what:.80})",
            next_step="make one: pcaudit record REPORT.json --by NAME --meaning reviewed --store DIR",
        )
    form = document.get("format")
    if not isinstance(form, int) or isinstance(form, bool) or form < 1:
        raise UsageError(f"{file}: the record's format is not a number from 1 up", next_step=FETCH)
    if form > FORMAT:
        raise UsageError(
            f"{file}: record format {form!s:.20} is newer than this version of pcaudit reads ({FORMAT})",
            next_step="use a newer pcaudit",
        )
    return document


def link_of(document: Mapping[str, Any], key: str) -> Link | None:
    """The record that ``previous`` or ``replaces`` names; None where there is none.

    Raises:
        ValueError: What stands there is no link; the message says so.
    """
    raw = document.get(key)
    if raw is None:
        return None
    name, value = (raw.get("record"), raw.get("digest")) if isinstance(raw, dict) else (None, None)
    if not isinstance(name, str) or not name.endswith(ENDING) or {"/", "\\", ":", "\0"} & set(name):
        raise ValueError(f"`{key}` names no record in the same folder")
    if not isinstance(value, str) or not is_digest(value):
        raise ValueError(f"the digest in `{key}` is not 64 hexadecimal digits")
    return Link(name, value)


def _shape_fault(document: Mapping[str, Any]) -> str:
    if not is_digest(document.get("digest")):
        return "its digest is not 64 hexadecimal digits"
    for key in ("entered", "report", "digests", "tool"):
        if not isinstance(document.get(key), dict):
            return f"its `{key}` is gone"
    report = document["report"]
    profiles = report.get("profiles")
    if not isinstance(report.get("snapshot"), dict):
        return "the snapshot in its report is gone"
    if not isinstance(profiles, list) or not profiles or not all(isinstance(p, dict) for p in profiles):
        return "the profiles in its report are gone"
    gone = [
        key for key in ("concessions", "worksheet", "previous", "replaces", "inputs") if key not in document
    ]
    return f"its `{gone[0]}` is gone" if gone else ""


def _text_fault(document: Mapping[str, Any]) -> str:
    for profile in document["report"]["profiles"]:
        text, value = profile.get("text"), profile.get("sha256")
        if not isinstance(text, str) or not isinstance(value, str) or not text_is(text, value):
            return f"the text of the profile {profile.get('path')!s:.200} does not match its SHA-256"
    return file_fault(document, "concessions")


def file_fault(document: Mapping[str, Any], key: str) -> str:
    """Where the text of a file that a record holds is not that of its SHA-256; empty where it is, or none."""
    file = document[key]
    if file is None:
        return ""
    text, value = (file.get("text"), file.get("sha256")) if isinstance(file, dict) else (None, None)
    if isinstance(text, str) and isinstance(value, str) and text_is(text, value):
        return ""
    return f"the text of its {key} does not match its SHA-256"


def _link_fault(document: Mapping[str, Any]) -> str:
    try:
        for key in ("previous", "replaces"):
            link_of(document, key)
    except ValueError as error:
        return str(error)
    return ""


_PARTS: Final = {
    "snapshot": "its snapshot was",
    "report": "its report was",
    "concessions": "its concessions were",
    "worksheet": "its worksheet was",
}


def _part_fault(document: Mapping[str, Any], found: Mapping[str, Any]) -> str:
    noted = document["digests"]
    for key, words in _PARTS.items():
        if noted.get(key) != found[key]:
            return f"{words} changed"
    profiles = noted.get("profiles")
    paths = [str(profile.get("path")) for profile in document["report"]["profiles"]]
    if not isinstance(profiles, list) or len(profiles) != len(paths):
        return "its profiles are not as many as their digests"
    for path, one, other in zip(paths, profiles, found["profiles"], strict=True):
        if one != other:
            return f"what it says of the profile {path:.200} was changed"
    return ""


# Everything that has no digest of its own.
_ENTRY: Final = (
    "who entered it, when, with what meaning, from which files or by which version, "
    "what it replaces or what it follows"
)


def content_fault(document: Mapping[str, Any]) -> str:
    """Where the content of a record and its digests disagree first; empty where they agree.

    Args:
        document: As ``check_kind`` let it pass.
    """
    if fault := _shape_fault(document):
        return fault
    try:
        found = part_digests(document)
        if whole_digest(document) != document["digest"]:
            return _changed_part(document, found)
    except NotCanonicalError as error:
        return error.message
    return _text_fault(document) or _link_fault(document) or _noted_fault(document, found)


def _noted_fault(document: Mapping[str, Any], found: Mapping[str, Any]) -> str:
    """The part whose digest in ``digests`` is not its own; empty where all are."""
    noted = document["digests"]
    wrong = [key for key in {**found, **noted} if noted.get(key) != found.get(key)]
    return f"the digest of a part is not the part's own (`{wrong[0]:.40}` in `digests`)" if wrong else ""


def _changed_part(document: Mapping[str, Any], found: Mapping[str, Any]) -> str:
    """Which part of a record was changed, given the digests its parts have."""
    if whole_digest({**document, "digests": found}) == document["digest"]:
        return "its list of digests was changed; what they are digests of was not"
    lead = _text_fault(document) or _part_fault(document, found)
    return lead or f"its digest does not match: {_ENTRY} was changed, or the digest itself"


# -- naming


def _safe(text: Any) -> str:
    """A text as part of a file name on any system: ASCII letters, digits and hyphens."""
    if not isinstance(text, str):
        return ""
    from unicodedata import normalize

    plain = "".join(
        c if c.isascii() and c.isalnum() else "-" if c.isascii() else "" for c in normalize("NFKD", text)
    )
    return "-".join(filter(None, plain.split("-")))[:_LONGEST_NAME].strip("-")


def record_name(document: Mapping[str, Any]) -> str:
    """The file name of a record: serial number, else host name, else "unknown"; day; digest.

    There is no dot before the ending, so that no name Windows reserves for a device (CON, NUL,
    COM1 and others; Microsoft, "Naming Files, Paths, and Namespaces") can come of it, and no
    letter that file systems write in two ways.
    """
    computer = document["report"].get("computer") or {}
    names = [_safe(computer.get(key)) for key in ("serial_number", "host_name")]
    pc = next(filter(None, names), "unknown")
    return f"{pc}_{document['entered']['at'][:10]}_{document['digest'][:8]}{ENDING}"
