"""The amounts behind a finding, for drawing it to scale.

A report says what is required in words; amounts in them are exact (``wording.show_exact``), so
they are read back from the words. What does not read back whole is drawn without a scale.
"""

from __future__ import annotations

import re
from typing import Final

from pcaudit.core import units
from pcaudit.core.catalogue import CATALOGUE, Property
from pcaudit.core.conditions import AMOUNTS
from pcaudit.core.report import Finding
from pcaudit.render.gauge_svg import Level

# "60 GB (55.9 GiB)": what is in brackets is the same amount in the other way of counting.
_AMOUNT: Final = r"([0-9.e+]+(?: [A-Za-z/%]+)?)(?: \([0-9.]+ [KMGTP]?i?B\))?"
# A comma would begin a second condition on the same reading.
_WORDS: Final = rf"at least {_AMOUNT}(?: = [^,]*?)?(?: \({_AMOUNT} recommended\))?"


def _amount(text: str | None, spec: Property) -> float | None:
    if text is None:
        return None
    try:
        found = units.parse(text, spec.kind) if spec.kind else float(text)
    except ValueError:
        return None
    return None if isinstance(found, str) else float(found)


def level_of(finding: Finding) -> Level | None:
    """What was found beside what is asked, in base units.

    Returns:
        None where the finding is not about an amount with a minimum that binds or is advised with
        something beyond it, or where not every amount is known.
    """
    record = CATALOGUE.get(finding.id)
    if record is None or record.value.type not in AMOUNTS or isinstance(finding.value, bool):
        return None
    if not isinstance(finding.value, int | float):
        return None
    words = re.fullmatch(_WORDS, finding.required)
    if words is None:
        return None
    minimum, recommended = _amount(words[1], record.value), _amount(words[2], record.value)
    if not minimum or (words[2] and recommended is None):
        return None
    return Level(float(finding.value), minimum, recommended)


def ratio_words(level: Level) -> str:
    """How many times the minimum was found, never rounded up: "0.40 times the minimum"."""
    if level.found >= 10 * level.minimum:
        return f"{int(level.found // level.minimum)} times the minimum"
    hundredths = int(level.found * 100 // level.minimum)
    return f"{hundredths // 100}.{hundredths % 100:02} times the minimum"
