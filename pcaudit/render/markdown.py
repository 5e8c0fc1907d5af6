"""A report as Markdown, for a ticket.

Plain CommonMark without tables, which not every ticket system knows. Nothing that a profile or a
PC says becomes markup: not in CommonMark, and not by what ticket systems add to it.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from pcaudit.core.actions import blocks, by_lead_time, by_owner, effort_words, kinds_words
from pcaudit.core.catalogue import GROUPS
from pcaudit.core.report import Arrangement, Finding, Report
from pcaudit.core.visible import visible
from pcaudit.render.sections import head
from pcaudit.render.sections.actions import found_words, place_words, required_words
from pcaudit.render.sections.findings import acceptance_words, by_group

if TYPE_CHECKING:
    import re

_LONGEST: Final = 1000

_PUNCTUATION: Final = frozenset("\\`*_{}[]<>|~&$#!^")
"""What CommonMark, and tables and formulas in tickets, read as markup anywhere in a line."""


_BEFORE: Final = "([{\"'"
_BEHIND: Final = ")]}\"',.;:?!"
"""What a sentence puts around a word."""


# Ticket systems look for these in the finished text, where an escape no longer shows: mentions and
# addresses with @, references (#12, !12, GH-12), links without brackets, and :emoji:. They leave
# code alone. The project sites' own documentation of their Markdown; from memory.
@cache
def _active() -> re.Pattern[str]:
    import re

    return re.compile(
        r"@|[#!~%&$^*]\w|[#!~%&$^*]\"|://|www\.|\bGH-\d|:[\w+-]+:|mailto:|xmpp:|[0-9a-f]{7,}", re.I
    )


@cache
def _words() -> re.Pattern[str]:
    import re

    return re.compile(r"[^\s|]+|\|")


def _code(word: str) -> str:
    longest, run = 0, 0
    for character in word:
        run = run + 1 if character == "`" else 0
        longest = max(longest, run)
    fence = "`" * (longest + 1)
    pad = " " if "`" in (word[0], word[-1]) else ""
    return f"{fence}{pad}{word}{pad}{fence}"


def _escaped(word: str) -> str:
    return "".join(f"\\{c}" if c in _PUNCTUATION else c for c in word)


def _guarded(word: str) -> str:
    """A word that would act, in code marks; brackets and punctuation around it stay outside."""
    core = word.lstrip(_BEFORE).rstrip(_BEHIND)
    if not core or not _active().search(core):
        return _code(word)
    before, _, behind = word.partition(core)
    return f"{_escaped(before)}{_code(core)}{_escaped(behind)}"


def _plain(word: str, first: bool) -> str:
    text = _escaped(word)
    if not first:
        return text
    # At the start of a line these begin a list, a heading's underline or a fence.
    if text[0] in "-+=:":
        return f"\\{text}"
    digits = len(text) - len(text.lstrip("0123456789"))
    if digits and text[digits : digits + 1] in (".", ")"):
        return f"{text[:digits]}\\{text[digits:]}"
    return text


def inline(text: str) -> str:
    """Text as it may stand anywhere in a line, showing what it says and doing nothing.

    Args:
        text: Any text.

    Returns:
        One line of CommonMark; words that a ticket system would turn into a mention, a
        reference or a link are in code marks.
    """
    shown = " ".join(visible(text, _LONGEST).split())
    if not shown:
        return ""
    pieces, end = [], 0
    for match in _words().finditer(shown):
        word = match[0]
        pieces.append(shown[end : match.start()])
        pieces.append(_guarded(word) if _active().search(word) else _plain(word, first=not match.start()))
        end = match.end()
    return "".join(pieces)


def _labelled(label: str, text: str) -> list[str]:
    return [f"  - {label}: {text}"] if text else []


def _action(finding: Finding) -> list[str]:
    asked = "required" if finding.binding else "advised"
    mark = " (blocks)" if blocks(finding) else ""
    found, wanted = inline(found_words(finding)), inline(required_words(finding.required))
    return [
        f"- **{finding.verdict.value}**{mark}: {inline(finding.title)}: found {found}; {asked} {wanted}",
        *_labelled("do", inline(finding.remedy)),
        *_labelled("needs", inline(effort_words(finding.effort))),
        *_labelled("why", inline(finding.because)),
        *_labelled("at", f"{inline(place_words(finding.profile, finding.line))}, {inline(finding.id)}"),
    ]


def _actions(report: Report) -> list[str]:
    groups = by_owner(report.every)
    if not groups:
        return [
            "",
            "Nothing is left to do on the PC." if report.worksheet is None else "Nothing is left to do.",
        ]
    lines = []
    for owner, findings in groups.items():
        lines += ["", f"### {inline(owner)}: {len(findings)} ({kinds_words(findings)})", ""]
        for finding in findings:
            lines += _action(finding)
    return lines


def _arrangement(one: Arrangement) -> str:
    lead = f", lead time {inline(one.lead_time)}" if one.lead_time else ""
    owner = inline(one.owner) or "nobody named"
    line = f"- **{inline(one.state)}**: {inline(one.title)} ({inline(one.kind)}; by {owner}{lead})"
    if one.verdict is None:
        return line
    said = f": {inline(one.why)}" if one.why else ""
    return "\n".join((line, *_labelled(one.verdict.value, f"{inline(one.required) or 'in hand'}{said}")))


def _finding(finding: Finding) -> list[str]:
    advised = "" if finding.binding else " (advised)"
    found = inline(found_words(finding))
    wanted = inline(required_words(finding.required)) or "nothing more"
    lines = [f"- **{finding.verdict.value}**: {inline(finding.title)}{advised}: {found} (required: {wanted})"]
    if finding.acceptance and not finding.parts:
        lines += _labelled("concession", inline(acceptance_words(finding.acceptance)))
    for part in finding.parts:
        place = inline(place_words(part.profile, part.line))
        lines += _labelled(part.verdict.value, f"{inline(required_words(part.required))} ({place})")
        if part.acceptance:
            lines += _labelled("concession", inline(acceptance_words(part.acceptance)))
    return lines


def _bullets(title: str, texts: tuple[str, ...]) -> list[str]:
    return ["", f"## {title}", "", *(f"- {inline(text)}" for text in texts)] if texts else []


def render(report: Report) -> str:
    """The report as CommonMark: outcome, what to do by owner, arrangements, every condition."""
    host = inline(report.computer.get("host_name") or "this PC")
    model = inline(report.computer.get("model") or "model not known")
    serial = inline(report.computer.get("serial_number") or "not known")
    taken = inline(report.snapshot.taken_at)
    days = f"judged for {report.on.isoformat()}, counted from {report.as_of.isoformat()}"
    lines = [
        f"# {head.outcome_words(report).upper()}: {host}",
        "",
        " + ".join(inline(profile.title) for profile in report.profiles),
        "",
        f"- conditions: {head.counts_words(report)}",
        f"- PC: {host}, {model}, serial number {serial}",
        f"- readings taken {taken}, {days}",
        "",
        head.statement(report),
        *_bullets("Not asked", report.not_asked),
        *_bullets("Warnings", report.warnings),
        "",
        "## What to do",
        *_actions(report),
    ]
    if report.arrangements:
        lines += ["", "## What to have ready", "", *map(_arrangement, by_lead_time(report.arrangements))]
    lines += ["", "## Every condition"]
    for group, findings in by_group(report.findings).items():
        lines += ["", f"### {GROUPS.get(group) or inline(group)}", ""]
        for finding in findings:
            lines += _finding(finding)
    return "\n".join(lines) + "\n"
