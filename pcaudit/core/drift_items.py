"""Comparing two lists of things, item by item: what is gone, what is new, what changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import Property, Reading, Type
from pcaudit.core.pseudonyms import is_redacted
from pcaudit.core.texts import fold

Item = dict[str, Any]

# What tells one item of a list from another. Where several ways are given, what the first did not
# bring together is tried by the next: an adapter that was exchanged keeps its name.
_IDENTITY: Final[dict[str, tuple[tuple[str, ...], ...]]] = {
    "memory.modules": (("size", "speed", "type"),),
    "storage.volumes": (("mount",),),
    "storage.drives": (("model", "size"),),
    "display.screens": (("name",),),
    "display.graphics": (("model",),),
    "network.adapters": (("mac",), ("name",)),
    "network.endpoints": (("host", "port"),),
}
_BY_NAME: Final = (("name",),)

# Keys whose value changes by itself while nobody touches the PC; the catalogue says so of whole
# readings only. Common practice, no source.
_RESTLESS: Final = {
    "storage.volumes": frozenset({"free", "used"}),
    "network.adapters": frozenset({"link_up", "speed"}),
    "network.endpoints": frozenset({"reachable", "seconds"}),
}
_LEASED: Final = frozenset({"addresses", "gateway"})
_NONE_IS_KNOWN: Final = {"network.adapters": frozenset({"gateway"})}
"""Keys for which probes write null where the thing has none, and not only where it was not read."""


class ItemChange(NamedTuple):
    """One difference between two lists.

    Attributes:
        then, now: The item before and after; None where it was not there.
        key: What of it changed; empty where the whole item is gone or new.
        restless: It changes by itself.
        unknown: It could not be read on one side, or is redacted there, so that this is no change.
    """

    then: Item | None
    now: Item | None
    key: str = ""
    restless: bool = False
    unknown: bool = False


def identity(record: Reading) -> tuple[str, ...]:
    """The keys by which items of a list are told apart, the first way."""
    return _IDENTITY.get(record.name, _BY_NAME)[0]


def same_value(then: Any, now: Any, spec: Property) -> bool:
    """Whether two values are the same as profiles compare them."""
    if spec.type is Type.SET:
        return {fold(text) for text in then} == {fold(text) for text in now}
    if isinstance(then, str) and isinstance(now, str) and not spec.exact:
        return fold(then) == fold(now)
    return bool(then == now)


def _same_item(then: Item, now: Item, record: Reading) -> bool:
    return not any(_differs(then, now, key, spec) for key, spec in record.items.items())


def _compatible(then: Item, now: Item, record: Reading) -> bool:
    return not any(
        _differs(then, now, key, spec)
        for key, spec in record.items.items()
        if then.get(key) is not None and now.get(key) is not None
    )


def _differs(then: Item, now: Item, key: str, spec: Property) -> bool:
    old, new = then.get(key), now.get(key)
    if old is None or new is None:
        return old is not new
    return not same_value(old, new, spec)


def _name(item: Item, keys: tuple[str, ...], record: Reading) -> tuple[Any, ...] | None:
    """What an item is called; None where part of that is not known."""
    values = [item.get(key) for key in keys]
    if any(value is None for value in values):
        return None
    return tuple(
        fold(value) if isinstance(value, str) and not record.items[key].exact else value
        for key, value in zip(keys, values, strict=True)
    )


Pairs = list[tuple[Item, Item]]


def _paired(then: list[Item], now: list[Item], alike: Callable[[Item, Item], bool]) -> Pairs:
    """Takes items that are alike out of both lists."""
    pairs: Pairs = []
    for old in list(then):
        partner = next((i for i, new in enumerate(now) if alike(old, new)), None)
        if partner is not None:
            pairs.append((old, now.pop(partner)))
            then[:] = [one for one in then if one is not old]
    return pairs


def _groups(items: list[Item], keys: tuple[str, ...], record: Reading) -> dict[tuple[Any, ...], list[Item]]:
    found: dict[tuple[Any, ...], list[Item]] = {}
    for item in items:
        name = _name(item, keys, record)
        if name is not None:
            found.setdefault(name, []).append(item)
    return found


def _by_name(then: list[Item], now: list[Item], keys: tuple[str, ...], record: Reading) -> Pairs:
    """Pairs items of one name, those that are quite the same first; takes them out of both lists."""
    pairs: Pairs = []
    before, after = _groups(then, keys, record), _groups(now, keys, record)
    for name, olds in before.items():
        news = after.get(name, [])
        pairs += _paired(olds, news, lambda old, new: _same_item(old, new, record))
        # A bond and what it is made of share one hardware address.
        pairs += _paired(olds, news, lambda old, new: old.get("name") == new.get("name"))
        pairs += _paired(olds, news, lambda _old, _new: True)
    done = {id(item) for pair in pairs for item in pair}
    then[:] = [item for item in then if id(item) not in done]
    now[:] = [item for item in now if id(item) not in done]
    return pairs


def _restless(record: Reading, key: str, then: Item, now: Item) -> bool:
    if key in _LEASED and record.name == "network.adapters":
        return then.get("addressing") == now.get("addressing") == "dynamic"
    return key in _RESTLESS.get(record.name, ())


def _has_none(item: Item, key: str, record: Reading) -> bool:
    """Whether null says of this item that it has none; without its addresses it was not read."""
    null_is_none = key in _NONE_IS_KNOWN.get(record.name, ()) and key in item and item[key] is None
    return null_is_none and item.get("addresses") is not None


def _is_unknown(then: Item, now: Item, key: str, record: Reading) -> bool:
    """Whether nobody can say that a key changed."""
    if any(is_redacted(one.get(key)) for one in (then, now)):
        return True
    # Systems take routes away with the link (common practice, no source): one that is gone with it may
    # be set still. One that is there and was not is new, whatever the link was.
    if key in _NONE_IS_KNOWN.get(record.name, ()) and now.get(key) is None and now.get("link_up") is False:
        return True
    return any(one.get(key) is None and not _has_none(one, key, record) for one in (then, now))


def _changes(then: Item, now: Item, record: Reading) -> list[ItemChange]:
    return [
        ItemChange(
            then,
            now,
            key,
            _restless(record, key, then, now),
            _is_unknown(then, now, key, record),
        )
        for key, spec in record.items.items()
        if _differs(then, now, key, spec)
    ]


def compare_items(then: Sequence[Item], now: Sequence[Item], record: Reading) -> list[ItemChange]:
    """Compare two lists of one reading.

    Args:
        then: The items before.
        now: The items after.
        record: The reading.

    Returns:
        What is gone, what is new, then each key that differs, in the order of the lists.
    """
    # Copies, for one table may stand twice in a list.
    olds, news = [dict(item) for item in then], [dict(item) for item in now]
    pairs: Pairs = []
    for keys in _IDENTITY.get(record.name, _BY_NAME):
        pairs += _by_name(olds, news, keys, record)
    pairs += _paired(olds, news, lambda old, new: _same_item(old, new, record))
    # What has no name is the same as far as nothing known of it says otherwise.
    pairs += _paired(olds, news, lambda old, new: _compatible(old, new, record))
    # Nothing is gone or new for sure where names stand for others.
    veiled = any(is_redacted(item.get(key)) for item in (*then, *now) for key in record.items)
    out = [ItemChange(item, None, unknown=veiled) for item in olds]
    out += [ItemChange(None, item, unknown=veiled) for item in news]
    for old, new in pairs:
        out += _changes(old, new, record)
    return out
