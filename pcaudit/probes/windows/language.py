"""Language, locale and decimal separator of the account that probes."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.host import Host

READINGS = ("os.language", "os.locale", "os.decimal_separator")
"""What this module reads."""

# Formats of services and of accounts not yet made.
_SERVICES = r"HKU\.DEFAULT\Control Panel\International"
# Set by OpenSSH in every session it starts, sshd(8).
_SSH = "SSH_CONNECTION"
# What Windows may call the domain of an account that is signed in to by its address. From memory.
_ONLINE = "microsoftaccount"


def _is_same(own: str, signed_in: str) -> bool:
    domain, _, user = signed_in.casefold().rpartition("\\")
    if domain == _ONLINE:
        return own.casefold().rpartition("\\")[2] == user
    return own.casefold() == signed_in.casefold()


def _other_account(host: Host) -> str:
    """Why these are not the settings of who works here, or an empty text.

    A program started as administrator under another account sees that account's settings, and one
    that a service starts sees a service's.
    """
    own, signed_in = ask(host.system.account), ask(host.system.session_account)
    if own.value is None or signed_in.value is None:
        return f"who is signed in is not known: {own.why or signed_in.why}"
    if not signed_in.value and not host.environ.get(_SSH):
        return f"run as {own.value} where nobody is signed in: run it as the user of the instrument"
    if signed_in.value and not _is_same(own.value, signed_in.value):
        return f"run as {own.value}, but {signed_in.value} is signed in: run it as that user"
    return ""


def _language(host: Host) -> Observation:
    source = "GetUserPreferredUILanguages"
    answer = ask(host.system.user_languages)
    if not answer.value:
        return unknown(answer.why or f"{source} gave no language")
    first = answer.value[0]
    language = first.partition("-")[0].casefold()
    if not (language.isalpha() and language.isascii() and 2 <= len(language) <= 3):
        return unknown(f"{first!r} names no language of ISO 639")
    system = ask(host.system.system_languages).value
    other = f"; before anybody signs in {system[0]}" if system and system[0] != first else ""
    return known(language, f"{source} {first}{other}")


def _locale(host: Host) -> Observation:
    source = "GetUserDefaultLocaleName"
    answer = ask(host.system.locale_name)
    if not answer.value:
        return unknown(answer.why or f"{source} gave no name")
    services = reads.text(host.registry, _SERVICES, "LocaleName")
    other = f"; services have {services}" if services and services != answer.value else ""
    return known(answer.value, f"{source}{other}")


def _separator(host: Host) -> Observation:
    source = "GetLocaleInfoEx LOCALE_SDECIMAL"
    answer = ask(host.system.decimal_separator)
    if not answer.value:
        return unknown(answer.why or f"{source} gave none")
    services = reads.text(host.registry, _SERVICES, "sDecimal")
    other = f"; services have {services} (registry {_SERVICES}\\sDecimal)"
    return known(answer.value, source + (other if services and services != answer.value else ""))


def probe(host: Host) -> Observations:
    """Language, locale and decimal separator."""
    if reason := _other_account(host):
        return reads.all_unknown(READINGS, reason)
    readings = (_language(host), _locale(host), _separator(host))
    return dict(zip(READINGS, readings, strict=True))
