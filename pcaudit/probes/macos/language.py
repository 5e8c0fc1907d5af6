"""Language, locale and decimal separator of the account that probes."""

from __future__ import annotations

from typing import Any

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.macos import ask, session
from pcaudit.probes.macos.host import Host

READINGS = ("os.language", "os.locale", "os.decimal_separator")
"""What this module reads."""

# defaults(1): export prints a domain as a property list; - is standard output.
_PREFERENCES = ("/usr/bin/defaults", "export", "NSGlobalDomain", "-")
# Apple, NSLocale: the separator of the account's own formats, whatever its locale would have.
_SEPARATOR = (
    *("/usr/bin/osascript", "-l", "JavaScript", "-e"),
    "ObjC.unwrap($.NSLocale.currentLocale.objectForKey($.NSLocaleDecimalSeparator))",
)
_SYMBOLS = "AppleICUNumberSymbols"  # Core Foundation, CFNumberFormatter.c; its key 0 is ICU's decimal sign


def _other_account(host: Host) -> str:
    """Why these are not the settings of who works here, or an empty text."""
    if host.uid == 0:
        return f"run as {host.user}: run it as the user of the instrument, without sudo"
    console = session.console_user(host)
    if console.value and console.value != host.user:
        return f"run as {host.user}, but {console.value} is signed in: run it as that user"
    return ""


def _language(preferences: dict[str, Any]) -> Observation:
    languages = preferences.get("AppleLanguages")
    first = languages[0] if isinstance(languages, list) and languages else None
    if not isinstance(first, str):
        return unknown("no language is set: set one in System Settings > General > Language & Region")
    language = first.partition("-")[0].casefold()
    if not (language.isalpha() and language.isascii() and 2 <= len(language) <= 3):
        return unknown(f"{first!r:.60} names no language of ISO 639")
    return known(language, f"preference AppleLanguages {first}")


def _locale(preferences: dict[str, Any]) -> Observation:
    locale = preferences.get("AppleLocale")
    if not isinstance(locale, str) or not locale.strip():
        return unknown("no region is set: set one in System Settings > General > Language & Region")
    return known(locale.strip(), "preference AppleLocale")


def _separator(host: Host, preferences: dict[str, Any]) -> Observation:
    printed = ask.text(host, _SEPARATOR)
    if printed.value is None:
        return unknown(printed.why)
    sign = printed.value.removesuffix("\n")
    if len(sign) != 1 or sign.isalnum() or sign.isspace():
        return unknown("macOS names no decimal separator: look in System Settings > Language & Region")
    symbols = preferences.get(_SYMBOLS)
    own = symbols.get("0") if isinstance(symbols, dict) else None
    if own not in (None, sign):
        return unknown(f"NSLocale says {sign} but the preference {_SYMBOLS} {own!r:.20}: sign in anew")
    return known(sign, "NSLocale decimalSeparator")


def probe(host: Host) -> Observations:
    """Language, locale and decimal separator."""
    if reason := _other_account(host):
        return ask.all_unknown(READINGS, reason)
    preferences = ask.plist(host, _PREFERENCES)
    separator = _separator(host, preferences.value or {})
    return {
        "os.language": ask.of(preferences, _language),
        "os.locale": ask.of(preferences, _locale),
        "os.decimal_separator": separator,
    }
