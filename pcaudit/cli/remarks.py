"""Remarks on valid profiles, on standard error."""

from __future__ import annotations

from collections.abc import Iterable

from pcaudit.cli.options import remark
from pcaudit.core.profile import Profile


def _counted(number: int) -> str:
    return f"{number} remark{'s' * (number != 1)}"


def tell_remarks(profile: Profile) -> None:
    """Say what a valid profile could say better, each with its line."""
    from pcaudit.app import remarks
    from pcaudit.cli.diagnostics import SHOWN, block
    from pcaudit.cli.streams import tell
    from pcaudit.core.advice import located
    from pcaudit.core.visible import visible
    from pcaudit.files import name

    found = located(remarks(profile), profile)
    if not found:
        return
    for place, one in found[:SHOWN]:
        message = f"{visible(one.key, 120)}: {visible(one.noticed, 400)}"
        tell("\n".join(block(place, message, visible(one.better, 400))))
    shown = f", the first {SHOWN} shown" if len(found) > SHOWN else ""
    remark(False, f"{name(profile.path)}: {_counted(len(found))}, no mistake{shown}")


def count_remarks(profiles: Iterable[Profile]) -> None:
    """Say how many remarks there are on each profile, and where to read them."""
    from pcaudit.app import remarks

    for profile in profiles:
        number, path = len(remarks(profile)), profile.path
        file = f'"{path}"' if " " in path else path
        if number:
            remark(False, f"{_counted(number)} on this profile: pcaudit profile validate {file}")
