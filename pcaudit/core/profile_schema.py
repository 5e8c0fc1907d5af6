"""The JSON Schema of profiles, for editors: made from the catalogue and the table of condition forms.

What it refuses, ``compile_profile`` refuses too. The reverse cannot be: JSON Schema has no words for what
depends on other places of the file (names, duplicate ids), on sums and orders, or on other files.
"""

from __future__ import annotations

from functools import partial
from typing import Any, Final

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Property, Reading, Type
from pcaudit.core.compile import FORMAT, LIST_WORDS, OWNERS
from pcaudit.core.compile_requirement import SCALED, WORDS
from pcaudit.core.profile_schema_tables import OPTION_NAME, arrangements, count, identifier, parameters
from pcaudit.core.profile_schema_values import Definitions, Schema, describe, either, table

_IN_WHEN: Final = r"^(?:parameters\.|options\.)?[A-Za-z0-9][A-Za-z0-9_-]{0,79}$"
# Relative, with / between folders: pcaudit.loading says the rest.
_BASE: Final = r"^[^/\\:][^\\:]*$"

_FLAGS: Final = {
    "adds": "Whether amounts of several products add up.",
    "advised": "true: it does not bind; falling short is marginal.",
    "own": "false: the items may serve other tables as well.",
}
_TEXTS: Final = {
    "title": "Name for people.",
    "because": "Why it is asked; shown beside the finding.",
    "remedy": "What to do where it falls short.",
    "owner": "Who does it.",
}
_HEAD: Final = {
    "title": "What the profile is for.",
    "publisher": "Who publishes the profile.",
    "contact": "Whom to ask about it.",
    "note": "Anything else worth knowing.",
}


class _Document:
    """Gathers the definitions while the schema of the whole is made."""

    def __init__(self) -> None:
        self.defs = Definitions()

    def _text(self, description: str) -> Schema:
        return {"description": description, **self.defs.text()}

    # -- words around conditions

    def _word(self, word: str) -> Schema:
        """A word that stands beside conditions."""
        if word == "when":
            return self.defs.ref("when", self._when)
        if word == "id":
            return self.defs.ref("id", identifier)
        if word == "count":
            return self.defs.ref("count", count)
        if word in _FLAGS:
            return self.defs.ref(word, lambda: {"type": "boolean", "description": _FLAGS[word]})
        more = {"examples": list(OWNERS)} if word == "owner" else {}
        return self.defs.ref(f"word-{word}", lambda: {**self._text(_TEXTS[word]), **more})

    def _words(self, *more: str) -> Schema:
        return {word: self._word(word) for word in (*WORDS, "when", *more)}

    # -- readings

    def _asked(self, where: str, spec: Property, of: str, *words: str) -> Schema:
        """What may be asked of a value in one kind of place; the same for every value of its kind."""
        return self.defs.ref(
            f"{where}-{self.defs.name(spec, of)}",
            lambda: self.defs.asked(spec, of, where != "when", {word: self._word(word) for word in words}),
        )

    def _reading(self, record: Reading) -> Schema:
        """What a section may say of a reading."""
        return self.defs.ref(record.name, lambda: {**_about(record), **self._condition(record)})

    def _condition(self, record: Reading) -> Schema:
        if record.value.type is Type.LIST:
            return {"type": "array", "minItems": 1, "items": self._items(record)}
        words = [*WORDS, "when", "advised", *(["adds"] if record.value.type in SCALED else [])]
        asked = self._asked("reading", record.value, record.name, *words)
        several = {
            "description": "Several conditions, each limited to PCs or choices of its own.",
            "type": "array",
            "minItems": 1,
            "items": {"type": "object", **asked},
        }
        kind = self.defs.name(record.value, record.name)
        return self.defs.ref(f"reading-or-several-{kind}", lambda: either(asked, several))

    def _items(self, record: Reading) -> Schema:
        own = {word: self._word(word) for word in sorted(LIST_WORDS)}
        keys = {key: self._item_key(record, key) for key in record.items}
        return table({**own, **keys}, required=["id", *record.lookup])

    def _item_key(self, record: Reading, key: str) -> Schema:
        spec = record.items[key]
        about = {"title": spec.title, "description": describe(spec)}
        if key in record.lookup:
            return {**about, **self._looked_up(spec, key)}
        return {**about, **self._asked("item", spec, f"{record.name}.{key}", "advised")}

    def _looked_up(self, spec: Property, key: str) -> Schema:
        """A key that names what is to be asked: one value, no condition."""
        one = self.defs.word(spec, key) if spec.type is Type.TEXT else self.defs.ordered(spec, key)
        alone = {"type": "array", "items": one, "minItems": 1, "maxItems": 1}
        value = either(one, alone) if spec.type is Type.TEXT else one
        equal = table({"equal": value}, required=["equal"])
        return either(value, equal) if spec.type is Type.TEXT else equal

    # -- sections

    def _conditions(self, group: str) -> Schema:
        """What may be asked of each reading of a group, by its key."""
        records = [record for record in CATALOGUE.values() if record.group == group]
        return {_key(record.name): self._reading(record) for record in records}

    def _section(self, group: str) -> Schema:
        alternative = self.defs.ref(f"alternative-{group}", partial(self._alternative, group))
        any_of = {
            "description": "Alternatives: everything in one must hold, and one of them is enough.",
            "type": "array",
            "minItems": 1,
            "items": alternative,
        }
        conditions = self._conditions(group)
        words = {"any_of": any_of, "when": self._word("when")}
        return {"title": GROUPS[group], **table({**conditions, **words}, **_needs(group))}

    def _alternative(self, group: str) -> Schema:
        words: Schema = {**self._words(), "advised": {"const": False}}
        nothing = {"propertyNames": {"enum": sorted(words)}}
        return table({**self._conditions(group), **words}, **_needs(group), **{"not": nothing})

    def _sections(self) -> Schema:
        return {group: self.defs.ref(f"section-{group}", partial(self._section, group)) for group in GROUPS}

    # -- when

    def _when(self) -> Schema:
        readings = {
            record.name: {"title": record.value.title, **self._asked("when", record.value, record.name)}
            for record in CATALOGUE.values()
            if record.value.type is not Type.LIST
        }
        number = Property("Parameter", Type.NUMBER)
        parameter = self._asked("when", number, "parameters")
        option = {"type": "boolean"}
        nested = {group: self._when_group(group, readings) for group in GROUPS}
        several = {"type": "object", "minProperties": 1}
        named = {
            "parameters": either(option, {**several, "additionalProperties": parameter}),
            "options": either(option, {**several, "additionalProperties": option}),
        }
        return {
            "description": "The PCs and choices it is about: readings, parameters, options.",
            "type": "object",
            "minProperties": 1,
            "properties": {**readings, **nested, **named},
            "additionalProperties": either(option, parameter),
            "propertyNames": either({"enum": list(readings)}, {"pattern": _IN_WHEN}),
        }

    def _when_group(self, group: str, readings: Schema) -> Schema:
        """Readings without quotes make a table in a table; an option may have a group's name."""
        keys = {_key(name): schema for name, schema in readings.items() if CATALOGUE[name].group == group}
        return either({"type": "boolean"}, table(keys, minProperties=1))

    # -- arrangements and options

    def _arrangements(self) -> Schema:
        return self.defs.ref("arrangements", lambda: arrangements(self._words("id")))

    def _options(self) -> Schema:
        words = {"title": self._word("title"), "arrangements": self._arrangements()}
        # One with a title alone is right where a `when` names it, which no schema can see.
        one = table({**words, **self._sections()})
        return {
            "description": "What holds only where it is chosen with --option NAME.",
            "type": "object",
            "propertyNames": {"pattern": OPTION_NAME},
            "additionalProperties": one,
        }

    # -- the whole

    def whole(self) -> Schema:
        """The schema."""
        base = {"type": "string", "pattern": _BASE, "allOf": [self.defs.text()]}
        files = either(base, {"type": "array", "items": base, "minItems": 1})
        date = Property("Issued", Type.DATE)
        properties = {
            "format": {
                "description": "The format of profiles; a newer one is refused.",
                "type": "integer",
                "enum": list(range(1, FORMAT + 1)),
            },
            **{key: self._text(description) for key, description in _HEAD.items()},
            "issued": {"description": "A date, without quotes.", **self.defs.ordered(date, "issued")},
            "based_on": {"description": "Profiles this one builds on, as relative paths.", **files},
            "parameters": parameters(self._word("title"), self.defs.text()),
            "options": self._options(),
            "arrangements": self._arrangements(),
            **self._sections(),
        }
        asking = [{"required": [key]} for key in (*GROUPS, "options", "based_on")]
        return {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "$id": f"urn:pcaudit:profile:{FORMAT}",
            "title": "pcaudit profile",
            "description": "What one piece of instrument software asks of a PC, written in TOML 1.0.",
            **table(properties, required=["format", "title"], **either(*asking)),
            "$defs": self.defs.made,
        }


def _key(name: str) -> str:
    return name.partition(".")[2]


def _about(record: Reading) -> Schema:
    """A reading's name, meaning and unit, and what must stand beside it."""
    needs = " and ".join(f"`{_key(name)}`" for name in record.needs)
    more = f" The same table sets {needs} to one value." if needs else ""
    return {"title": record.value.title, "description": describe(record.value, record.meaning) + more}


def _needs(group: str) -> Schema:
    """What must stand in the same table beside readings that mean nothing alone."""
    needs = {
        _key(record.name): [_key(name) for name in record.needs]
        for record in CATALOGUE.values()
        if record.group == group and record.needs
    }
    return {"dependentRequired": needs} if needs else {}


def profile_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of profiles.

    Returns:
        A schema of TOML documents as editors see them: dates are texts.
    """
    return _Document().whole()
