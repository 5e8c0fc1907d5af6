"""Pseudonyms: what stands in a redacted document where a name or an address stood.

A pseudonym is made with a key (HMAC, RFC 2104, with SHA-256) and not by a bare digest: serial
numbers, host names and addresses are few enough to be tried one by one.
"""

from __future__ import annotations

from typing import Any, Final

PREFIX: Final = "redacted-"
"""What every pseudonym begins with, so that nobody takes one for the real value."""

WHY: Final = "the value was redacted: assess the snapshot as it was taken"
"""Why a condition on a redacted value cannot be judged."""

_DIGITS: Final = 12  # 48 bits: two of a million names collide with a chance of 1 in 500


def pseudonym(key: bytes, kind: str, text: str) -> str:
    """The pseudonym of a text: the same for the same key, kind and text.

    Args:
        key: Secret bytes.
        kind: What it names: host, user, serial, mac, ip, domain, proxy, name.
        text: In one form for everything that means the same.

    Returns:
        For example ``redacted-host-3f9a2c1b04de``.
    """
    import hmac

    digest = hmac.digest(key, f"{kind}\0{text}".encode("utf-8", "surrogatepass"), "sha256")
    return f"{PREFIX}{kind}-{digest.hex()[:_DIGITS]}"


def is_redacted(value: Any) -> bool:
    """Whether a text, or one of a list of texts, has a pseudonym in it.

    Nothing can be said of what such a value is or is not: an exclusion would always be met.
    """
    if isinstance(value, str):
        return PREFIX in value
    return isinstance(value, list) and any(isinstance(one, str) and PREFIX in one for one in value)
