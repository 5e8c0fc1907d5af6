"""Updates of an operating system that cost no licence: a newer release of the same product."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pcaudit.core.context import Context
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.judge_scalar import judge_scalar
from pcaudit.core.os_knowledge import OsKnowledge
from pcaudit.core.profile import Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Snapshot, known
from pcaudit.core.texts import fold

READINGS: Final = ("os.version", "os.feature_release", "os.support_ends")
"""Readings that an update changes."""

_GOOD: Final = (Verdict.MET, Verdict.MARGINAL)


def _text(readings: Readings, name: str) -> str:
    seen = readings.get(name)
    return str(seen.value) if seen.form is Form.KNOWN else ""


def _numbers(version: str) -> tuple[int, ...] | None:
    parts = version.split(".")
    return tuple(map(int, parts)) if all(one.isascii() and one.isdigit() for one in parts) else None


def _windows(readings: Readings, knowledge: OsKnowledge) -> Iterator[str]:
    # A long-term release or a server needs another licence for the next one.
    if _text(readings, "os.servicing") != "general" or _text(readings, "os.edition") in ("", "server"):
        return
    product = fold(_text(readings, "os.product"))
    for build in sorted(knowledge.builds):
        if any(fold(one.product) == product for one in knowledge.builds[build]):
            yield f"10.0.{build}"


def _others(readings: Readings, os_type: str, knowledge: OsKnowledge) -> Iterator[str]:
    releases = knowledge.products.get((os_type, fold(_text(readings, "os.product"))), {})
    texts = (".".join(version) for version, release in releases.items() if not release.doubt)
    yield from sorted(texts, key=lambda text: _numbers(text) or ())


def newer(readings: Readings, knowledge: OsKnowledge) -> list[str]:
    """Versions of the same product that are known and newer than the one installed, oldest first."""
    os_type, present = _text(readings, "os.type"), _numbers(_text(readings, "os.version"))
    if not os_type or not present:
        return []
    found = _windows(readings, knowledge) if os_type == "windows" else _others(readings, os_type, knowledge)
    return [text for text in found if (numbers := _numbers(text)) and numbers > present[: len(numbers)]]


def update(condition: Scalar, context: Context, snapshot: Snapshot, knowledge: Knowledge) -> str:
    """The oldest newer version with which a condition on the system's release is met.

    Args:
        condition: On one of ``READINGS``.
        context: Of the PC.
        snapshot: What the context's readings follow from.
        knowledge: As it is judged with.

    Returns:
        The version; empty where none is known.
    """
    if knowledge.os is None:
        return ""
    for version in newer(context.readings, knowledge.os):
        tried = context._replace(readings=_updated(snapshot, version, knowledge))
        if judge_scalar(condition, tried).verdict in _GOOD:
            return version
    return ""


def _updated(snapshot: Snapshot, version: str, knowledge: Knowledge) -> Readings:
    changed = {**snapshot.readings, "os.version": known(version, "as if it were updated")}
    return Readings(snapshot._replace(readings=changed), knowledge)
