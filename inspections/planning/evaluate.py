"""Judges a plan from the house alone. Pure.

It shares no code with the model, the greedy or the search (only the calendar's own rule of when
an interval falls due), so that their mistakes are found and not repeated. A fault is something no
plan may have; lateness and cost are what plans are compared by.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from inspections.planning.chain import Chain, walk
from inspections.planning.house import PER_DAY, House, Task
from inspections.planning.rules import rule_faults
from inspections.planning.staffing import people_needed, staff_half_day


@dataclass(frozen=True)
class Evaluation:
    """What a plan is worth. Days are item-days: two plans a day late are two."""

    faults: tuple[str, ...]
    late_days: int
    late: dict[str, int]
    moved: int
    cost: int
    level: int
    visit_days: int
    set_up_count: int
    overtime_quarters: int
    over_target_quarters: int
    tight_days: int
    executions: int
    parts: dict[str, int] = field(default_factory=dict)

    @property
    def rank(self) -> tuple[int, int, int, int, int]:
        """Smaller is better: nothing wrong, late, moved, cost, level."""
        return (len(self.faults), self.late_days, self.moved, self.cost, self.level)


def evaluate(house: House, tasks: Iterable[Task]) -> Evaluation:
    """Every rule and every price of the house, applied to the plan."""
    planned = sorted(set(tasks), key=lambda task: (task.slot, task.plan))
    by_slot = _by_slot(house, planned)
    own = _own(planned)
    chains = [walk(house, plan, own[plan.key]) for plan in house.plans]
    overtime, short = _people(house, by_slot)
    parts = _money(house, planned, by_slot, chains, overtime)
    over_target, tight = _over_target(house, by_slot), sum(chain.tight for chain in chains)
    cost = sum(parts.values())
    return Evaluation(
        faults=(*rule_faults(house, planned, by_slot), *(f for c in chains for f in c.faults), *short),
        late_days=sum(chain.late for chain in chains),
        late={chain.plan: chain.late for chain in chains if chain.late},
        moved=len(house.agreed - set(planned)),
        cost=cost,
        level=over_target + tight,
        visit_days=len(_visits(house, by_slot)),
        set_up_count=sum(_set_ups(house, by_slot).values()),
        overtime_quarters=overtime,
        over_target_quarters=over_target,
        tight_days=tight,
        executions=len(planned),
        parts=parts,
    )  # fmt: skip


def _own(planned: list[Task]) -> dict[str, list[Task]]:
    """The tasks of each plan, in their order."""
    found: dict[str, list[Task]] = defaultdict(list)
    for task in planned:
        found[task.plan].append(task)
    return found


def _by_slot(house: House, planned: list[Task]) -> dict[int, list[Task]]:
    """The tasks at work in each half-day; a long task is in several."""
    found: dict[int, list[Task]] = defaultdict(list)
    for task in planned:
        if task.plan in house.plan_of:
            for slot in range(task.slot, task.slot + house.plan_of[task.plan].duration):
                found[slot].append(task)
    return found


def _visits(house: House, by_slot: dict[int, list[Task]]) -> set[tuple[str, int]]:
    return {
        (house.plan_of[task.plan].examiner, slot // 2)
        for slot, tasks in by_slot.items()
        for task in tasks
        if house.plan_of[task.plan].examiner
    }


def _set_ups(house: House, by_slot: dict[int, list[Task]]) -> Counter[str]:
    """How often each set-up is made."""
    made = set()
    for slot, tasks in by_slot.items():
        for key in {key for task in tasks for key in house.plan_of[task.plan].set_ups}:
            made.add((key, slot // 2 if house.set_ups[key].per == PER_DAY else slot))
    return Counter(key for key, _ in made)


def _people(house: House, by_slot: dict[int, list[Task]]) -> tuple[int, list[str]]:
    """Overtime in quarter-hours, and where people are missing."""
    overtime, faults = 0, []
    for slot, tasks in sorted(by_slot.items()):
        if slot >= house.slots:
            continue
        staffed = staff_half_day(house, slot, people_needed(house, tasks))
        overtime += staffed.overtime
        if staffed.missing:
            faults.append(f"half-day {slot}: {staffed.missing} quarter-hours of people are missing")
    return overtime, faults


def _over_target(house: House, by_slot: dict[int, list[Task]]) -> int:
    """Quarter-hours beyond the week's target."""
    if not house.week_target:
        return 0
    weeks: Counter[int] = Counter()
    for slot, tasks in by_slot.items():
        weeks[slot // 14] += sum(n.quarters for t in tasks for n in house.plan_of[t.plan].needs)
    return sum(max(0, work - house.week_target) for work in weeks.values())


def _money(
    house: House,
    planned: list[Task],
    by_slot: dict[int, list[Task]],
    chains: list[Chain],
    overtime: int,
) -> dict[str, int]:
    """What the plan costs, by what it is paid for."""
    made = _set_ups(house, by_slot)
    known = [house.plan_of[task.plan] for task in planned if task.plan in house.plan_of]
    return {
        "tasks": sum(plan.price for plan in known),
        "used validity": sum(chain.used for chain in chains),
        "early": sum(chain.early * house.plan_of[chain.plan].early_price for chain in chains),
        "examiners": sum(house.examiners[trade].day_fee for trade, _ in _visits(house, by_slot)),
        "set-ups": sum(house.set_ups[key].price * count for key, count in made.items()),
        "overtime": overtime * house.overtime_price,
    }
