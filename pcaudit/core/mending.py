"""What one PC needs to pass, in words: settings, parts, and what neither mends."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Property
from pcaudit.core.changes import (
    CAVEATS,
    MAY_BE_FREE,
    SETTABLE,
    Change,
    Left,
    Means,
    Mending,
    Open,
    without_means,
)
from pcaudit.core.free_drives import free_drives, volume_on
from pcaudit.core.hypothesis import Setting, sort_of
from pcaudit.core.parts import TITLES, Wants, name_of, settings_words
from pcaudit.core.report import Finding, Verdict
from pcaudit.core.smallest_change import Found, Question, Search, Trial, reading_of
from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.uplinks import CAVEAT, CUTS, leads_out
from pcaudit.core.wording import say_value, show_bound

_TOGETHER = "it can be mended, but no set of changes found here mends it together with the others"


def _shown(seen: Observation, spec: Property) -> str:
    if seen.form is Form.KNOWN:
        return say_value(seen.value, spec)
    if seen.form is Form.AT_LEAST:
        return show_bound(seen.value, spec)
    return "none" if seen.form is Form.ABSENT else "not known"


def _setting_change(setting: Setting, question: Question, mends: tuple[str, ...]) -> Change:
    record = CATALOGUE[setting.reading]
    seen = question.snapshot.get(setting.reading)
    title, now = setting.title or record.value.title, ""
    caveat = CAVEATS.get(setting.reading, "")
    if setting.key:
        caveat = CAVEATS.get(f"{setting.reading}.{setting.key}", caveat)
        item: dict[str, Any] = seen.value[setting.item]
        if setting.reading == "network.adapters" and setting.key in CUTS and leads_out(item):
            caveat = CAVEAT
        now = say_value(item.get(setting.key), record.items[setting.key])
    elif setting.item is not None:
        now = "installed"
    else:
        now = "none that will do" if setting.title else _shown(seen, record.value)
        caveat = CAVEATS.get(f"{setting.reading}+", caveat)
    what = f"{GROUPS[record.group]}: {title}"
    return Change(Means.SETTING, what, now, setting.to, mends, caveat)


_PRESENT: Mapping[str, tuple[str, ...]] = {
    "memory": ("memory.installed",),
    "system drive": ("storage.system_size", "storage.system_media"),
    "primary screen": ("display.primary_width", "display.primary_height"),
}


def _drive_caveat(wants: Wants, sort: str, question: Question) -> str:
    """That a drive may be free which would do; empty where none may."""
    asked = [one for key, one in wants.of if key.startswith("volume.")]
    readings = question.snapshot.readings
    if sort != "drive" or not asked:
        return ""
    free = free_drives(question.snapshot.get("storage.volumes"), question.snapshot.get("storage.drives"))
    good = dict.fromkeys(one.label for one in free if volume_on(one, asked, readings) is not None)
    return MAY_BE_FREE.format("; ".join(good)) if good else ""


def _part_change(part: str, trial: Trial, question: Question, mends: tuple[str, ...]) -> Change:
    sort = sort_of(part)
    bought = trial.world.bought[part]
    priced = question.prices.cheapest(bought) if question.prices else None
    present = [_shown(question.snapshot.get(name), CATALOGUE[name].value) for name in _PRESENT.get(sort, ())]
    name = name_of(bought)
    lists = {
        "network card": "network.adapters",
        "screen": "display.screens",
        "graphics card": "display.graphics",
    }
    # A screen that is added is not the primary one.
    settable = tuple(sorted(SETTABLE.get(lists.get(sort, ""), frozenset()) - {"primary"}))
    words = settings_words(sort, trial.plan.parts[part], settable)
    return Change(
        kind=Means.PART,
        what=TITLES[sort],
        now=(" x " if sort == "primary screen" else ", ").join(present),
        to=name,
        mends=mends,
        caveat=f"set it to: {words}" if words else _drive_caveat(trial.plan.parts[part], sort, question),
        part=name,
        price=priced.price if priced else None,
        priced_as=priced.name if priced and priced.name != name else "",
    )


def _changes(search: Search, trial: Trial, question: Question) -> tuple[Change, ...]:
    settings = [
        _setting_change(one, question, search.needed_for(name, trial))
        for name, one in trial.plan.settings.items()
    ]
    parts = [_part_change(part, trial, question, search.needed_for(part, trial)) for part in trial.plan.parts]
    order = {one.id: number for number, one in reversed(list(enumerate(trial.judged)))}

    def asked(change: Change) -> int:
        return min((order[name] for name in change.mends), default=len(order))

    return (*sorted(settings, key=asked), *sorted(parts, key=asked))


def _left(found: Found, findings: Mapping[str, Finding]) -> tuple[Left, ...]:
    readings = {one.id: reading_of(one) for one in found.before.judged}
    unmet = found.trial.ids(Verdict.UNMET)
    out = []
    for name in dict.fromkeys(one.id for one in found.trial.judged if one.id in unmet):
        why = _TOGETHER if name in found.together else without_means(readings[name])
        out.append(Left(name, findings[name].title, why))
    return tuple(out)


def _unread(found: Found, findings: Mapping[str, Finding]) -> tuple[Open, ...]:
    open_ = found.trial.ids(Verdict.UNVERIFIED)
    before = found.before.ids(Verdict.UNVERIFIED)
    out: dict[str, Open] = {}
    for one in found.trial.judged:
        if one.id not in open_ or one.result.verdict is not Verdict.UNVERIFIED or one.id in out:
            continue
        finding = findings[one.id]
        if one.id in before:
            out[one.id] = Open(one.id, finding.title, finding.why, finding.remedy)
        else:
            out[one.id] = Open(one.id, finding.title, f"with the changes made: {one.result.why}", "")
    return tuple(out.values())


def mend(question: Question, findings: Mapping[str, Finding]) -> Mending:
    """Find the smallest set of changes with which a PC passes.

    Args:
        question: What is judged, of which PC.
        findings: Of the PC as it is, by id.

    Returns:
        The changes, and what they leave; ``passes`` only where the PC was judged ready with them.
    """
    search = Search(question)
    found = search.run()
    left, unread = _left(found, findings), _unread(found, findings)
    return Mending(
        changes=_changes(search, found.trial, question),
        left=left,
        unread=unread,
        passes=not left and not unread,
        searched=found.searched,
    )
