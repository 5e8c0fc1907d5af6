"""Several profiles as one set of questions.

What a base, an option and another product ask of the same reading are all conditions on it. The
same item id in a base and an option means the same items; in two products it means two items.
"""

from __future__ import annotations

from collections.abc import Sequence
from posixpath import basename
from typing import NamedTuple

from pcaudit.core.choose import Asked
from pcaudit.core.conditions import FORMS, Test
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.profile import ALWAYS, Condition, Items, Scalar, When
from pcaudit.core.truth import Truth
from pcaudit.core.wording import show_exact


class Question(NamedTuple):
    """Everything asked under one id.

    Attributes:
        id: Of the finding.
        asked: Each condition with the number of the product that asks it.
    """

    id: str
    asked: tuple[tuple[int, Condition], ...]


def stem(path: str) -> str:
    """A profile's file name without folder and ending."""
    name = basename(path.replace("\\", "/"))
    return name.removesuffix(".toml") or "profile"


def _prefixes(asked: Sequence[Asked]) -> list[str]:
    """A word for each product, no two alike."""
    words: list[str] = []
    for one in asked:
        word = stem(one.profile.path)
        number = 2
        while word in words:
            word, number = f"{stem(one.profile.path)}-{number}", number + 1
        words.append(word)
    return words


def questions(asked: Sequence[Asked]) -> list[Question]:
    """What is asked, by the id of the finding it makes, in written order.

    Args:
        asked: The products, with what was chosen of each.
    """
    users: dict[str, set[int]] = {}
    for number, one in enumerate(asked):
        for condition in one.conditions:
            if isinstance(condition, Items):
                users.setdefault(condition.id, set()).add(number)
    prefixes = _prefixes(asked)
    found: dict[str, list[tuple[int, Condition]]] = {}
    for number, one in enumerate(asked):
        for condition in one.conditions:
            name = condition.id
            if len(users.get(name, ())) > 1:
                name = f"{prefixes[number]}/{name}"
            found.setdefault(name, []).append((number, condition))
    return [Question(name, tuple(conditions)) for name, conditions in found.items()]


def _tighter(first: int | None, second: int | None, highest: bool) -> int | None:
    if first is None or second is None:
        return second if first is None else first
    return max(first, second) if highest else min(first, second)


def merged(tables: Sequence[Items]) -> Items:
    """Tables about the same items as one: every key of each, the tightest counts.

    It is limited to where each of them is asked.
    """
    whole = tables[0]
    for table in tables[1:]:
        whole = whole._replace(
            keys=whole.keys + table.keys,
            minimum=_tighter(whole.minimum, table.minimum, highest=True),
            maximum=_tighter(whole.maximum, table.maximum, highest=False),
            better_minimum=_tighter(whole.better_minimum, table.better_minimum, highest=True),
            better_maximum=_tighter(whole.better_maximum, table.better_maximum, highest=False),
            claims=whole.claims or table.claims,
            meta=table.meta if whole.meta.advised else whole.meta,
        )
    requirements = tuple(one for table in tables for one in table.meta.when.requirements)
    options = tuple(one for table in tables for one in table.meta.when.options)
    return whole._replace(meta=whole.meta._replace(when=When(requirements, options)))


def _minimum(condition: Scalar, advised: bool) -> float | None:
    tests = condition.requirement.tests(advised)
    found = [test.operand for test in tests if test.form is FORMS["minimum"]]
    return max(found) if found else None


class Sum(NamedTuple):
    """The minimums of several products added up.

    Attributes:
        whole: Of every product that asks, or may ask.
        sure: Of those only that are known to ask; None where fewer than two do.
        why: Why others may ask or not; empty where none does.
    """

    whole: Scalar
    sure: Scalar | None
    why: str


def summed(conditions: Sequence[tuple[int, Scalar, Context]]) -> Sum | None:
    """The minimums of several products added up, where that is what the reading needs.

    Args:
        conditions: On one reading, each with its product and what it is judged in.

    Returns:
        Conditions that ask for the sum; None where fewer than two products add to it.
    """
    sure, all_ = [], []
    doubts: list[tuple[Scalar, str]] = []
    for number, condition, context in conditions:
        about = applies(condition.meta.when, context)
        if about.truth is Truth.FALSE:
            continue
        ready = condition._replace(requirement=resolve(condition.requirement, context))
        all_.append((number, ready))
        if about.truth is Truth.TRUE:
            sure.append((number, ready))
        else:
            doubts.append((ready, about.why))
    joined = added(all_)
    whole = _sum(joined)
    if whole is None:
        return None
    parts = [condition for _, condition in joined]
    return Sum(whole, _sum(added(sure)), next((why for one, why in doubts if one in parts), ""))


def added(conditions: Sequence[tuple[int, Scalar]]) -> list[tuple[int, Scalar]]:
    """Those of several conditions on one reading whose minimums are added up over products.

    What one product says of its own amount holds for those of the others too, unless they say
    otherwise: it needs its amount beside theirs.
    """
    said = any(condition.adds or _by_nature(condition) for _, condition in conditions)
    return [(number, one) for number, one in conditions if one.adds or (one.adds is None and said)]


def _by_nature(condition: Scalar) -> bool:
    return condition.adds is None and condition.record.adds


def _sum(conditions: Sequence[tuple[int, Scalar]]) -> Scalar | None:
    required: dict[int, float] = {}
    wished: dict[int, float] = {}
    doubts: dict[str, None] = {}
    last = None
    for number, settled in conditions:
        need, wish = _minimum(settled, False), _minimum(settled, True)
        if wish is None:
            continue
        last = settled
        required[number] = max(required.get(number, 0), need or 0)
        wished[number] = max(wished.get(number, 0), wish)
        if settled.requirement.unsettled:
            doubts[settled.requirement.unsettled] = None
    if last is None or len(wished) < 2:
        return None
    spec = last.requirement.spec
    need, wish = sum(required.values()), sum(wished.values())
    minimum = FORMS["minimum"]
    requirement = last.requirement._replace(
        required=(Test(minimum, need),) if need else (),
        advised=(Test(minimum, wish),) if wish > need else (),
        arithmetic=" + ".join(show_exact(part, spec) for part in required.values() if part) if need else "",
        unsettled="; ".join(doubts),
    )
    title = f"{last.meta.title or last.record.value.title}, for {len(wished)} products together"
    meta = last.meta._replace(title=title, because="every product needs its own", remedy="", when=ALWAYS)
    return last._replace(requirement=requirement, meta=meta, digest="")
