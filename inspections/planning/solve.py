"""Plans a year: nothing late, then nothing agreed moved, then cost, then level weeks.

Needs OR-Tools, which brings numpy and pandas: import this module where a plan is made, not at
the start of the program.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from functools import partial

from inspections.planning.anew import PlanningAnew
from inspections.planning.annealing.search import LocalSearch, stop_after
from inspections.planning.bound_by_parts import lost
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit, repaired
from inspections.planning.groups import groups_of
from inspections.planning.hand_out import Counts, hand_out
from inspections.planning.house import House, Task, refuse_impossible
from inspections.planning.large_house import is_large, search_and_prove
from inspections.planning.late_alone import late_laid_anew
from inspections.planning.late_at_first import late_at_first
from inspections.planning.model import Terms, YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import (
    COST,
    LATE,
    LEVEL,
    MOVED,
    STAGES,
    Listener,
    Options,
    Outcome,
    Progress,
    Stage,
)
from inspections.planning.proof_aside import Asked, ProofAside
from inspections.planning.same_rows import numbers_of
from inspections.planning.solver import NO_BOUND, minimise

SHARES = {
    "search": 0.22,
    "search again": 0.12,
    LATE: 0.2,
    MOVED: 0.15,
    "whole": 0.1,
    "agreed": 0.5,
    "polish": 0.07,
    LEVEL: 0.05,
}
"""How much of the time that is left each step may use; the level step's is kept back for it."""
PROOF_ENDS = 1.0
"""Seconds before the end at which the proof is asked to end."""
PATIENCE = 0.1
"""The share of the time after which a search that finds no better plan leaves its core to the
proof."""
AT_FIRST_SECONDS = 20.0
STEPS_A_SECOND = 20_000
LEAST_STARTS, MOST_STARTS, SECONDS_A_PLAN = 4, 12, 0.025
"""Searches from the same plan, and how long each takes for each inspection plan of the house: where
one ends is luck, and the best of many short ones is better than one that goes on."""
SMALL = 4_000
"""Variables of a model that is solved to the end at once."""


def plan_year(house: House, options: Options, listener: Listener | None = None) -> Outcome:
    """The best plan found in the time, with what is proven about it."""
    refuse_impossible(house)
    return _Planning(house, options, listener).run()


class _Planning:
    """The plan in hand and the clock."""

    def __init__(self, house: House, options: Options, listener: Listener | None) -> None:
        self.began = time.monotonic()
        self.house, self.options, self.listener = house, options, listener
        self.groups, self.capacity = groups_of(house), Capacity(house)
        self.tasks: tuple[Task, ...] = ()
        self.judged: Evaluation | None = None
        self.repaired: list[Task] = []
        self.found: list[list[Task]] = []
        self.first_seconds = 0.0
        self.aim = LATE
        self.bounds = dict.fromkeys(STAGES, 0)
        self.proof: ProofAside | None = None
        self.budget = options.seconds
        self.searched = False

    def run(self) -> Outcome:
        try:
            self._start()
            if is_large(self.groups) and not self.options.repeatable:
                self._large()
            else:
                self._whole()
        finally:
            if self.proof:
                self.proof.stop()
        assert self.judged is not None
        return Outcome(
            self.tasks, self.judged, self._stages(), self.first_seconds, self._elapsed()
        )  # fmt: skip

    def _stages(self) -> tuple[Stage, ...]:
        return tuple(
            Stage(aim, self._value(aim), min(self.bounds[aim], self._value(aim))) for aim in STAGES
        )

    def _whole(self) -> None:
        """One model of the house, aim after aim."""
        year = add_resources(YearModel(self.house, self.groups, self.capacity))
        if self._searches_first(year):
            self._search()
        if self.house.agreed and not self.options.repeatable:
            self._keep_agreed(year)
        # Windows without any usable half-day make late days that no plan can avoid.
        self._stage(year, LATE, year.late, year.late.constant)
        year.cp.add(year.late.expression() <= self._value(LATE))
        self._stage(year, MOVED, year.moved, lost(self.house, self.groups))
        year.cp.add(year.moved.expression() <= self._value(MOVED))
        self._cost(year)
        if self.budget > 0 and year.level.vars:
            year.cp.add(year.whole_cost().expression() <= self._value(COST))
        self._level(year)
        self._wait_for_proof()

    def _large(self) -> None:
        """No model of the whole: the search goes on while the parts are relaxed."""
        at_first = self._late_at_first()
        self.aim = COST
        search = LocalSearch(
            self.house, self.groups, self.capacity, self.tasks, self.options.seed
        )  # fmt: skip
        self._spend(0)
        late, moved = self._value(LATE), self._value(MOVED)
        asked = Asked(self.house, late, moved, max(1.0, self.budget))
        hear = partial(self._proven, COST)
        proven = search_and_prove(asked, search, self.offer, hear)
        self.bounds |= {MOVED: lost(self.house, self.groups)} | proven
        self.bounds[LATE] = max(self.bounds[LATE], at_first)

    def _late_at_first(self) -> int:
        """Late days taken out of the first weeks, where most are; how many are proven."""
        if not self._value(LATE):
            return 0
        seconds = min(AT_FIRST_SECONDS, self._allow(LATE))
        found = late_at_first(self.house, self.tasks, self.options, seconds)
        if found is None:
            return 0
        self.offer(found.tasks)
        return found.bound

    # -- the start -----------------------------------------------------------------------------
    def _start(self) -> None:
        """The agreed plan, both greedy plans, and the search from the better of those."""
        for make in (earliest_fit, cheapest_fit):
            self.offer(make(self.house, self.groups, self.capacity))
            self.first_seconds = self.first_seconds or self._elapsed()
        if late := self.judged.late if self.judged else {}:
            here = (self.house, self.groups, self.capacity)
            self.offer(late_laid_anew(*here, self.tasks, late))
        if self.house.agreed:
            self.repaired = repaired(self.house, self.groups, self.capacity)
            self.offer(self.repaired)

    def _searches_first(self, year: YearModel) -> bool:
        """Else the search goes on while the other core proves the bound."""
        late = self._value(LATE) > year.late.constant
        return bool(self.house.agreed) or self.options.repeatable or late

    def _search(self) -> None:
        self.searched = True
        # The first one may have to be compiled, which is no time of the search.
        LocalSearch(self.house, self.groups, self.capacity, self.tasks, self.options.seed)
        self._spend(0)
        whole = self._allow("search again" if self.house.agreed else "search")
        starts = round(whole / (SECONDS_A_PLAN * len(self.house.plans)))
        starts = min(max(starts, LEAST_STARTS), MOST_STARTS)
        seconds = whole / starts
        steps = round(seconds * STEPS_A_SECOND) if self.options.repeatable else 10**9
        begun = self.tasks
        for start in range(starts):
            seed = self.options.seed * MOST_STARTS + start
            found = LocalSearch(self.house, self.groups, self.capacity, begun, seed)
            over = None if self.options.repeatable else stop_after(seconds)
            self.found.append(found.run(steps, over))
            self.offer(self.found[-1])
            self._spend(seconds)

    def _keep_agreed(self, year: YearModel) -> None:
        """What stayed of the agreed plan, its late days taken away by moving few: weeks anew."""
        judged, weight = evaluate(self.house, self.repaired), len(self.house.agreed) + 1
        both = Terms()
        both.take(year.moved)
        both.constant += weight * year.late.constant
        for var, days in zip(year.late.vars, year.late.weights, strict=True):
            both.add(var, weight * days)
        value = weight * judged.late_days + judged.moved
        least = weight * year.late.constant + lost(self.house, self.groups)
        anew = PlanningAnew(year, both, self.repaired, value, self.options.seed, paid=False)
        anew.run(
            self._allow(MOVED),
            lambda counts: self.offer(hand_out(self.house, self.groups, counts)),
            least,
        )
        self._spend(0)

    def offer(self, tasks: Iterable[Task]) -> None:
        """Keep a plan if the evaluator finds it better, and tell whoever listens."""
        offered = tuple(sorted(tasks))
        judged = evaluate(self.house, offered)
        if self.judged is not None and judged.rank >= self.judged.rank:
            return
        self.tasks, self.judged = offered, judged
        if self.listener:
            bound = self.bounds[self.aim]
            self.listener(Progress(offered, judged, self._elapsed(), self.aim, bound))

    # -- the aims ------------------------------------------------------------------------------
    def _stage(self, year: YearModel, aim: str, terms: Terms, least: int) -> None:
        """Minimise one aim unless the plan in hand is as good as can be already."""
        self.aim = aim
        self._proven(aim, least)
        if self._value(aim) > self.bounds[aim]:
            self._minimise(year, aim, terms, self._allow(aim))

    def _cost(self, year: YearModel) -> None:
        self.aim = COST
        seconds = max(0.0, self.budget - self._allow(LEVEL))
        whole = year.whole_cost()
        if self.options.repeatable:
            self._minimise(year, COST, whole, seconds)
        else:
            # A small house, or one with few tasks that may move, is solved to the end at once.
            if len(year.cp.proto.variables) < SMALL or self.house.agreed:
                share = SHARES["agreed" if self.house.agreed else "whole"]
                self._minimise(year, COST, whole, seconds * share)
            if self._value(COST) > self.bounds[COST]:
                self._prove_and_improve(year, whole, self.budget - self._allow(LEVEL))

    def _prove_and_improve(self, year: YearModel, whole: Terms, seconds: float) -> None:
        """One core proves the bound while the other searches, then plans parts anew."""
        end = time.monotonic() + seconds
        left = self.options.seconds - self._elapsed() - PROOF_ENDS
        proof = self.proof = ProofAside(
            Asked(self.house, self._value(LATE), self._value(MOVED), max(1.0, left)),
            partial(self._proven, COST),
        )
        if not self.searched:
            self._search()
        anew = PlanningAnew(year, whole, self.tasks, self._value(COST), self.options.seed)
        patience = self.options.seconds * PATIENCE
        anew.run(
            end - time.monotonic(),
            lambda counts: self.offer(hand_out(self.house, self.groups, counts)),
            rows=lambda: proof.new_rows(numbers_of(year)),
            likely=proof.likely,
            others=sorted(self.found, key=lambda tasks: evaluate(self.house, tasks).rank),
            stalled=lambda idle: proof.could_use_more and idle > patience,
        )
        self._spend(0)
        if self.budget > 2 * self._level_seconds():
            # The search stalled: another solver has other ideas.
            self._minimise(year, COST, whole, self.options.seconds * SHARES["polish"])

    def _wait_for_proof(self) -> None:
        """What is left of the time is the proof's, on both cores, if there is anything left to
        prove."""
        if self.proof and self._value(COST) > self.bounds[COST]:
            self.proof.take_all_cores()
            self.proof.wait()

    def _proven(self, aim: str, bound: int) -> None:
        self.bounds[aim] = max(self.bounds[aim], bound)

    def _level_seconds(self) -> float:
        """No more than was kept back for it: what is left over is the proof's."""
        return min(self.budget, self.options.seconds * SHARES[LEVEL]) if self.proof else self.budget

    def _level(self, year: YearModel) -> None:
        self.aim = LEVEL
        if self._value(LEVEL) > 0 and year.level.vars:
            # Late days are short with the margin as well; they are not what is levelled.
            terms = Terms()
            terms.vars, terms.weights = list(year.level.vars), list(year.level.weights)
            terms.constant = year.level.constant - self._value(LATE)
            self._minimise(year, LEVEL, terms, self._level_seconds())

    def _minimise(self, year: YearModel, aim: str, terms: Terms, seconds: float) -> None:
        if seconds <= 0:
            return

        def found(counts: Counts, bound: int) -> None:
            self._proven(aim, bound)
            self.offer(hand_out(self.house, self.groups, counts))

        began = time.monotonic()
        solved = minimise(year, terms, seconds, self.options, found, self.tasks)
        self._proven(aim, solved.bound if solved.bound > NO_BOUND else 0)
        if solved.counts:
            self.offer(hand_out(self.house, self.groups, solved.counts))
        self._spend(seconds if self.options.repeatable else time.monotonic() - began)

    # -- time ----------------------------------------------------------------------------------
    def _value(self, aim: str) -> int:
        assert self.judged is not None
        values = {
            LATE: self.judged.late_days,
            MOVED: self.judged.moved,
            COST: self.judged.cost,
            LEVEL: self.judged.level,
        }
        return values[aim]

    def _allow(self, step: str) -> float:
        return self.budget * SHARES[step]

    def _spend(self, seconds: float) -> None:
        """In a repeatable plan time is what was allowed; else what the clock says is left."""
        if self.options.repeatable:
            self.budget -= seconds
        else:
            self.budget = self.options.seconds - self._elapsed()

    def _elapsed(self) -> float:
        return time.monotonic() - self.began
