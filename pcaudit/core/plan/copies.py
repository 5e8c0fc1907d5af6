"""Whether three copies lie on two kinds of media, one of them off-site.

The rule: Krogh, "The DAM Book" (2005); published by US-CERT, "Data Backup Options" (2012): three
copies of what matters, the original among them, on two kinds of media, one of them off-site. Where
the worksheet leaves open whether something counts, the rule is neither held nor broken.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from pcaudit.core.plan.section import finding
from pcaudit.core.plan.volume import blank
from pcaudit.core.report import Finding, Verdict
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.backup import NO_COPIES, REAL_KINDS, Backup, Destination

SOURCE: Final = "US-CERT, Data Backup Options (2012)"
"""Where the rule is published."""

ORIGINAL: Final = "disk"
"""Kind of medium the original lies on: the PC's own drive, so that a disk is no second kind."""


class Copy(NamedTuple):
    """A destination, and whether what lies there is a copy.

    Attributes:
        destination: As the worksheet has it.
        counts: True, False, or None where a key that would say it is blank.
        why: Why it does not count, or what is blank.
    """

    destination: Destination
    counts: bool | None
    why: str = ""


def copies(backup: Backup, full: int | None) -> tuple[Copy, ...]:
    """Tell copies from what is none.

    Args:
        backup: For the destinations.
        full: Bytes of the first full as it lies there; None where it is not known.
    """
    return tuple(_copy(destination, full) for destination in backup.destinations)


def _copy(destination: Destination, full: int | None) -> Copy:
    if not destination.kind:
        return Copy(destination, None, blank("kind", named(destination)))
    if destination.kind not in REAL_KINDS:
        return Copy(destination, False, NO_COPIES[destination.kind])
    if full is not None and destination.capacity is not None and destination.capacity < full:
        return Copy(destination, False, "it is too small for a single full copy")
    return Copy(destination, True)


def named(destination: Destination) -> str:
    """A destination for people."""
    return visible(destination.title, 60)


class _Rule(NamedTuple):
    """One of the three numbers, or an advice: how many there are, surely and at most."""

    name: str
    title: str
    required: str
    least: int
    because: str
    remedy: str


_COPIES: Final = _Rule(
    "copies",
    "Copies of the data",
    "3 copies, the original among them",
    3,
    "Two copies may be lost to one cause, such as a fire or malware",
    "Add a destination: an external disk, a file server, tape or a cloud.",
)
_MEDIA: Final = _Rule(
    "media",
    "Kinds of media",
    "2 kinds, that of the PC's own drive among them",
    2,
    "Media of one kind fail by the same fault",
    "Add a destination that is not a disk: a file server, tape, optical media or a cloud.",
)
_OFFSITE: Final = _Rule(
    "offsite",
    "A copy off-site",
    "1 copy at another site",
    1,
    "A fire or theft takes everything at one site",
    "Keep one copy at another site, or in a cloud.",
)
_OFFLINE: Final = _Rule(
    "offline",
    "A copy offline",
    "1 copy that the PC cannot reach between copies",
    1,
    "Malware that encrypts the PC encrypts whatever it can write to",
    "Disconnect one destination between copies, or use media that cannot be overwritten.",
)


def copy_findings(backup: Backup, found: tuple[Copy, ...]) -> tuple[Finding, ...]:
    """Hold the destinations against the rule, and against what is advised beside it."""
    sure = [copy.destination for copy in found if copy.counts]
    open_ = [copy.destination for copy in found if copy.counts is None]
    whys = [copy.why for copy in found if copy.counts is None]
    kinds = {ORIGINAL, *(one.kind for one in sure)}
    return (
        _judge(backup, _COPIES, 1 + len(sure), 1 + len(sure) + len(open_), whys, open_),
        _judge(backup, _MEDIA, len(kinds), len(kinds) + len(open_), whys, open_),
        _marked(backup, _OFFSITE, "offsite", sure, open_, whys),
        _marked(backup, _OFFLINE, "offline", sure, open_, whys, binding=False),
        *_encrypted(backup, sure),
    )


def _judge(
    backup: Backup,
    rule: _Rule,
    sure: int,
    at_most: int,
    whys: Iterable[str],
    open_: Sequence[Destination],
    binding: bool = True,
) -> Finding:
    verdict = _verdict(rule.least, sure, at_most, Verdict.UNMET if binding else Verdict.MARGINAL)
    found = str(sure) if sure == at_most else f"{sure}, {at_most} at most"
    if not backup.destinations:
        verdict, found, whys = Verdict.UNVERIFIED, "not known", (blank("backup.destinations"),)
    unverified = verdict is Verdict.UNVERIFIED
    return finding(
        "backup",
        rule.name,
        rule.title,
        verdict,
        required=rule.required,
        found=found,
        file=backup.file,
        line=open_[0].line if unverified and open_ else backup.line_of("destinations"),
        because=f"{rule.because} ({SOURCE})." if binding else f"{rule.because}.",
        remedy="" if verdict is Verdict.MET else rule.remedy,
        owner="IT",
        why="; ".join(whys) if unverified else "",
        binding=binding,
    )


def _verdict(least: int, sure: int, at_most: int, short: Verdict) -> Verdict:
    if sure >= least:
        return Verdict.MET
    return short if at_most < least else Verdict.UNVERIFIED


def _marked(
    backup: Backup,
    rule: _Rule,
    key: str,
    sure: list[Destination],
    open_: list[Destination],
    whys: list[str],
    binding: bool = True,
) -> Finding:
    """A rule about destinations that a key of theirs marks."""
    marked = sum(getattr(one, key) is True for one in sure)
    may_be = sum(getattr(one, key) is not False for one in (*sure, *open_))
    unmarked = [one for one in sure if getattr(one, key) is None]
    reasons = [*(blank(key, named(one)) for one in unmarked), *whys]
    return _judge(backup, rule, marked, may_be, reasons, [*unmarked, *open_], binding)


def _encrypted(backup: Backup, sure: list[Destination]) -> tuple[Finding, ...]:
    """What leaves the site is to be encrypted."""
    away = [one for one in sure if one.offsite]
    if not away:
        return ()
    plain = [named(one) for one in away if one.encrypted is False]
    unmarked = [one for one in away if one.encrypted is None]
    blanks = [blank("encrypted", named(one)) for one in unmarked]
    verdict = Verdict.MARGINAL if plain else Verdict.UNVERIFIED if blanks else Verdict.MET
    return (
        finding(
            "backup",
            "encrypted",
            "Copies off-site encrypted",
            verdict,
            required="whatever lies off-site is encrypted",
            found=f"not encrypted: {', '.join(plain)}" if plain else "not known" if blanks else "all of it",
            file=backup.file,
            line=unmarked[0].line if verdict is Verdict.UNVERIFIED else backup.line_of("destinations"),
            because="Media are lost on the way, and others have access to another site.",
            remedy=""
            if verdict is Verdict.MET
            else "Encrypt what goes there, and keep the key apart from the copy and the PC.",
            owner="IT",
            why="; ".join(blanks) if verdict is Verdict.UNVERIFIED else "",
            binding=False,
        ),
    )
