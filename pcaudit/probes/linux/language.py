"""Language, locale and decimal separator of the session, and the system's default."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Host

READINGS = ("os.language", "os.locale", "os.decimal_separator")
"""What this module reads."""

# systemd: locale.conf(5); Debian: update-locale(8).
_DEFAULTS = ("/etc/locale.conf", "/etc/default/locale")
# glibc, locale.h: LC_NUMERIC_MASK; langinfo.h: RADIXCHAR.
_LC_NUMERIC_MASK, _RADIXCHAR = 1 << 1, 0x10000


class _Setting(NamedTuple):
    """A locale name, and where it is set."""

    name: str
    source: str


def radix(name: str) -> str | None:
    """The decimal separator of an installed locale, from the C library's own data.

    Args:
        name: Locale name such as ``de_DE.UTF-8``.

    Returns:
        The separator, or None where that locale is not installed. The process's own locale is
        not touched, since other threads use it.
    """
    import ctypes

    library = ctypes.CDLL(None)
    library.newlocale.restype = ctypes.c_void_p
    library.newlocale.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_void_p)
    library.nl_langinfo_l.restype = ctypes.c_char_p
    library.nl_langinfo_l.argtypes = (ctypes.c_int, ctypes.c_void_p)
    library.freelocale.argtypes = (ctypes.c_void_p,)
    locale = library.newlocale(_LC_NUMERIC_MASK, name.encode(), None)
    if not locale:
        return None
    try:
        text: bytes = library.nl_langinfo_l(_RADIXCHAR, locale)
        return text.decode("utf-8", "replace") or None
    finally:
        library.freelocale(locale)


def _system_default(host: Host, category: str) -> _Setting | None:
    for file in _DEFAULTS:
        pairs = (line.partition("=") for line in reads.text(host.tree, file).splitlines())
        values = {key.strip(): value.strip().strip("\"'") for key, _, value in pairs}
        for variable in ("LC_ALL", category, "LANG"):
            if values.get(variable):
                return _Setting(values[variable], f"{variable} in {file}")
    return None


def _setting(host: Host, category: str) -> _Setting | None:
    """What is in force; POSIX, Base Definitions 8.2: LC_ALL, then the category, then LANG."""
    default = _system_default(host, category)
    for variable in ("LC_ALL", category, "LANG"):
        name = host.environ.get(variable, "")
        if name:
            other = f"; the system's default is {default.name} ({default.source})" if default else ""
            return _Setting(name, f"{variable} of this session{other}")
    return default and _Setting(default.name, f"{default.source}; this session sets none")


def _is_posix(name: str) -> bool:
    """Whether this is the C locale, whose separator POSIX defines (Base Definitions 7.3.4)."""
    return name.partition(".")[0] in {"C", "POSIX"}


def _language(host: Host) -> Observation:
    setting = _setting(host, "LC_MESSAGES")
    if setting is None or _is_posix(setting.name):
        name = setting.name if setting else "C"
        return unknown(f"no language is set (locale {name}): set one, for example with localectl")
    # GNU gettext manual, "The LANGUAGE variable": it goes before all others outside the C locale.
    first = host.environ.get("LANGUAGE", "").partition(":")[0]
    chosen = first or setting.name
    source = f"LANGUAGE, {setting.source}" if first else setting.source
    language = chosen.partition(".")[0].partition("@")[0].partition("_")[0].casefold()
    if not (language.isalpha() and language.isascii() and 2 <= len(language) <= 3):
        return unknown(f"{chosen!r} names no language of ISO 639")
    return known(language, source)


def _locale(host: Host) -> Observation:
    setting = _setting(host, "LC_NUMERIC")
    if setting is None:
        return known("C", "no locale is set; POSIX: then it is the C locale")
    return known(setting.name, setting.source)


def _separator(locale: Observation, ask: Callable[[str], str | None]) -> Observation:
    name = locale.value
    if _is_posix(name):
        return known(".", f"locale {name}, as POSIX defines it")
    try:
        sign = ask(name)
    except (OSError, AttributeError) as error:
        return unknown(f"the C library cannot be asked about locale {name}: {error}")
    if sign is None:
        return unknown(f"locale {name} is set but not installed: install it, or set one that is (locale -a)")
    return known(sign, f"LC_NUMERIC data of locale {name}")


def probe(host: Host, ask: Callable[[str], str | None] | None = None) -> Observations:
    """Language, locale and decimal separator. ``ask`` gives the separator of a locale."""
    locale = _locale(host)
    return {
        "os.language": _language(host),
        "os.locale": locale,
        "os.decimal_separator": _separator(locale, ask or host.separator or radix),
    }
