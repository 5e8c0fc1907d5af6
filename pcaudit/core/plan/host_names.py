"""Names of hosts: what may be one, and whether two are told apart."""

from __future__ import annotations

import re
from typing import Final

LONGEST_LABEL: Final = 63
"""Characters of one part of a name (RFC 1123, section 2.1; RFC 1035, section 2.3.4)."""

LONGEST_NAME: Final = 253
"""Characters of a whole name: 255 bytes on the wire (RFC 1035, section 2.3.4), with their lengths."""

NETBIOS: Final = 15
"""Characters of a computer name that NetBIOS carries (RFC 1001, section 14; Microsoft, Computer Names)."""

_LABEL: Final = re.compile(r"[a-z0-9](?:[a-z0-9-]*[a-z0-9])?", re.IGNORECASE | re.ASCII)


def name_problems(name: str) -> list[str]:
    """Why a text may not be the name of a host, by RFC 1123; empty where it may be one."""
    labels = name.removesuffix(".").split(".")
    found = [problem for label in labels for problem in _label_problems(label)]
    if len(name) > LONGEST_NAME:
        found.append(f"{len(name)} characters, and {LONGEST_NAME} are possible")
    if not found and labels[-1].isdigit():
        # RFC 1123, section 2.1: a name never has the form of an address.
        found.append("only digits, which reads as an address or a number")
    return list(dict.fromkeys(found))


def _label_problems(label: str) -> list[str]:
    if not label:
        return ["an empty part between points"]
    if not label.isascii():
        return ["letters other than a to z"]
    if "_" in label:
        return ["an underscore; a hyphen may stand there"]
    if label[0] == "-" or label[-1] == "-":
        return ["a hyphen at an end"]
    if not _LABEL.fullmatch(label):
        return ["characters other than letters, digits and hyphens"]
    if len(label) > LONGEST_LABEL:
        return [f"{len(label)} characters, and {LONGEST_LABEL} are possible"]
    return []


def computer_name(name: str) -> str:
    """The first part of a name, folded: by it computers are told apart within a site."""
    return name.partition(".")[0].lower()


def netbios_name(name: str) -> str:
    """What is left of a computer's name where NetBIOS cuts it, in the case it is compared in."""
    return computer_name(name)[:NETBIOS].upper()
