"""The sentences of each kind of row of an explained profile."""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core import phrases
from pcaudit.core.catalogue import Property
from pcaudit.core.clauses import Names, listed, of_key, of_scalar, only_where, quoted
from pcaudit.core.conditions import FORMS, Requirement, Test
from pcaudit.core.context import Context, resolve
from pcaudit.core.derive import Readings
from pcaudit.core.profile import (
    Alternative,
    AnyOf,
    Items,
    Meta,
    Option,
    Parameter,
    Scalar,
    WantedArrangement,
)
from pcaudit.core.snapshot import Snapshot, known
from pcaudit.core.wording import show_exact, show_number

_NOTHING: Final = Readings(Snapshot("1970-01-01", "", {}))


class Note(NamedTuple):
    """Words around a condition, under a label: why, do (the remedy), by (the owner)."""

    label: str
    text: str


class Way(NamedTuple):
    """One alternative: its sentence, the words around it, and the place that says it."""

    text: str
    notes: tuple[Note, ...]
    profile: str
    line: int


def notes_of(meta: Meta, about: str = "") -> tuple[Note, ...]:
    """The words around a condition.

    Args:
        meta: Of the condition.
        about: What they are about, where several conditions share a row.
    """
    lead = f"{about}: " if about else ""
    words = (("why", meta.because), ("do", meta.remedy), ("by", meta.owner))
    return tuple(Note(label, lead + text) for label, text in words if text)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _limited(text: str, meta: Meta, names: Names) -> str:
    where = only_where(meta.when, names)
    return f"{where}: {text}" if where else text


def _titled(text: str, meta: Meta) -> str:
    return f"{text} ({quoted(meta.title)})" if meta.title else text


# -- amounts per something


def _bound(tests: tuple[Test, ...]) -> list[int | float]:
    return [test.operand for test in tests if test.form is FORMS["minimum"]]


def _alone(amount: int | float, spec: Property) -> str:
    """An amount counted in one way only, for sums."""
    return show_exact(amount, spec).partition(" (")[0]


def _worked(requirement: Requirement, names: Names, subject: str) -> str:
    """What the amounts come to with the defaults; empty where a reading of the PC decides too."""
    scales, spec = requirement.scales, requirement.spec
    if not scales or any(scale.name not in names.parameters for scale in scales):
        return ""
    defaults = {scale.name: names.parameters[scale.name].default for scale in scales}
    context = Context(_NOTHING, {name: known(value, "") for name, value in defaults.items()}, frozenset())
    whole = resolve(requirement, context)
    first, *better = _bound(whole.required + whole.advised)
    base = _bound(requirement.required + requirement.advised)[0]
    terms = [_alone(base, spec)] if base else []
    terms += [f"{show_number(defaults[scale.name])} x {_alone(scale.amount, spec)}" for scale in scales]
    chosen = ", ".join(f"{name} {show_number(value)}" for name, value in defaults.items())
    text = f"With the default ({chosen}) {subject} comes to at least {show_exact(first, spec)}"
    text += f" = {' + '.join(terms)}"
    return text + (f" (recommended: at least {show_exact(better[0], spec)})" if better else "") + "."


def _worked_in(one: Scalar | Items, names: Names) -> list[str]:
    """What every amount of a condition comes to with the defaults."""
    if isinstance(one, Scalar):
        subject = phrases.of_reading(one.record.name, one.record.value).subject
        return [_worked(one.requirement, names, subject)]
    subjects = [phrases.of_key(one.record.name, key.name, key.spec).subject for key in one.keys]
    return [_worked(key, names, f"the {word}") for key, word in zip(one.keys, subjects, strict=True)]


# -- conditions


def _guards(one: Scalar, names: Names) -> str:
    if not one.guards:
        return ""
    clauses = [of_scalar(guard, names) for guard in one.guards]
    return f"It can be met only where {', and '.join(clauses)}."


def _adds(one: Scalar) -> str:
    if one.adds is False:
        return "Where several products share the PC, this is not added to theirs."
    if one.adds or one.record.adds:
        return "Where several products share the PC, this amount is added to those of the other products."
    return ""


def scalar_sentence(one: Scalar, names: Names) -> str:
    """A condition on one reading."""
    modal = "must" if one.requirement.required else "should"
    text = _limited(_titled(of_scalar(one.requirement, names, modal), one.meta), one.meta, names)
    more = (_guards(one, names), *_worked_in(one, names), _adds(one))
    return " ".join(filter(None, (_sentence(text), *more)))


def _number(number: int) -> str:
    return "one" if number == 1 else "no" if number == 0 else str(number)


def _how_many(low: int | None, high: int | None) -> str:
    if high == 0:
        return "no"
    if low is not None and low == high:
        return f"exactly {_number(low)}"
    bounds = [f"at least {_number(low)}"] if low is not None else []
    bounds += [f"at most {_number(high)}"] if high is not None else []
    return " and ".join(bounds)


def _described(one: Items, names: Names) -> tuple[str, bool]:
    """The items a table asks for, and whether it asks for several."""
    advised = one.meta.advised
    low = one.better_minimum if advised else one.minimum
    high = one.better_maximum if advised else one.maximum
    several = (high if high is not None else low or 1) != 1 and high != 0
    text = f"{_how_many(low, high)} {phrases.of_items(one.record.name, several)}"
    if not advised and (one.better_minimum is not None or one.better_maximum is not None):
        text += f" (recommended: {_how_many(one.better_minimum, one.better_maximum)})"
    keys = [of_key(one.record.name, key, names, several, advised) for key in one.keys]
    return f"{text} {listed(keys, 'and')}".strip(), several


def _shares(one: Items) -> bool:
    """Whether a table leaves items to others that it would claim if it did not say otherwise."""
    low = one.better_minimum if one.meta.advised else one.minimum
    return one.record.exclusive and low is not None and not one.claims


def _own(one: Items) -> str:
    return "Other rows may be served by the same items." if _shares(one) else ""


def items_sentence(one: Items, names: Names) -> str:
    """A condition on the items of a list."""
    text, _ = _described(one, names)
    text = f"there {'should' if one.meta.advised else 'must'} be {text}"
    text = _limited(_titled(text, one.meta), one.meta, names)
    return " ".join(filter(None, (_sentence(text), *_worked_in(one, names), _own(one))))


# -- alternatives


def any_of_sentence(one: AnyOf, names: Names) -> str:
    """What stands above alternatives."""
    lead = "one of these must hold" if len(one.alternatives) > 1 else "this must hold"
    text = _limited(lead, one.meta, names)
    return f"{text[:1].upper()}{text[1:]}:"


def _clause(one: Scalar | Items, beside: Alternative, names: Names) -> str:
    if isinstance(one, Items):
        described, several = _described(one, names)
        text = f"there {'are' if several else 'is'} {described}"
        text += " that may serve others as well" if _shares(one) else ""
        advised = one.meta.advised
    else:
        text = of_scalar(one.requirement, names)
        advised = not one.requirement.required
    text = _titled(text, one.meta) + (" (advised only)" if advised else "")
    where = only_where(one.meta.when, names)
    text += f" ({where})" if where else ""
    loose = _loose_guards(one, beside)
    return f"{text} (of a PC where {', and '.join(of_scalar(g, names) for g in loose)})" if loose else text


def _loose_guards(one: Scalar | Items, beside: Alternative) -> list[Requirement]:
    """Readings that must be pinned down and that the alternative does not require anyway."""
    if isinstance(one, Items):
        return []
    asked = {c.record.name for c in beside.conditions if isinstance(c, Scalar) and c.requirement.required}
    return [guard for guard in one.guards if guard.name not in asked]


def _about(one: Scalar | Items) -> str:
    return one.meta.title or one.record.value.title


def _way(one: Alternative, names: Names) -> Way:
    clauses = [_clause(condition, one, names) for condition in one.conditions]
    text = listed(clauses, "and", "; ")
    where = only_where(one.meta.when, names)
    text = f"{where}: {text}" if where else text
    text = f"{one.meta.title}: {text}." if one.meta.title else _sentence(text)
    worked = [word for condition in one.conditions for word in _worked_in(condition, names)]
    text = " ".join(filter(None, (text, *worked)))
    notes = [*notes_of(one.meta)]
    for condition in one.conditions:
        notes += notes_of(condition.meta, _about(condition))
    return Way(text, tuple(notes), one.meta.profile, one.meta.line)


def ways_of(one: AnyOf, names: Names) -> tuple[Way, ...]:
    """The alternatives, in written order."""
    return tuple(_way(alternative, names) for alternative in one.alternatives)


# -- what is no condition


def arrangement_sentence(one: WantedArrangement, names: Names) -> str:
    """Something people must have ready."""
    text = f"{quoted(one.meta.title)} ({one.kind}) must be ready {one.needed}"
    text += f"; getting it takes {one.lead_time}" if one.lead_time else ""
    text += f"; the {one.measured.quantity} measured must be {one.measured.says()}" if one.measured else ""
    return _sentence(_limited(text, one.meta, names))


def parameter_sentence(one: Parameter) -> str:
    """A number the lab chooses."""
    kind = "a whole number" if one.whole else "a number"
    top = f" to {show_number(one.maximum)}" if one.maximum is not None else " up"
    unit = f" {one.unit}" if one.unit else ""
    title = f"{quoted(one.title)} ({one.name})" if one.title else one.name
    return (
        f"The lab chooses {title}: {kind} from {show_number(one.minimum)}{top}{unit}. "
        f"Where it chooses nothing, this is {show_number(one.default)}{unit}."
    )


def option_sentence(one: Option, first: int, last: int) -> str:
    """An option and the rows that choosing it adds."""
    rows = f"rows {first} to {last}" if last > first else f"row {first}" if last == first else "no row"
    title = f"{quoted(one.title)} ({one.name})" if one.title else one.name
    return f"The lab may choose {title}. Only where it does, this adds {rows}."
