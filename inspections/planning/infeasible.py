"""When not everything can be on time: who is late at least, which demands contradict each other,
and what would free them. Needs OR-Tools.

The cheap answer comes first (`calendar_proof`, in hundredths of a second). What it cannot see is
asked of the model: the fewest late days at all; the smallest set of demands that cannot all hold,
each proven needed by solving without it; and what one more dark half-day, person or examiner's
day would buy, by solving again with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from inspections.planning.calendar_proof import NoDay, calendar_proof, half_days_in_the_way
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import Group, groups_of
from inspections.planning.hand_out import hand_out
from inspections.planning.house import Competence, House, Person
from inspections.planning.model import YearModel
from inspections.planning.model_resources import (
    EXAMINERS,
    LOCKS,
    ORDER,
    PEOPLE,
    RULES,
    ZONES,
    add_resources,
)
from inspections.planning.outcome import Options
from inspections.planning.solver import minimise
from inspections.planning.wording import counted_words, day_words, slot_words

RULE_WORDS = {
    EXAMINERS: "an examiner's day holds only so many hours",
    ZONES: "two zones never share a half-day",
    ORDER: "the order of work on a day",
    PEOPLE: "the hours of people",
    LOCKS: "the tasks that are locked",
}
MOST_GAINS = 6


@dataclass(frozen=True)
class Least:
    """The fewest item-days late, what is proven of it, and who carries them."""

    late_days: int
    bound: int
    late: dict[str, int]


@dataclass(frozen=True)
class Gain:
    """A change of the house and the late days that are left with it."""

    words: str
    late_before: int
    late_after: int


@dataclass(frozen=True)
class Contradiction:
    """Why a house cannot be on time, and what frees it."""

    no_days: tuple[NoDay, ...]
    least: Least
    reasons: tuple[str, ...]
    reasons_are_minimal: bool
    gains: tuple[Gain, ...]


def explain(house: House, options: Options) -> Contradiction | None:
    """Nothing when all can be on time; else the three layers and the gains."""
    no_days = tuple(calendar_proof(house))
    least = least_late(house, options, options.seconds * 0.2)
    if not least.late_days:
        return None
    reasons, minimal = smallest_reasons(house, options, options.seconds * 0.3)
    gains = tuple(gains_of(house, no_days, least, options, options.seconds * 0.5))
    return Contradiction(no_days, least, reasons, minimal, gains)


def least_late(house: House, options: Options, seconds: float) -> Least:
    """The fewest late item-days of any plan found, and the proven least."""
    groups, capacity = groups_of(house), Capacity(house)
    year = add_resources(YearModel(house, groups, capacity))
    start = cheapest_fit(house, groups, capacity)
    solved = minimise(year, year.late, seconds, options, None, start)
    first = evaluate(house, start)
    if solved.value is None:
        return Least(first.late_days, max(0, solved.bound), first.late)
    found = evaluate(house, hand_out(house, groups, solved.counts))
    best = min(first, found, key=lambda judged: judged.rank[:2])
    return Least(best.late_days, max(0, solved.bound), best.late)


# -- the smallest set of reasons -------------------------------------------------------------------
Demand = tuple[str, int]
"""("on time", group number) or (a rule of the house, 0)."""


def smallest_reasons(
    house: House, options: Options, seconds: float
) -> tuple[tuple[str, ...], bool]:
    """Demands that cannot all hold while any one less can, in words; and whether that is proven.

    The solver's own core may be none or too large, so it is only where the search begins.
    """
    groups = groups_of(house)
    core = _core(house, groups, options, seconds / 4)
    if core is None:
        return (), False
    kept, proven = list(core), True
    for demand in core:
        rest = [other for other in kept if other != demand]
        possible = _possible(house, groups, rest, options, seconds / (2 * len(core)))
        if possible is False:
            kept = rest
        proven = proven and possible is not None
    return tuple(_words(groups, demand) for demand in kept), proven


def _core(
    house: House, groups: Sequence[Group], options: Options, seconds: float
) -> list[Demand] | None:
    """Some demands that cannot all hold; None if that is not proven in the time."""
    year = add_resources(YearModel(house, groups, Capacity(house)))
    literals: dict[int, int] = {}
    for group in groups:
        literal = year.cp.new_bool_var(f"on time {group.number}")
        _on_time(year, group.number, literal)
        literals[literal.index] = group.number
        year.cp.add_assumption(literal)
    solver = _feasibility(options, seconds)
    if solver.solve(year.cp) != cp_model.INFEASIBLE:
        return None
    named = [
        literals[i] for i in solver.sufficient_assumptions_for_infeasibility() if i in literals
    ]
    numbers = named or [group.number for group in groups]
    return [("on time", number) for number in numbers] + [(rule, 0) for rule in RULES]


def _on_time(year: YearModel, number: int, literal: cp_model.IntVar | None) -> None:
    terms = year.late_of[number]
    row = year.cp.add(terms.expression() <= 0)
    if literal is not None:
        row.only_enforce_if(literal)


def _possible(
    house: House,
    groups: Sequence[Group],
    demands: Sequence[Demand],
    options: Options,
    seconds: float,
) -> bool | None:
    """Whether a plan keeps all of these demands; None: not known in the time."""
    rules = {name for name, _ in demands}
    without = frozenset(rule for rule in RULES if rule not in rules)
    numbers = {number for name, number in demands if name == "on time"}
    asked = [group for group in groups if group.number in numbers or LOCKS in rules]
    year = add_resources(YearModel(house, asked, Capacity(house)), without)
    for number in sorted(numbers):
        _on_time(year, number, None)
    status = _feasibility(options, seconds).solve(year.cp)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return True
    return False if status == cp_model.INFEASIBLE else None


def _feasibility(options: Options, seconds: float) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = options.seed
    solver.parameters.max_memory_in_mb = options.memory_mb
    solver.parameters.max_deterministic_time = max(0.5, seconds)
    solver.parameters.max_time_in_seconds = max(2.0, 3 * seconds)
    return solver


def _words(groups: Sequence[Group], demand: Demand) -> str:
    name, number = demand
    if name != "on time":
        return RULE_WORDS[name]
    group = next(group for group in groups if group.number == number)
    plan = group.pattern
    needs = sorted(plan.access) + ([f"examiner ({plan.examiner})"] if plan.examiner else [])
    asked = f", which needs {', '.join(needs)}" if needs else ""
    whose = plan.key if group.size == 1 else f"{plan.kind} ({group.size} of them)"
    return f"{whose} on time{asked}"


# -- what would free it ----------------------------------------------------------------------------
def gains_of(
    house: House, no_days: Sequence[NoDay], least: Least, options: Options, seconds: float
) -> Iterator[Gain]:
    """Solve again with one thing more, the best first; what buys nothing is left out."""
    changes = list(_changes(house, no_days, least))[:MOST_GAINS]
    found = []
    for words, changed in changes:
        after = least_late(changed, options, seconds / len(changes)).late_days
        if after < least.late_days:
            found.append(Gain(words, least.late_days, after))
    yield from sorted(found, key=lambda gain: (gain.late_after, gain.words))


def _changes(house: House, no_days: Sequence[NoDay], least: Least) -> Iterator[tuple[str, House]]:
    """One dark half-day, one examiner's day, one person more."""
    yield "one more person on every half-day", _one_more_person(house)
    for no_day in sorted(no_days, key=lambda no_day: -no_day.late_days):
        for slot in half_days_in_the_way(house, no_day)[:1]:
            yield f"a dark half-day on {slot_words(house, slot)}", _dark(house, no_day.plan, slot)
        trade = house.plan_of[no_day.plan].examiner
        if trade and no_day.last_day >= 0:
            day = min(no_day.last_day, house.days - 1)
            words = f"examiner ({trade}) on {day_words(house, day)}"
            yield words, _examiner_day(house, trade, day)


def _dark(house: House, plan: str, slot: int) -> House:
    access = list(house.access)
    access[slot] = access[slot] | frozenset(a for p in house.plans for a in p.access)
    return replace(house, access=tuple(access))


def _examiner_day(house: House, trade: str, day: int) -> House:
    examiner = house.examiners[trade]
    more = replace(examiner, arranged=examiner.arranged | {day})
    return replace(house, examiners={**house.examiners, trade: more})


def _one_more_person(house: House) -> House:
    names = sorted({need.competence for plan in house.plans for need in plan.needs})
    every = tuple(Competence(name, 0, house.days) for name in names)
    person = Person("one more", every, (16,) * house.slots)
    return replace(house, people=(*house.people, person))


def summary(house: House, contradiction: Contradiction) -> str:
    """The whole in a few sentences."""
    late = counted_words(contradiction.least.late_days, "item-day")
    lines = [f"Not everything can be on time: at least {late} late in the best plan found."]
    lines += [no_day.words for no_day in contradiction.no_days]
    if contradiction.reasons:
        lines.append("These cannot all hold: " + "; ".join(contradiction.reasons) + ".")
    lines += [
        f"With {gain.words}: {counted_words(gain.late_after, 'item-day')} late."
        for gain in contradiction.gains
    ]
    return "\n".join(lines)
