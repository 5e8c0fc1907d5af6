"""What arrangements, and the parts of a plan, come to together."""

from __future__ import annotations

from collections.abc import Iterable

from pcaudit.core.finding import Arrangement, Outcome, Verdict, all_of
from pcaudit.core.plan.section import Section

_OUTCOMES = {Verdict.UNMET: Outcome.NOT_READY, Verdict.UNVERIFIED: Outcome.INCONCLUSIVE}


def arrangements_outcome(arrangements: Iterable[Arrangement], sections: Iterable[Section] = ()) -> Outcome:
    """Not ready with anything unmet, else inconclusive with anything open or unverified, else ready.

    Args:
        arrangements: With their verdicts; one without was not asked and does not count.
        sections: Parts of a plan; of their findings those that bind count.
    """
    verdicts = [one.verdict for one in arrangements if one.verdict is not None]
    verdicts += [one.verdict for section in sections for one in section.findings if one.binding]
    return _OUTCOMES.get(all_of(verdicts), Outcome.READY)
