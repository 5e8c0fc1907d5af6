"""The smallest set of changes with which a PC passes.

Plans are tried in the order of what they cost: fewest parts, of equally many the cheaper ones,
then those that leave the way to the site's network alone, then fewest settings, then those on
adapters that are not in use. From a plan that is not enough every way to mend one of its shortfalls leads
on, so the first plan that is enough is the smallest of those known here. The PC is judged anew
under every plan: nothing is taken for mended that was not judged to be.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence
from datetime import date
from heapq import heappop, heappush
from itertools import count
from typing import Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.choose import Asked
from pcaudit.core.concessions import Concession, Judged
from pcaudit.core.context import Context
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.evaluate import judge_all
from pcaudit.core.hypothesis import Plan, World, realise
from pcaudit.core.prices import Prices
from pcaudit.core.profile import AnyOf
from pcaudit.core.repairs import Move, Now, moves
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Snapshot
from pcaudit.core.uplinks import CUTS, leads_out, use

LIMIT: Final = 250
"""Plans tried for one PC at most; a profile whose alternatives lead further is said to be so."""

_LIMIT_ALONE: Final = 60
"""Plans tried to see whether one shortfall can be mended at all."""

_MOST_PARTS: Final = 12
"""Parts of a plan at most: beyond, the PC is not one to mend."""

_MOST_STEPS: Final = 100
"""Steps gone straight on at most, where there are too many ways to try them all."""

Cost = tuple[int, int, int, int, int, int]
"""Parts, of those without a price, sum of the prices in hundredths, settings by which the PC may be
cut off from its site, settings, and how much the adapters they are on are in use."""


class Question(NamedTuple):
    """What is judged, of which PC.

    Attributes:
        asked: The profiles, with what was chosen of each.
        snapshot: Of the PC as it is.
        knowledge: As it is judged with.
        concessions, on: As it is judged with.
        prices: Of parts; None where there are none.
    """

    asked: Sequence[Asked]
    snapshot: Snapshot
    knowledge: Knowledge
    concessions: Sequence[Concession] = ()
    on: date | None = None
    prices: Prices | None = None


class Trial(NamedTuple):
    """A plan, the PC under it, and what every condition then comes to."""

    plan: Plan
    world: World
    judged: tuple[Judged, ...]

    def ids(self, verdict: Verdict) -> frozenset[str]:
        """Ids of what decides the outcome and comes to a verdict."""
        return frozenset(one.id for one in self.judged if one.binding and one.result.verdict is verdict)


class Found(NamedTuple):
    """The smallest plan found.

    Attributes:
        trial: The plan and the PC under it.
        before: The PC as it is.
        hopeless: Ids of what no plan mends.
        together: Ids that can be mended each, but not with the others.
        searched: Every plan that may be smaller was tried.
    """

    trial: Trial
    before: Trial
    hopeless: tuple[str, ...]
    together: tuple[str, ...]
    searched: bool


def _pending(trial: Trial, given_up: Collection[str], doubtful: Collection[str] | None) -> list[Judged]:
    """What a plan leaves to be mended, in the order it is asked."""
    return [
        one
        for one in trial.judged
        if one.binding
        and (
            (one.result.verdict is Verdict.UNMET and one.id not in given_up)
            or (
                one.result.verdict is Verdict.UNVERIFIED
                and doubtful is not None
                and one.id not in doubtful
                and one.id not in given_up
            )
        )
    ]


class Search:
    """Tries plans on one PC.

    Args:
        question: What is judged, of which PC.
    """

    def __init__(self, question: Question) -> None:
        self._question = question
        self._cut_short = False
        self._trials: dict[Hashable, Trial | None] = {}
        self._listed = {
            name: len(seen.value)
            for name, seen in question.snapshot.readings.items()
            if CATALOGUE[name].value.type is Type.LIST and seen.form is Form.KNOWN
        }
        start = self.trial(Plan())
        assert start is not None, "nothing is fitted, so nothing can fail to be"
        self.start = start

    def trial(self, plan: Plan) -> Trial | None:
        """Judge the PC under a plan; None where a part of it cannot be had."""
        key = plan.key()
        if key not in self._trials:
            world = realise(plan, self._question.snapshot)
            self._trials[key] = None if world is None else self._judge(plan, world)
        return self._trials[key]

    def _judge(self, plan: Plan, world: World) -> Trial:
        question = self._question
        readings = Readings(world.snapshot, question.knowledge)
        judged, _ = judge_all(question.asked, readings, question.concessions, question.on, texts=False)
        return Trial(plan, world, tuple(judged))

    def _cost(self, plan: Plan, world: World) -> Cost:
        prices = self._question.prices
        priced = [prices.cheapest(one) if prices else None for one in world.bought.values()]
        unpriced = sum(one is None for one in priced)
        price = sum(one.price for one in priced if one)
        cuts, in_use = self._disturbed(plan)
        return len(priced), unpriced, price, cuts, len(plan.settings), in_use

    def _disturbed(self, plan: Plan) -> tuple[int, int]:
        """Settings on adapters that lead to a gateway and may end that, and how much is in use."""
        adapters = self._question.snapshot.get("network.adapters")
        on = [
            (adapters.value[one.item], one.key)
            for one in plan.settings.values()
            if one.reading == "network.adapters" and one.item is not None
        ]
        cuts = sum(key in CUTS and leads_out(adapter) for adapter, key in on)
        return cuts, sum(use(adapter) for adapter, _ in on)

    def _steps(self, trial: Trial, pending: Sequence[Judged], strict: bool) -> list[Plan]:
        """Plans that go one step further, of which one is on the way to every plan that is enough."""
        question = self._question
        readings = Readings(trial.world.snapshot, question.knowledge)
        contexts = [Context(readings, one.parameters, one.options) for one in question.asked]
        now = Now(
            trial.plan, trial.judged, contexts, trial.world.snapshot, question.knowledge, self._listed, strict
        )
        ways = [moves(one, now) for one in pending]
        if not all(ways):
            return []
        forced = [way[0] for way in ways if len(way) == 1]
        # One thing more may serve several conditions, so such are added singly; what only changes
        # or replaces something is asked for by each condition in any case.
        changing = [step for step in forced if len(step(trial.plan).parts) == len(trial.plan.parts)]
        if changing:
            return self._made([changing], trial.plan)
        if forced:
            return self._made([forced[:1]], trial.plan)
        return self._made([[one] for one in min(ways, key=len)], trial.plan)

    @staticmethod
    def _made(ways: Sequence[Sequence[Move]], plan: Plan) -> list[Plan]:
        made = []
        for steps in ways:
            after = plan
            for step in steps:
                after = step(after)
            if after != plan and len(after.parts) <= _MOST_PARTS:
                made.append(after)
        return made

    def smallest(
        self, given_up: Collection[str], doubtful: Collection[str] | None, limit: int
    ) -> Trial | None:
        """The smallest plan after which nothing that matters is unmet.

        Args:
            given_up: Ids that need not be met.
            doubtful: Ids that need not be known to be met, what was unverified before included;
                None for all.
            limit: Plans tried at most.
        """
        number = count()
        queue: list[tuple[Cost, int, Plan, World]] = [
            ((0, 0, 0, 0, 0, 0), next(number), Plan(), self.start.world)
        ]
        seen: set[Hashable] = set()
        while queue:
            _, _, plan, world = heappop(queue)
            if not limit:
                self._cut_short = True
                return self._straight_on(plan, world, given_up, doubtful)
            limit -= 1
            trial = self._judge(plan, world)
            pending = _pending(trial, given_up, doubtful)
            if not pending:
                return trial
            for after in self._steps(trial, pending, doubtful is not None):
                if after.key() in seen:
                    continue
                seen.add(after.key())
                world_after = realise(after, self._question.snapshot)
                if world_after is not None:
                    heappush(queue, (self._cost(after, world_after), next(number), after, world_after))
        return None

    def _straight_on(
        self, plan: Plan, world: World, given_up: Collection[str], doubtful: Collection[str] | None
    ) -> Trial | None:
        """A plan that is enough, from one on the way, by the step that costs least each time."""
        for _ in range(_MOST_STEPS):
            trial = self._judge(plan, world)
            pending = _pending(trial, given_up, doubtful)
            if not pending:
                return trial
            steps = [
                (self._cost(after, made), number, after, made)
                for number, after in enumerate(self._steps(trial, pending, doubtful is not None))
                if (made := realise(after, self._question.snapshot)) is not None
            ]
            if not steps:
                return None
            _, _, plan, world = min(steps)
        return None

    def _alone(self, name: str) -> Search:
        """A search for one shortfall, as if nothing else were asked."""
        wanted = {one.condition.id for one in self.start.judged if one.id == name}
        asked = [
            each._replace(conditions=tuple(one for one in each.conditions if one.id in wanted))
            for each in self._question.asked
        ]
        return Search(self._question._replace(asked=asked))

    def _sorted(self) -> tuple[tuple[str, ...], frozenset[str]]:
        """Ids that no plan mends, and those that are not known to be met under any."""
        unmet = self.start.ids(Verdict.UNMET)
        hopeless, doubtful = [], set(self.start.ids(Verdict.UNVERIFIED))
        for name in dict.fromkeys(one.id for one in self.start.judged if one.id in unmet):
            alone = self._alone(name)
            if alone.smallest((), (), _LIMIT_ALONE) is not None:
                continue
            if alone.smallest((), None, _LIMIT_ALONE) is not None:
                doubtful.add(name)
            else:
                hopeless.append(name)
            self._cut_short |= alone._cut_short
        return tuple(hopeless), frozenset(doubtful)

    def run(self) -> Found:
        """The smallest plan, with what no plan mends."""
        hopeless, doubtful = self._sorted()
        found = self.smallest(hopeless, doubtful, LIMIT) or self.smallest(hopeless, None, LIMIT)
        together: tuple[str, ...] = ()
        if found is None:
            together = tuple(sorted(self.start.ids(Verdict.UNMET) - set(hopeless)))
            found = self.start
        else:
            found = self._pruned(found, hopeless)
        return Found(found, self.start, hopeless, together, not self._cut_short)

    def _enough(self, trial: Trial | None, like: Trial, hopeless: Collection[str]) -> bool:
        """Whether a plan does no less than another."""
        if trial is None or not trial.ids(Verdict.UNMET) <= like.ids(Verdict.UNMET) | set(hopeless):
            return False
        return trial.ids(Verdict.UNVERIFIED) <= like.ids(Verdict.UNVERIFIED)

    def _pruned(self, trial: Trial, hopeless: Collection[str]) -> Trial:
        """Leave out what another change has made needless since it was planned."""
        for name in (*trial.plan.parts, *trial.plan.settings):
            tried = self.trial(trial.plan.without(name))
            if tried is not None and self._enough(tried, trial, hopeless):
                trial = tried
        return trial

    def needed_for(self, name: str, trial: Trial) -> tuple[str, ...]:
        """Ids that fall short, or cannot be known, without one change of a plan."""
        tried = self.trial(trial.plan.without(name))
        if tried is None:  # another part cannot be had without it
            return tuple(
                dict.fromkeys(one.id for one in self.start.judged if one.id in self.start.ids(Verdict.UNMET))
            )
        short = tried.ids(Verdict.UNMET) - trial.ids(Verdict.UNMET)
        short |= tried.ids(Verdict.UNVERIFIED) - trial.ids(Verdict.UNVERIFIED)
        return tuple(dict.fromkeys(one.id for one in trial.judged if one.id in short))


def reading_of(judged: Judged) -> str:
    """The reading a condition is on; of alternatives, that of their first condition."""
    condition = judged.condition
    if isinstance(condition, AnyOf):
        condition = condition.alternatives[0].conditions[0]
    return condition.record.name
