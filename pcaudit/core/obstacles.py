"""What stands between a probe and a reading, and how a person takes it away."""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core.snapshot import Form, Snapshot

ELEVATION_WORDS: Final = ("administrator rights", "probe as administrator", "run as administrator")
CONSOLE_WORDS: Final = ("run at the console",)
"""Words of a reason that tell its obstacle; every probe words its reasons with them, and only where
probing in that way would read more. What another tool shows an administrator is not among it."""


class Obstacles(NamedTuple):
    """Readings that are open, by what would make them readable.

    Attributes:
        elevation: Names of readings that need administrator rights.
        console: Names of readings that need somebody at the PC itself.
        cable: Names of wired adapters that have no link, so that their speed is not known.
        other: Names of readings that are open for another reason, which stands beside each.
    """

    elevation: tuple[str, ...]
    console: tuple[str, ...]
    cable: tuple[str, ...]
    other: tuple[str, ...]


def needs(why: str, words: tuple[str, ...]) -> bool:
    """Whether a reason has one of these words in it."""
    return any(word in why for word in words)


def _uncabled(snapshot: Snapshot) -> tuple[str, ...]:
    adapters = snapshot.get("network.adapters")
    if adapters.form is not Form.KNOWN:
        return ()
    return tuple(
        str(item.get("name") or "an adapter")
        for item in adapters.value
        if item.get("medium") == "wired" and item.get("link_up") is False
    )


def obstacles(snapshot: Snapshot) -> Obstacles:
    """Sort what is open in a snapshot by what would make it readable.

    Readings known only as a lower bound, and lists that may be longer, are open too.
    """
    found: dict[str, list[str]] = {"elevation": [], "console": [], "other": []}
    for name, seen in snapshot.readings.items():
        if seen.form is Form.ABSENT or (seen.form is Form.KNOWN and seen.complete):
            continue
        if needs(seen.why, ELEVATION_WORDS):
            found["elevation"].append(name)
        elif needs(seen.why, CONSOLE_WORDS):
            found["console"].append(name)
        else:
            found["other"].append(name)
    return Obstacles(
        tuple(found["elevation"]), tuple(found["console"]), _uncabled(snapshot), tuple(found["other"])
    )
