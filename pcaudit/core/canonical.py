"""The canonical form of JSON data, RFC 8785, and its digest.

Numbers of RFC 8785 are IEEE 754 doubles. A whole number beyond 2^53 is taken where a double holds
it exactly, which sizes in bytes do (they are multiples of blocks); any other is refused, because
readers would round it, and a changed last digit would not show in the digest.
"""

from __future__ import annotations

from typing import Any, Final

from pcaudit.errors import UsageError

EXACT: Final = (1 << 53) - 1
"""Largest whole number up to which a double holds every one (RFC 7493, section 2.2)."""


class NotCanonicalError(UsageError):
    """Data that has no canonical form."""


def _double(value: int) -> float:
    # Python refuses to make a float of what is beyond the largest one, and to write very long numbers.
    exact = float(value) if value.bit_length() <= 1023 else None
    if exact is None or int(exact) != value:
        shown = value if value.bit_length() < 128 else f"of {value.bit_length()} bits"
        raise NotCanonicalError(
            f"the whole number {shown} is beyond 2^53 and no double holds it: readers would round it",
            next_step="numbers are kept up to 2^53, and beyond it where a double is exact",
        )
    return exact


def _as_doubles(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _as_doubles(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_as_doubles(one) for one in value]
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > EXACT:
        return _double(value)
    return value


def canonical(data: Any) -> bytes:
    """The canonical form of parsed JSON.

    Raises:
        NotCanonicalError: A number is not finite or not exact as a double, or a text is no Unicode.
    """
    import rfc8785

    try:
        return rfc8785.dumps(data)
    except rfc8785.IntegerDomainError:
        return rfc8785.dumps(_as_doubles(data))
    except rfc8785.CanonicalizationError as error:
        raise NotCanonicalError(f"not JSON that can be kept: {error}") from None


def digest(data: Any) -> str:
    """SHA-256 of the canonical form, 64 hexadecimal digits.

    Raises:
        NotCanonicalError: As ``canonical``.
    """
    return sha256(canonical(data))


def sha256(raw: bytes) -> str:
    """SHA-256 of bytes, 64 hexadecimal digits."""
    import hashlib

    return hashlib.sha256(raw).hexdigest()


def is_digest(value: Any) -> bool:
    """Whether a value is a SHA-256 as pcaudit writes it."""
    return isinstance(value, str) and len(value) == 64 and not value.strip("0123456789abcdef")


def text_is(text: str, sha256_of_file: str) -> bool:
    """Whether a file with this text may have this SHA-256.

    The text of a file stands without the byte-order mark and as Unicode, so each encoding that
    pcaudit reads is tried.
    """
    # In its own name and byte order, for Python writes UTF-16 in the PC's.
    encodings = (("", "utf-8"), ("\ufeff", "utf-8"), ("\ufeff", "utf-16-le"), ("\ufeff", "utf-16-be"))
    try:
        return any(sha256((mark + text).encode(code)) == sha256_of_file for mark, code in encodings)
    except UnicodeEncodeError:
        return False
