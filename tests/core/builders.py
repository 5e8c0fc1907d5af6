"""Profiles and snapshots for tests, from the forms people and machines write."""

from __future__ import annotations

from typing import Any

from pcaudit.core.compile import compile_profile
from pcaudit.core.evaluate import evaluate
from pcaudit.core.places import place_in
from pcaudit.core.profile import Profile
from pcaudit.core.report import Finding, Verdict
from pcaudit.core.snapshot import Snapshot, from_mapping
from pcaudit.core.toml_text import parse_toml
from pcaudit.errors import Mistake, MistakesError, Place

GB = 1 << 30
"""JEDEC JESD100B.01: the gigabyte memory is sold in."""

HEAD = 'format = 1\ntitle = "A profile"\n'
TAKEN = "2026-11-25T09:00:00+00:00"

MET, MARGINAL, UNMET, UNVERIFIED = (
    Verdict.MET,
    Verdict.MARGINAL,
    Verdict.UNMET,
    Verdict.UNVERIFIED,
)


def profile_of(text: str, head: str = HEAD) -> Profile:
    """The profile that ``text`` makes below ``head``."""
    data, places = parse_toml(head + text, "p.toml")

    def place(path: tuple[str | int, ...]) -> Place:
        return place_in(places, "p.toml", places.offset(path))

    return compile_profile(data, path="p.toml", place=place)


def mistakes_of(text: str, head: str = HEAD) -> list[Mistake]:
    """The mistakes in ``text``; none where it compiles."""
    try:
        profile_of(text, head)
    except MistakesError as error:
        return error.mistakes
    return []


def value(of: Any, **more: Any) -> dict[str, Any]:
    """The form of a known reading."""
    return {"value": of, "source": "a test", **more}


def unknown(why: str = "nobody looked") -> dict[str, Any]:
    """The form of an unknown reading."""
    return {"value": None, "why": why}


def absent(why: str = "there is none") -> dict[str, Any]:
    """The form of something known not to exist."""
    return {"absent": True, "why": why}


def at_least(of: Any, why: str = "firmware not readable") -> dict[str, Any]:
    """The form of a lower bound."""
    return {"at_least": of, "source": "a test", "why": why}


def document(readings: dict[str, Any]) -> dict[str, Any]:
    """A snapshot as parsed JSON, from readings in their JSON forms."""
    return {
        "kind": "snapshot",
        "format": 1,
        "taken_at": TAKEN,
        "tool": {"name": "pcaudit", "version": "0.0.1"},
        "readings": readings,
    }


def snapshot_of(readings: dict[str, Any]) -> Snapshot:
    """A snapshot from readings in their JSON forms."""
    return from_mapping(document(readings))


def findings_of(text: str, readings: dict[str, Any]) -> dict[str, Finding]:
    """Findings by id."""
    return {finding.id: finding for finding in evaluate(profile_of(text), snapshot_of(readings))}


def finding_of(text: str, readings: dict[str, Any]) -> Finding:
    """The only finding."""
    (finding,) = findings_of(text, readings).values()
    return finding


def verdict_of(text: str, readings: dict[str, Any]) -> Verdict:
    """The verdict of the only finding."""
    return finding_of(text, readings).verdict
