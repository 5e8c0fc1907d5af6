"""JSON Schemas of what does not depend on the catalogue: ids, counts, arrangements, parameters."""

from __future__ import annotations

from typing import Final

from pcaudit.core.catalogue import GROUPS
from pcaudit.core.compile import KINDS, NEEDED
from pcaudit.core.measured import QUANTITIES
from pcaudit.core.profile_schema_values import Schema, either, table

OPTION_NAME: Final = "^[A-Za-z0-9][A-Za-z0-9_-]{0,79}$"
"""Names of options."""

_ID: Final = "^[A-Za-z0-9][A-Za-z0-9._-]{0,79}$"
_PARAMETER_NAME: Final = "^[a-z][a-z0-9_-]{0,59}$"
_LEAD_TIME: Final = r"^\s*[0-9]{1,4} (?:(?:working )?days?|weeks?|months?)\s*$"


def identifier() -> Schema:
    """The ``id`` of a list's table or an arrangement."""
    return {
        "description": "A stable name, unique in its list: letters, digits, - _ and .",
        "type": "string",
        "pattern": _ID,
        "examples": ["instrument-port"],
    }


def count() -> Schema:
    """How many items: 0, or bounds of which one asks something."""
    number = {"type": "integer", "minimum": 0}
    some = {"minimum": {"minimum": 1}}
    bounds: Schema = dict.fromkeys(("minimum", "maximum", "equal", "recommended"), number)
    asking = (
        {"required": ["maximum"]},
        {"required": ["equal"]},
        {"required": ["minimum"], "properties": some},
    )
    alone = {"properties": dict.fromkeys(("minimum", "maximum", "recommended"), False)}
    both = {"not": {"required": ["minimum", "maximum"], "properties": some}}
    together = {"dependentSchemas": {"equal": alone, "recommended": both}}
    of_bounds = table(bounds, **either(*asking), **together)
    return {
        "description": "How many items; 1 or more if not said.",
        **either({"type": "integer", "enum": [0]}, of_bounds),
    }


def _exactly(description: str, words: tuple[str, ...]) -> Schema:
    """One of several words, letter by letter but for spaces around it."""
    spaced = {"type": "string", "pattern": rf"^\s*(?:{'|'.join(words)})\s*$"}
    return {"description": description, **either({"enum": list(words)}, spaced)}


def arrangements(words: Schema) -> Schema:
    """What people must have ready.

    Args:
        words: Schemas of the words that conditions have too, by key.
    """
    own = {
        "kind": _exactly("What kind of thing it is.", KINDS),
        "needed": _exactly(f"When it is needed; {NEEDED[0]} if not said.", NEEDED),
        "lead_time": {
            "description": "How long it takes to get.",
            "type": "string",
            "pattern": _LEAD_TIME,
            "examples": ["10 working days", "2 weeks", "1 month"],
        },
        **_measured(),
    }
    bound = ("minimum", "maximum")
    asking = either(*({"required": [key]} for key in bound))
    alone = {"not": {"required": list(bound)}}
    together = {
        "quantity": asking,
        **{key: {"required": ["quantity"]} for key in bound},
        "recommended": {"required": ["quantity"], **alone},
    }
    return {
        "description": "What people must have ready.",
        "type": "array",
        "minItems": 1,
        "items": table({**words, **own}, required=["id", "kind", "title"], dependentSchemas=together),
    }


def _measured() -> Schema:
    """What is measured of an arrangement, and what the value must be."""
    amount = either({"type": "string", "pattern": r"\S"}, {"type": "integer", "minimum": 0})
    examples = [one.example.strip('"') for one in QUANTITIES.values() if one.example.startswith('"')]
    meanings = {
        "minimum": "At least this, with its unit; a count without one.",
        "maximum": "At most this, with its unit; a count without one.",
        "recommended": "Better than required: beside exactly one of minimum and maximum, and not looser.",
    }
    bounds = {key: {"description": text, "examples": examples, **amount} for key, text in meanings.items()}
    return {
        "quantity": _exactly("What is measured, and answered in a worksheet.", tuple(QUANTITIES)),
        **bounds,
    }


def parameters(title: Schema, text: Schema) -> Schema:
    """Numbers the lab chooses.

    Args:
        title: Schema of a title.
        text: Schema of any text.
    """
    number = {"type": "number", "minimum": 0, "exclusiveMaximum": 10**12}
    keys: Schema = {
        "title": title,
        "default": {"description": "What counts where nothing is chosen.", **number},
        "minimum": {"description": "Least that may be chosen; 0 if not said.", **number},
        "maximum": {"description": "Most that may be chosen.", **number},
        "unit": {"description": "Word printed behind the value.", **text},
    }
    return {
        "description": "Numbers the lab chooses with --set NAME=VALUE.",
        "type": "object",
        "propertyNames": {"pattern": _PARAMETER_NAME, "not": {"enum": list(GROUPS)}},
        "additionalProperties": table(keys, required=["default"]),
    }
