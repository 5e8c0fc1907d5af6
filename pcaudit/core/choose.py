"""What one assessment asks: profiles, and the options and parameters the lab chose."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from pcaudit.core.profile import Condition, Option, Parameter, Profile, WantedArrangement
from pcaudit.core.snapshot import Observation, known
from pcaudit.core.texts import did_you_mean
from pcaudit.core.visible import visible
from pcaudit.errors import UsageError


class Asked(NamedTuple):
    """One profile with what was chosen of it.

    Attributes:
        profile: The profile.
        conditions, arrangements: That hold always, and those of the options chosen.
        options: Names chosen that this profile offers.
        left_out: Options it offers that were not chosen.
        parameters: Values by name, as if they were read.
        given: Names of parameters that were chosen, not left at their default.
    """

    profile: Profile
    conditions: tuple[Condition, ...]
    arrangements: tuple[WantedArrangement, ...]
    options: frozenset[str]
    left_out: tuple[Option, ...]
    parameters: Mapping[str, Observation]
    given: frozenset[str]


def _range(parameter: Parameter) -> str:
    top = f"to {parameter.maximum:g}" if parameter.maximum is not None else "up"
    return f"a {'whole number' if parameter.whole else 'number'} from {parameter.minimum:g} {top}"


def _value(text: str, parameter: Parameter, others: Sequence[Parameter] = ()) -> int | float:
    """The number a text sets a parameter to; ``others`` are the same of other profiles."""
    allowed = (f"{visible(one.profile, 80)} allows {_range(one)}" for one in (parameter, *others))
    hint = "; ".join(allowed)
    setting = f"--set {parameter.name}={text:.40}"
    try:
        value = int(text) if parameter.whole else float(text)
    except ValueError:
        raise UsageError(f"{setting}: not such a number", next_step=hint) from None
    top = parameter.maximum if parameter.maximum is not None else 1e12
    if not parameter.minimum <= value <= top:  # false for not-a-number too
        raise UsageError(f"{setting}: outside the range of {visible(parameter.profile, 80)}", next_step=hint)
    return value


def _checked(profiles: Sequence[Profile], options: Iterable[str], values: Mapping[str, str]) -> None:
    offered = sorted({option.name for profile in profiles for option in profile.options})
    declared = sorted({name for profile in profiles for name in profile.parameters})
    for kind, given, there in (("option", options, offered), ("parameter", values, declared)):
        for name in given:
            if name not in there:
                hint = did_you_mean(name, there) if there else f"the profile declares no {kind}"
                raise UsageError(f"no {kind} `{name:.60}` in the profile", next_step=hint)


def ask(
    profiles: Sequence[Profile], options: Iterable[str] = (), values: Mapping[str, str] | None = None
) -> tuple[Asked, ...]:
    """Choose options and parameters of profiles.

    Args:
        profiles: At least one.
        options: Names chosen.
        values: Text of each parameter chosen, by name.

    Returns:
        What each profile asks.

    Raises:
        UsageError: No profile offers such an option or parameter, or the value is none it allows.
    """
    chosen, texts = frozenset(options), values or {}
    _checked(profiles, sorted(chosen), texts)
    _check_ranges(profiles, texts)
    return tuple(_asked(profile, chosen, texts) for profile in profiles)


def _check_ranges(profiles: Sequence[Profile], texts: Mapping[str, str]) -> None:
    """Refuse a value that one of several profiles does not allow, and say what each allows."""
    for name, text in texts.items():
        declared = {one: None for profile in profiles if (one := profile.parameters.get(name))}
        for one in declared:
            _value(text, one, [other for other in declared if other is not one])


def _asked(profile: Profile, chosen: frozenset[str], texts: Mapping[str, str]) -> Asked:
    taken = [option for option in profile.options if option.name in chosen]
    parameters = {}
    for name, parameter in profile.parameters.items():
        if name in texts:
            parameters[name] = known(_value(texts[name], parameter), f"--set {name}")
        else:
            parameters[name] = known(parameter.default, f"default in {parameter.profile}")
    arrangements = {
        one.id: one for one in (*profile.arrangements, *(a for option in taken for a in option.arrangements))
    }
    return Asked(
        profile=profile,
        conditions=(*profile.conditions, *(c for option in taken for c in option.conditions)),
        arrangements=tuple(arrangements.values()),
        options=frozenset(option.name for option in taken),
        left_out=tuple(option for option in profile.options if option.name not in chosen),
        parameters=parameters,
        given=frozenset(texts) & frozenset(profile.parameters),
    )
