"""A drift as a JSON document of kind ``drift``."""

from __future__ import annotations

from typing import Any

from pcaudit.core.drift import FORMAT, Change, Drift, Open, Turned
from pcaudit.render.drift_words import both_words, item_words


def _place(one: Change | Open) -> dict[str, Any]:
    return {
        "reading": one.record.name,
        "title": one.record.value.title,
        "item": None if one.item is None else item_words(one.item, one.record),
        "key": one.key or None,
        "then": one.then,
        "now": one.now,
    }


def _change(one: Change) -> dict[str, Any]:
    then, now = both_words(one)
    words = {"then_words": then, "now_words": now}
    bounds = dict(zip(("then_at_least", "now_at_least"), one.bounds, strict=True))
    return {**_place(one), **words, **bounds, "volatile": one.volatile, "derived": one.record.derived}


def _open(one: Open) -> dict[str, Any]:
    return {**_place(one), "not_known": one.side, "why": one.why}


def _turned(one: Turned) -> dict[str, Any]:
    out = one._asdict()
    out["then"] = None if one.then is None else one.then.value
    out["now"] = None if one.now is None else one.now.value
    return out


def drift_mapping(drift: Drift) -> dict[str, Any]:
    """The document, ready to write: of kind ``drift``."""
    return {
        "kind": "drift",
        "format": FORMAT,
        "drifted": drift.drifted,
        "record": drift.held._asdict(),
        "profiles": list(drift.titles),
        "pc": {"same": drift.same_pc.value, "why": drift.pc_words},
        "then": {"taken_at": drift.then.taken_at, "outcome": drift.outcome_then.value},
        "now": {"taken_at": drift.now.taken_at, "outcome": drift.outcome_now.value},
        "on": drift.on.isoformat(),
        "as_of": drift.as_of.isoformat(),
        "turned": [_turned(one) for one in drift.turned],
        "changes": [_change(one) for one in drift.changes],
        "open": [_open(one) for one in drift.open],
        "notes": list(drift.notes),
    }
