"""Finding and replacing what identifies a PC or a person in a text."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache, partial
from typing import Final, NamedTuple

from pcaudit.core.pseudonyms import PREFIX, pseudonym
from pcaudit.core.redact_words import COMMON, ROLES

_ANYWHERE: Final = 5
"""Letters from which a name is replaced inside longer words too."""

_SHORTEST: Final = 3
"""Letters below which a name would be found in every sentence; it is replaced where it is a value."""

_PART: Final = 4
"""Letters from which a part of a name ("altplatz" of "LAB2-ALTPLATZ-03") is a name of its own."""

_OF_PART: Final = "name"
"""The kind of a pseudonym for a part of a name."""

_ALONE: Final = (_OF_PART, "contact", "place")
"""Kinds that are replaced as whole words only."""

_BEGINS: Final = r"(?:(?<![^\W_])|(?<=\\[nrt]))"
"""Before a word; in a TOML text its line may be broken by an escape sequence."""

_MAC: Final = (
    r"(?:[0-9a-f]{2}([:-])(?:[0-9a-f]{2}\1){4}[0-9a-f]{2}"
    r"|[0-9a-f]{4}\.[0-9a-f]{4}\.[0-9a-f]{4}|[0-9a-f]{12})"
)
_IPV4: Final = r"(?<![0-9.])(?<![0-9]-)(?:[0-9]{1,3}[.-]){3}[0-9]{1,3}(?![0-9]|[.-][0-9])"
_IPV6: Final = (
    r"(?<![0-9a-z:.])[0-9a-f]{0,4}(?::[0-9a-f]{0,4}){2,7}"
    r"(?:(?<=:)(?:[0-9]{1,3}\.){3}[0-9]{1,3})?(?![0-9a-z:])"
)
_ARPA: Final = r"(?:[0-9a-f]{1,3}\.){4,32}(?:in-addr|ip6)\.arpa"
_IN_FOLDER: Final = (
    r"([\\/](?:users|home|documents and settings|media|run/media)[\\/])"
    r"([^\\/:*?\"<>|,;()]{1,64}(?=[\\/])|[^\\/:*?\"<>|,;()\s]{1,64})"
)
_UNC: Final = r"(?<![\\/:\w])(?:\\\\|//)([^\\/?.\s][^\\/\s]*)(?=[\\/])"
_SID: Final = r"S-1-(?:5-21|12-1)(?:-[0-9]+){3,5}"
MAIL: Final = r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+"
_UNITS: Final = (".service", ".socket", ".timer", ".mount", ".target", ".slice", ".scope", ".path")
"""Ends of the names of units, man page systemd.unit(5)."""

_GUID: Final = r"Volume\{[0-9a-f-]{36}\}"


@cache
def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(text, re.I)


# -- names


def normal(kind: str, text: str) -> str:
    """One form for everything that means the same: of names the case does not count."""
    if kind == "mac":
        return re.sub("[^0-9a-f]", "", text.casefold())
    if kind == "ip":
        return _address(text) or text.casefold()
    return text.strip().casefold()


def _address(text: str) -> str:
    """An address in its canonical form; empty where it is none."""
    import ipaddress

    try:
        return str(ipaddress.ip_address(text.partition("%")[0].partition("/")[0]))
    except ValueError:
        return ""


def is_public_knowledge(address: str) -> bool:
    """Whether an address is every PC's own: loopback (127.0.0.1, ::1) or unspecified (0.0.0.0, ::)."""
    import ipaddress

    one = ipaddress.ip_address(address)
    return one.is_loopback or one.is_unspecified


def addresses_in(text: str) -> Iterator[str]:
    """IP addresses in a text, in their canonical form, those that every PC has left out."""
    for found in (*_pattern(_IPV4).finditer(text), *_pattern(_IPV6).finditer(text)):
        address = _address(found[0].replace("-", ".") if ":" not in found[0] else found[0])
        if address and not is_public_knowledge(address):
            yield address


def parts(name: str) -> list[str]:
    """What a name is put together from, as far as that names anybody by itself."""
    found = [part for part in re.split(r"[\W_]+", name) if len(part) >= _PART]
    return [part for part in found if part.casefold() not in COMMON | ROLES and not _is_year(part)]


def _is_year(part: str) -> bool:
    """Whether it is a short number, such as stands in every date."""
    return part.isdigit() and len(part) <= _PART


class Names(NamedTuple):
    """What is to be replaced.

    Attributes:
        key: For the pseudonyms.
        words: Names by their normal form, each with its pseudonym.
        addresses: IP and MAC addresses known to be this PC's or its network's, in normal form.
    """

    key: bytes
    words: dict[str, str]
    addresses: set[str]

    def add(self, kind: str, text: str) -> str:
        """Note a name, its parts, and the addresses in it.

        Returns:
            Its pseudonym.
        """
        whole = normal(kind, text)
        made = self.words.get(whole) or pseudonym(self.key, kind, whole)
        if len(whole) >= _SHORTEST and whole not in COMMON and not (kind == "user" and whole in ROLES):
            self.words.setdefault(whole, made)
        self.addresses.update(addresses_in(text))
        for part in parts(text):
            small = part.casefold()
            told = made if small == whole else pseudonym(self.key, _OF_PART, small)
            # "Weiss" is another word than "weiß" where nothing is folded.
            for form in (small, part.lower()):
                self.words.setdefault(form, told)
        return made

    def add_phrase(self, kind: str, text: str) -> None:
        """Note a text that is replaced as it stands, as whole words, and not by its parts."""
        whole = normal(kind, text)
        if len(whole) >= _SHORTEST and whole not in COMMON | ROLES:
            for form in (whole, text.strip().lower()):
                self.words.setdefault(form, pseudonym(self.key, kind, whole))

    def add_address(self, kind: str, text: str) -> str:
        """Note an IP or MAC address.

        Returns:
            Its pseudonym, the length of a prefix kept; the text itself for loopback addresses.
        """
        whole = normal(kind, text)
        if kind == "ip":
            if not _address(text):
                return self.add("host", text)
            if is_public_knowledge(whole):
                return text
        self.addresses.add(whole)
        slash, length = text.partition("/")[1:] if kind == "ip" else ("", "")
        return pseudonym(self.key, kind, whole) + slash + length

    def replacer(self, *, whole: bool = False) -> Callable[[str, bool], str]:
        """How to replace all of it; see ``_replace``.

        Args:
            whole: Leave parts of names: what a thing is called may be such a word by itself.
        """
        words = self._compiled(whole)
        return lambda text, free: _replace(text, self, words, free)

    def _compiled(self, whole: bool) -> re.Pattern[str] | None:
        forms = {
            form: made
            for word, made in self.words.items()
            if not (whole and _kind(made) in _ALONE)
            for form in (word, word.upper(), word.lower())
        }
        if not forms:
            return None
        longest_first = sorted(forms, key=lambda form: (-len(form), form))
        return re.compile("|".join(_word(form, forms[form]) for form in longest_first), re.I)


def _kind(made: str) -> str:
    """What a pseudonym stands for."""
    return made.removeprefix(PREFIX).partition("-")[0]


def _word(form: str, made: str) -> str:
    inside = re.escape(form)
    # Parts of names are often words: "office" of OFFICE-PC-7 is not to be found in other products.
    alone = _kind(made) in _ALONE
    return inside if len(form) >= _ANYWHERE and not alone else rf"{_BEGINS}{inside}(?![^\W_])"


# -- learning names from texts

# What probes say of people and networks in a reason or a source, where no reading holds the name.
_TOLD: Final = (
    ("user", r"\brun as ([^,;]+?)(?=,| where |$)"),
    ("user", r", but ([^,;]+?) is signed in"),
    ("user", r"owner of /dev/console: ([^,;]+)"),
    ("user", r"(?<=; screen sharing is not seen), not ([^,;]+)|owner of /dev/console: [^,;]+, not ([^,;]+)"),
    ("user", r"only for other users are not seen: ([^;]+)"),
    ("domain", r"\bworkgroup ([^,;]+)"),
    ("domain", r"NetGetJoinInformation ([^,;:]+)"),
    ("domain", r"Samba is set up for ([^,;]+)"),
)
_COMMON_FOLDERS: Final = COMMON | {"all users", "cdrom"}
_ITEM: Final = r", | and (?=[0-9]+ more)"


def learn(text: str, names: Names) -> None:
    """Note the names that a reason, a source or a path gives away."""
    for user in _folders(text):
        names.add("user", user)
    for server in _pattern(_UNC).finditer(text):
        names.add_address("ip", server[1])
    for kind, pattern in _TOLD:
        for match in _pattern(pattern).finditer(text):
            told = next(group for group in match.groups() if group)
            for one in re.split(_ITEM, told):
                if not re.fullmatch(r"[0-9]+ more", one) and not _pattern(_IN_FOLDER).search(one):
                    names.add(kind, one.rpartition("\\")[2] or one)
                    _add_before(one, names)


def learn_listed(text: str, names: Names) -> None:
    """Note what the name of a program or service gives away by its form.

    Of addresses only those of networks that are not public (RFC 1918, RFC 4193 and others of IANA's
    registries): others look like versions.
    """
    import ipaddress

    # As whole words only: a share of the server "files" must not take the word out of "profiles".
    for user in _folders(text):
        names.add_phrase(_OF_PART, user)
    for server in _pattern(_UNC).finditer(text):
        if _address(server[1]):
            names.add_address("ip", server[1])
        else:
            names.add_phrase(_OF_PART, server[1])
    for found in (*_pattern(_SID).finditer(text), *_pattern(MAIL).finditer(text)):
        if not _is_unit(found[0]):
            names.add_phrase("user", found[0])
    for address in addresses_in(text):
        if ipaddress.ip_address(address).is_private:
            names.add_address("ip", address)


def _is_unit(text: str) -> bool:
    """Whether it is an instance of a unit (getty@tty1.service), written like a mail address."""
    return text.casefold().endswith(_UNITS)


def _add_before(account: str, names: Names) -> None:
    r"""The domain of ``DOMAIN\user``."""
    domain, backslash, _ = account.rpartition("\\")
    if backslash and domain:
        names.add("domain", domain)


def _folders(text: str) -> Iterable[str]:
    """Names of users in paths to their folders."""
    for match in _pattern(_IN_FOLDER).finditer(text):
        if match[2].strip() and match[2].casefold() not in _COMMON_FOLDERS:
            yield match[2].strip()


# -- replacing


def _replace(text: str, names: Names, words: re.Pattern[str] | None, free: bool) -> str:
    """Replace what identifies.

    Args:
        text: Any text.
        names: What is known.
        words: The names, compiled.
        free: Also addresses, accounts and mail addresses that are not known: right for reasons
            and sources, wrong where "1.2.3.4" is a version.
    """
    if free:
        for kind, pattern in (("user", _SID), ("user", MAIL), ("volume", _GUID)):
            text = _pattern(pattern).sub(partial(_made, names, kind), text)
        text = _pattern(_IN_FOLDER).sub(lambda match: _for_folder(match, names), text)
    text = _addresses(text, names, free)
    if words is None:
        return text
    return words.sub(lambda match: _for_word(match, names), text)


def _made(names: Names, kind: str, found: re.Match[str]) -> str:
    return found[0] if _is_unit(found[0]) else pseudonym(names.key, kind, found[0].casefold())


def _for_folder(match: re.Match[str], names: Names) -> str:
    name = match[2].strip()
    # A pseudonym may stand there already: the mail address before it, say.
    if not name or name.casefold() in _COMMON_FOLDERS or PREFIX in name:
        return match[0]
    return match[1] + names.add("user", name)


def _for_word(match: re.Match[str], names: Names) -> str:
    # What is a pseudonym already stays one, though a name may be "redacted" or look like its digits.
    if _inside_pseudonym(match):
        return match[0]
    return names.words.get(match[0].casefold()) or names.words.get(match[0].lower()) or match[0]


def _inside_pseudonym(match: re.Match[str]) -> bool:
    start = match.string.rfind(PREFIX, 0, match.end() + len(PREFIX))
    if start < 0:
        return False
    made = re.match(rf"{PREFIX}[a-z]+-[0-9a-f]{{12}}", match.string[start:])
    return made is not None and start < match.end() and match.start() < start + made.end()


def _addresses(text: str, names: Names, free: bool) -> str:
    text = _pattern(rf"(?<![0-9a-z.])(?:{_ARPA})").sub(lambda m: _for_arpa(m[0], names, free), text)
    text = _pattern(rf"(?<![0-9a-f]){_MAC}(?![0-9a-f])").sub(lambda m: _for_mac(m, names, free), text)
    text = _pattern(_IPV6).sub(lambda m: _for_ip(m[0], names, free), text)
    return _pattern(_IPV4).sub(lambda m: _for_ip(m[0], names, free), text)


def _for_mac(match: re.Match[str], names: Names, free: bool) -> str:
    plain = normal("mac", match[0])
    separated = match[1] is not None or "." in match[0]
    if plain in names.addresses or (free and separated and not _inside_pseudonym(match)):
        return pseudonym(names.key, "mac", plain)
    return match[0]


def _for_ip(found: str, names: Names, free: bool) -> str:
    plain = _address(found if ":" in found else found.replace("-", "."))
    dashed = ":" not in found and "-" in found
    if not plain or is_public_knowledge(plain):
        return found
    if plain in names.addresses or (free and not dashed):
        return pseudonym(names.key, "ip", plain)
    return found


def _for_arpa(found: str, names: Names, free: bool) -> str:
    labels = found.split(".")[:-2][::-1]
    plain = _address(".".join(labels) if len(labels) == 4 else ":".join(map("".join, _fours(labels))))
    if plain and (free or plain in names.addresses):
        return pseudonym(names.key, "ip", plain)
    return found


def _fours(labels: list[str]) -> list[list[str]]:
    return [labels[i : i + 4] for i in range(0, len(labels), 4)]
