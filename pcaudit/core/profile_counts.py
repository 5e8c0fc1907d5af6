"""How much a profile says, counted alike wherever it is told."""

from __future__ import annotations

from pcaudit.core.profile import Profile


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def counts_words(profile: Profile) -> str:
    """What a profile holds, in words; what its options add is counted with the rest.

    Returns:
        For example ``"17 conditions, 1 arrangement, 1 parameter, 1 option"``; parameters and
        options are left out where there are none.
    """
    conditions = len(profile.conditions) + sum(len(one.conditions) for one in profile.options)
    arrangements = len(profile.arrangements) + sum(len(one.arrangements) for one in profile.options)
    texts = [_counted(conditions, "condition"), _counted(arrangements, "arrangement")]
    for number, what in ((len(profile.parameters), "parameter"), (len(profile.options), "option")):
        texts += [_counted(number, what)] if number else []
    return ", ".join(texts)
