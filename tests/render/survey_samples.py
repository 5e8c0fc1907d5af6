"""Invented surveys to render."""

from __future__ import annotations

from datetime import date
from typing import Final

from pcaudit.core.changes import Means
from pcaudit.core.choose import ask
from pcaudit.core.profile import ProfileSource
from pcaudit.core.survey import Heading, Superseded, Survey, words_of
from pcaudit.core.survey_changes import OneChange
from pcaudit.core.survey_pc import NotRead, Pc, Place
from tests.core.builders import profile_of

RULES: Final = '[memory.installed]\nminimum = "16 GB"\n[power]\nsleep_after = "never"\n'


def survey(text: str = "", only: str = "") -> Survey:
    """A survey with something in every part.

    Args:
        text: Stands wherever a file or a PC may say something.
        only: The outcome that is listed.
    """
    source = ProfileSource(text or "A bench PC", text or "rules.toml", "0" * 64, "")
    heading = Heading(
        on=date(2026, 12, 7),
        as_of=date(2026, 11, 26),
        tool_version="0.1.0",
        profiles=(source,),
        against=(source,),
        options=(text or "detector",),
        parameters={"instruments": 2},
        what_if=(text or "memory.installed=16 GB",),
        only=only,
    )
    findings = words_of(ask([profile_of(RULES)]))
    said = [one._replace(title=text or one.title, required=text or one.required) for one in findings]
    then = ("2026-11-25T09:00:00+00:00", "2026-11-01T09:00:00+00:00")
    codes = (
        ("mm", "um", "mm"),
        ("um", "um", "mm"),
        ("mv", "mv", "mv"),
        ("uu", "uu", "mu"),
        ("gm", "mm", "mm"),
    )
    pcs = [
        Pc(
            Place(text or f"pc-{number}.json", ""),
            text or f"bench-{number}",
            text or "Benchline 40",
            text or f"S-{number}",
            then[number % 2],
            *each,
        )
        for number, each in enumerate(codes)
    ]
    changes: list[OneChange | None] = [None] * len(pcs)
    changes[1] = OneChange(Means.PART, text or "memory 16 GB")
    changes[3] = OneChange(Means.SETTING, text or "Power: Sleep after: never")
    return Survey(
        heading,
        tuple(said),
        tuple(said),
        tuple(pcs),
        tuple(changes),
        (Superseded(text or "old.json", text or "new.json"),),
        (NotRead(text or "torn.json", text or "not JSON"),),
    )
