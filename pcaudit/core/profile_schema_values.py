"""JSON Schemas of what a profile may say of one value: operands, and conditions made of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from pcaudit.core import versions
from pcaudit.core.catalogue import CATALOGUE, Property, Type
from pcaudit.core.compile_requirement import SCALED
from pcaudit.core.conditions import FORMS, TEXTS, Form, forms_for
from pcaudit.core.units import NEVER

Schema = dict[str, Any]

_DAY: Final = "^[0-9]{4}-[0-9]{2}-[0-9]{2}"
# A bound of the dotted scheme and bounds with commas between them, as pcaudit.core.versions reads them.
_BOUND: Final = r"\s*(?:>=|<=|==|!=|<|>)?\s*[vV]?[0-9]{1,12}(?:\.[0-9]{1,12}){0,15}\s*"
_RANGE: Final = f"^{_BOUND}(?:,{_BOUND})*$"
# What case folding turns into ASCII letters (Unicode, CaseFolding.txt): left to the reader of profiles.
_FOLDED: Final = "[\u00df\u017f\u1e9e\u212a\ufb00-\ufb06]"
# Names that may stand in ``per`` beside readings that count something.
_PARAMETER: Final = r"^(?:parameters\.)?[a-z][a-z0-9_-]{0,59}$"

MEANINGS: Final = {
    "minimum": "At least this.",
    "maximum": "At most this.",
    "recommended": "Better than required: beside exactly one of minimum and maximum, and not looser.",
    "equal": "Exactly this; stands alone.",
    "one_of": "One of these.",
    "none_of": "None of these.",
    "matches": "Fits a pattern: * any characters, ? one, [0-9] one of these, [!0-9] one not of these.",
    "version": "Lies in this range, or in one of these.",
    "includes": "Has all of these.",
    "includes_any": "Has one of these.",
    "excludes": "Has none of these.",
    "per": "So much more for each of something: a parameter, or a reading that counts.",
    "scheme": "How versions are read and ordered; dotted where nothing is said.",
}
"""What each word of a condition asks."""

_TYPES: Final = {
    Type.BOOLEAN: "true or false.",
    Type.INTEGER: "A whole number, without quotes.",
    Type.NUMBER: "A number, without quotes.",
    Type.DATE: "A date, without quotes.",
    Type.VERSION: "A version range in quotes.",
    Type.SET: "A set of texts.",
    Type.TEXT: "A text.",
    Type.LIST: "A list of items: what each table asks must exist.",
}


def describe(spec: Property, meaning: str = "") -> str:
    """A meaning, and what is written: the type, the unit with an example, or the words there are."""
    if spec.kind is not None:
        what = f"{spec.kind.name[:1].upper()}{spec.kind.name[1:]} such as {spec.kind.example}."
    elif spec.type is Type.LEVEL:
        what = f"One of: {', '.join(spec.words)}; each includes those before it."
    elif spec.words and spec.type is not Type.SET:
        what = f"One of: {', '.join(spec.words)}."
    else:
        what = _TYPES[spec.type]
    return f"{meaning} {what}".strip()


def either(*schemas: Schema) -> Schema:
    """What fits at least one of several schemas."""
    return schemas[0] if len(schemas) == 1 else {"anyOf": list(schemas)}


def table(properties: Schema, **more: Any) -> Schema:
    """A table in which an unknown key is a mistake."""
    return {"type": "object", "properties": properties, "additionalProperties": False, **more}


def free_word(words: tuple[str, ...]) -> Schema:
    """A word of a closed list as profiles may write it: without regard to case and spaces around it."""
    spelled = "|".join("".join(map(_letter, word)) for word in words)
    return {"type": "string", "pattern": rf"^\s*(?:{spelled})\s*$"}


def _letter(character: str) -> str:
    if character.isalpha():
        return f"[{character.upper()}{character.lower()}]"
    return {" ": r"\s+", ".": r"\."}.get(character, character)


def _date() -> Schema:
    # Editors hand a date over as a text; one with a time counts by its day.
    day = {"type": "string", "format": "date", "pattern": f"{_DAY}$", "examples": ["2027-01-31"]}
    return either(day, {"type": "string", "pattern": f"{_DAY}[Tt ]"})


def _quantity(spec: Property) -> Schema:
    assert spec.kind is not None
    units = "|".join(spec.kind.units)
    schema: Schema = {
        "type": "string",
        "description": f"A number and a unit: {', '.join(spec.kind.units)}.",
        "pattern": rf"^\s*[0-9]{{1,18}}(?:\.[0-9]{{1,12}})?\s*(?:{units})\s*$",
        "examples": spec.kind.example.split('"')[1::2],
    }
    if spec.type is not Type.DURATION:
        return schema
    nothing = {"pattern": r"^\s*0+(?:\.0+)?\s*[A-Za-z]"}
    return either({"enum": [NEVER]}, free_word((NEVER,)), {**schema, "not": nothing})


def _ordered(spec: Property) -> Schema:
    if spec.type is Type.DATE:
        return _date()
    if spec.type in (Type.INTEGER, Type.NUMBER):
        return {"type": "integer" if spec.type is Type.INTEGER else "number", "minimum": 0}
    return _quantity(spec)


class Definitions:
    """Schemas by name, each made where it is first referred to.

    Attributes:
        made: What has been made, by name.
    """

    def __init__(self) -> None:
        self.made: dict[str, Schema] = {}
        self._lists: dict[tuple[str, ...], str] = {}

    def ref(self, name: str, make: Callable[[], Schema]) -> Schema:
        """A reference to a schema, made by ``make`` if there is none of that name."""
        if name not in self.made:
            self.made[name] = {}  # it may refer to itself while it is made
            self.made[name] = make()
        return {"$ref": f"#/$defs/{name}"}

    def name(self, spec: Property, of: str) -> str:
        """A name for a kind of value; a closed list has its first user's."""
        if spec.kind is not None:
            return spec.kind.name.partition(" ")[2].replace(" ", "-")
        kind = spec.type.value.replace(" ", "-")
        return f"{kind}-of-{self._lists.setdefault(spec.words, of)}" if spec.words else kind

    # -- operands

    def text(self) -> Schema:
        """A text that says something."""
        return self.ref("text", lambda: {"type": "string", "pattern": r"\S"})

    def _several(self, name: str, one: Schema) -> Schema:
        several = {"type": "array", "items": one, "minItems": 1}
        return self.ref(f"{name}-or-list", lambda: either(one, several))

    def word(self, spec: Property, of: str) -> Schema:
        """A word of the closed list; a text where there is none."""
        if not spec.words:
            return self.text()
        known = {"enum": list(spec.words)}
        folded = {"type": "string", "pattern": _FOLDED}
        return self.ref(self.name(spec, of), lambda: either(known, free_word(spec.words), folded))

    def ordered(self, spec: Property, of: str) -> Schema:
        """What has an order: an amount, a date, a level."""
        if spec.type is Type.LEVEL:
            return self.word(spec, of)
        return self.ref(self.name(spec, of), lambda: _ordered(spec))

    def words(self, spec: Property, of: str) -> Schema:
        """One word or text, or a list of them."""
        return self._several(self.name(spec, of) if spec.words else "text", self.word(spec, of))

    def _equal(self, spec: Property, of: str) -> Schema:
        if spec.type is Type.BOOLEAN:
            return {"type": "boolean"}
        return self.words(spec, of) if spec.type in TEXTS else self.ordered(spec, of)

    def _patterns(self, _spec: Property, _of: str) -> Schema:
        one = {"type": "string", "pattern": r"\S", "maxLength": versions.LIMIT, "examples": ["Old Suite*"]}
        return self._several("pattern", self.ref("pattern", lambda: one))

    def _ranges(self, _spec: Property, _of: str) -> Schema:
        one = {"type": "string", "pattern": r"\S", "maxLength": versions.LIMIT}
        return self._several("range", self.ref("range", lambda: one))

    def _dotted(self) -> Schema:
        examples = [">=10.0.19045,<11"]
        one = {"type": "string", "pattern": _RANGE, "maxLength": versions.LIMIT, "examples": examples}
        return self._several("dotted-range", self.ref("dotted-range", lambda: one))

    def operand(self, form: Form, spec: Property, of: str) -> Schema:
        """What a form may say of a kind of value: forms that read alike say alike."""
        make: dict[Any, Callable[[Property, str], Schema]] = {
            FORMS["minimum"].read: self.ordered,
            FORMS["equal"].read: self._equal,
            FORMS["one_of"].read: self.words,
            FORMS["matches"].read: self._patterns,
            FORMS["version"].read: self._ranges,
        }
        return make[form.read](spec, of)

    # -- conditions

    def asked(self, spec: Property, of: str, extras: bool, words: Schema) -> Schema:
        """What may be asked of a value: bare, or as a table.

        Args:
            spec: What the value is.
            of: The reading, or the key of an item.
            extras: Something may be recommended, and asked ``per``.
            words: What else may stand in the table, by key.
        """
        properties = {key: self.operand(FORMS[key], spec, of) for key in forms_for(spec.type)}
        asking = list(properties)
        if extras and "minimum" in properties:
            properties["recommended"] = self.ordered(spec, of)
        if extras and spec.type in SCALED:
            properties["per"] = self._per(spec, of)
            asking.append("per")
        if spec.type is Type.VERSION:
            properties["scheme"] = {"enum": list(versions.SCHEMES)}
        together = self._together(spec, properties)
        said = {key: {"description": MEANINGS.get(key, ""), **one} for key, one in properties.items()}
        one_of_them = either(*({"required": [key]} for key in asking))
        return either(*self._bare(spec, of), table({**said, **words}, **one_of_them, **together))

    def _bare(self, spec: Property, of: str) -> list[Schema]:
        """What a value without a table may be."""
        if spec.type is Type.VERSION:
            return [self._dotted()]
        if spec.type is Type.LEVEL:
            return [self.word(spec, of)]
        if spec.type is Type.DURATION:
            return [{"enum": [NEVER]}, free_word((NEVER,))]
        return [self._equal(spec, of)] if spec.type in (*TEXTS, Type.BOOLEAN) else []

    def _together(self, spec: Property, properties: Schema) -> Schema:
        """What the words of one table say of each other."""
        if spec.type is Type.VERSION:
            dotted = {"properties": {"scheme": {"const": "dotted"}}}
            return {"if": dotted, "then": {"properties": {"version": self._dotted()}}}
        found: Schema = {}
        others = [key for key in properties if key != "equal"]
        if "equal" in properties and others:
            found["equal"] = {"properties": dict.fromkeys(others, False)}
        if "recommended" in properties:
            found["recommended"] = self.ref("beside-recommended", _beside_recommended)
        return {"dependentSchemas": found} if found else {}

    def _per(self, spec: Property, of: str) -> Schema:
        """How much more for each of what."""

        def names() -> Schema:
            counting = [n for n, r in CATALOGUE.items() if r.value.type in (Type.INTEGER, Type.NUMBER)]
            return either({"enum": counting}, {"pattern": _PARAMETER})

        def make() -> Schema:
            return {
                "type": "object",
                "minProperties": 1,
                "propertyNames": self.ref("name-in-per", names),
                "additionalProperties": self.ordered(spec, of),
            }

        return self.ref(f"per-{self.name(spec, of)}", make)


def _beside_recommended() -> Schema:
    """Exactly one bound stands beside what is recommended; with ``per`` alone it is a minimum of zero."""
    return either(
        {"required": ["minimum"], "properties": {"maximum": False}},
        {"required": ["maximum"], "properties": {"minimum": False, "per": False}},
        {"required": ["per"], "properties": {"minimum": False, "maximum": False}},
    )
