"""What Windows answers about itself, the session, the firmware, the processors and the memory."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from pcaudit.probes.windows.calls import identity, locale, machine


class SystemCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer.

    What each gives is said at the function of its name in ``identity``, ``locale`` and ``machine``.
    """

    user_name: Callable[[], str]
    account: Callable[[], str]
    session: Callable[[], int]
    console_session: Callable[[], int]
    remote_session: Callable[[], bool]
    session_account: Callable[[], str]
    elevated: Callable[[], bool]
    host_name: Callable[[], str]
    joined: Callable[[], tuple[int, str]]
    domain_dns_name: Callable[[], str]
    tenant: Callable[[], tuple[int, str]]
    machines: Callable[[], tuple[int, int]]
    native_architecture: Callable[[], int]
    interpreter: Callable[[], str]
    version: Callable[[], bytes]
    user_languages: Callable[[], list[str]]
    system_languages: Callable[[], list[str]]
    locale_name: Callable[[], str]
    decimal_separator: Callable[[], str]
    time_zone: Callable[[], bytes]
    smbios: Callable[[], bytes]
    firmware_type: Callable[[], int]
    tpm: Callable[[], bytes]
    hypervisor: Callable[[], bytes]
    processors: Callable[[], bytes]
    active_processors: Callable[[], int]
    processor_power: Callable[[], bytes]
    processor_feature: Callable[[int], bool]
    xstate: Callable[[], int]
    installed_memory: Callable[[], int]
    memory_status: Callable[[], bytes]


def live() -> SystemCalls:
    """The calls of this PC."""
    places = (identity, locale, machine)
    found = {
        name: vars(place)[name] for place in places for name in SystemCalls._fields if name in vars(place)
    }
    return SystemCalls(**found)
