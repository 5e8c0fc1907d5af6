"""What differs between two sets of readings, in words that both the text and the JSON use."""

from __future__ import annotations

from typing import Any

from pcaudit.core.catalogue import Property, Reading, Type
from pcaudit.core.drift import Change, Open
from pcaudit.core.drift_items import Item, identity
from pcaudit.core.visible import visible
from pcaudit.core.wording import say_value, show_value, told

_PROSE = 600


def item_words(item: Item, record: Reading) -> str:
    """What an item of a list is called: "eth0", "Modelled Drive 2, 512 GB"."""
    name = item.get("name")
    keys = ("name",) if name is not None and "name" in record.items else identity(record)
    texts = [show_value(item[key], record.items[key]) for key in keys if item.get(key) is not None]
    return visible(", ".join(texts)) if texts else "an item without a name"


def what_words(one: Change | Open) -> str:
    """What a change is about: "Sleep after"; of an item "Adapters: eth1, MTU"."""
    title = one.record.value.title
    if one.item is None:
        return title
    text = f"{title}: {item_words(one.item, one.record)}"
    return f"{text}, {_inside(one.record.items[one.key].title)}" if one.key else text


def _inside(title: str) -> str:
    return title if title[:2].isupper() else title[0].lower() + title[1:]


def both_words(one: Change) -> tuple[str, str]:
    """The value then and now."""
    words = _value_words(one.then, one.now, one), _value_words(one.now, one.then, one)
    then, now = (f"at least {text}" if bound else text for text, bound in zip(words, one.bounds, strict=True))
    return then, now


def _value_words(value: Any, other: Any, one: Change) -> str:
    # Told apart from the value it is held against.
    if value is None:
        return "none"
    if one.item is not None and not one.key:
        return "there"
    spec = one.record.items[one.key] if one.key else one.record.value
    if spec.type is Type.SET:
        return _set_words(value, other, spec)
    return visible(say_value(value, spec, other), _PROSE)


def _set_words(value: list[str], other: Any, spec: Property) -> str:
    """A set; of a long one only what the other has not."""
    if len(value) <= 4 or not isinstance(other, list):
        return visible(say_value(value, spec), _PROSE)
    own = [told(text) for text in value if text not in other]
    return visible(f"{len(value)}, among them {', '.join(own)}" if own else f"{len(value)}", _PROSE)
