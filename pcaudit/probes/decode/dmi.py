"""What SMBIOS texts and codes mean: which texts are none, what a chassis code is, dates."""

from __future__ import annotations

import re
from datetime import date

# What firmware makers leave in fields nobody filled in. Common practice, no source.
_PLACEHOLDERS = frozenset(
    text.strip()
    for text in """
    to be filled by o.e.m. | to be filled by oem | to be filled | to be set by oem | filled by oem
    default string | default_string | default | $(default_string) | no asset tag | no serial number
    system manufacturer | system product name | system serial number | system version | system name
    chassis manufacture | chassis manufacturer | chassis serial number | base board serial number
    not specified | not applicable | not available | not defined | not provided | not settable | not set
    n/a | na | none | null | unknown | unspecified | undefined | invalid | empty | sample | oem | o.e.m.
    product name | serial number | serial | sys vendor | all series | oem_serial | sernum0
    type1family | type1productconfigid | type1sku0
    0123456789 | 123456789 | 1234567890 | 012345678 | 01234567890123456789 | 12345678 | 1234567 | 123456
    """.replace("\n", "|").split("|")
)

_MANY = 4  # signs that make one sign repeated a filler; common practice, no source

_CHASSIS = {
    # DMTF DSP0134 (SMBIOS Reference Specification), table "System Enclosure or Chassis Types".
    "desktop": {3, 4, 5, 6, 7, 13, 15, 16, 24, 35, 36},
    "laptop": {8, 9, 10, 14, 31, 32},
    "server": {17, 23, 28, 29},
    "other": {1, 11, 12, 18, 19, 20, 21, 22, 25, 26, 27, 30, 33, 34},
}


def meaningful(text: str) -> str:
    """The text of a firmware field, or an empty text where it is only a placeholder.

    Args:
        text: As the firmware gives it.

    Returns:
        The text without outer white space; empty for "To be filled by O.E.M." and its like, for
        one sign repeated, and for texts without a letter or digit.
    """
    text = text.strip()
    folded = " ".join(text.casefold().split())
    if folded in _PLACEHOLDERS or not any(sign.isalnum() for sign in folded):
        return ""
    # Points are kept, and short texts too: 1.1 and 2.2.2 are versions.
    repeated = len(folded) >= _MANY and len(set(folded) - set(" -_:")) == 1
    return "" if repeated else text


def chassis(code: int) -> str:
    """Form of a PC from its SMBIOS chassis type.

    Args:
        code: Type byte; its top bit (a lock is present) does not matter.

    Returns:
        desktop, laptop, server or other; empty for 2 (unknown) and codes no standard defines.
    """
    code &= 0x7F
    return next((word for word, codes in _CHASSIS.items() if code in codes), "")


def iso_date(text: str) -> str:
    """ISO 8601 form of a firmware date.

    Args:
        text: ``MM/DD/YYYY``, as DMTF DSP0134 has it (BIOS Information, type 0).

    Returns:
        ``YYYY-MM-DD``; empty for anything else. Two-digit years, which the standard puts into
        1900 to 1999, are not believed: firmware of this century writes them too.
    """
    match = re.fullmatch(r"(\d{2})/(\d{2})/(\d{4})", text.strip(), re.ASCII)
    if not match:
        return ""
    try:
        return date(int(match[3]), int(match[1]), int(match[2])).isoformat()
    except ValueError:
        return ""
