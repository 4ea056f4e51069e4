"""Why a task is where it is: its window, what shares its day, and what a week would change. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from inspections.planning.chain import next_due
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import House, Plan, Task, day_of
from inspections.planning.usable import hindrances
from inspections.planning.wording import counted_words, day_words, money_words, slot_words

WEEK = 7


@dataclass(frozen=True)
class Shared:
    """What a task shares with others on its day."""

    what: str
    others: tuple[str, ...]


@dataclass(frozen=True)
class Moved:
    """What would change if the task were done some days away, all others as they are."""

    days: int
    slot: int | None
    late_days: int
    cost: int
    faults: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class Why:
    """The reasons of one task."""

    task: Task
    opens: int
    due: int
    last_lawful: int
    window: str
    shared: tuple[Shared, ...]
    earlier: Moved
    later: Moved


def why_here(house: House, tasks: Iterable[Task], task: Task) -> Why:
    """Window, company and alternatives of one task of a plan."""
    planned = sorted(tasks)
    plan = house.plan_of[task.plan]
    opens, due, lawful = window_of(house, planned, task)
    now = evaluate(house, planned)
    return Why(
        task,
        opens,
        due,
        lawful,
        f"due {day_words(house, due)}, lawful until {day_words(house, lawful)}, "
        f"planned {slot_words(house, task.slot)}: {_slack(lawful - _done(plan, task.slot))}",
        tuple(_shared(house, planned, task)),
        _moved(house, planned, task, now, -WEEK),
        _moved(house, planned, task, now, WEEK),
    )


def window_of(house: House, planned: list[Task], task: Task) -> tuple[int, int, int]:
    """The day from which the task costs nothing extra, its due day and its last lawful day."""
    plan = house.plan_of[task.plan]
    before = [t for t in planned if t.plan == task.plan and t.slot < task.slot]
    if plan.due_days:
        due = plan.due_days[min(len(before), len(plan.due_days) - 1)]
        return due.opens, due.due, due.last_lawful
    due_on, lawful = plan.first_due, plan.first_lawful
    if before:
        due_on, lawful = next_due(house, plan, _done(plan, before[-1].slot))
    return due_on - plan.early_days, due_on, lawful


def _done(plan: Plan, slot: int) -> int:
    return day_of(slot + plan.duration - 1)


def _slack(days: int) -> str:
    return f"{counted_words(days, 'day')} to spare" if days >= 0 else (
        f"{counted_words(-days, 'day')} late"
    )  # fmt: skip


def _shared(house: House, planned: list[Task], task: Task) -> Iterable[Shared]:
    plan = house.plan_of[task.plan]
    company = [t for t in planned if t != task and day_of(t.slot) == day_of(task.slot)]
    if plan.examiner:
        others = [t.plan for t in company if house.plan_of[t.plan].examiner == plan.examiner]
        yield Shared(f"examiner ({plan.examiner})", tuple(others))
    for key in sorted(plan.set_ups):
        same_day = house.set_ups[key].per == "day"
        with_it = [t for t in company if key in house.plan_of[t.plan].set_ups]
        yield Shared(key, tuple(t.plan for t in with_it if same_day or t.slot == task.slot))


def _moved(house: House, planned: list[Task], task: Task, now: Evaluation, days: int) -> Moved:
    """The usable half-day nearest to a week away, judged with everything else in place."""
    slot = _nearest(house, house.plan_of[task.plan], task.slot + 2 * days, task.slot)
    if slot is None:
        words = f"no usable half-day {_direction(days)}"
        return Moved(days, None, 0, 0, (), words)
    moved = [t for t in planned if t != task] + [task._replace(slot=slot)]
    then = evaluate(replace(house, locked=frozenset(), agreed=frozenset()), moved)
    known = evaluate(replace(house, locked=frozenset(), agreed=frozenset()), planned)
    faults = tuple(fault for fault in then.faults if fault not in known.faults)
    late, cost = then.late_days - now.late_days, then.cost - now.cost
    words = f"{slot_words(house, slot)}: {_changes(now, then, late, cost, faults)}"
    return Moved(days, slot, late, cost, faults, words)


def _direction(days: int) -> str:
    return f"about a week {'later' if days > 0 else 'earlier'}"


def _nearest(house: House, plan: Plan, wanted: int, here: int) -> int | None:
    """The usable half-day nearest to the one wanted, on the same side of where the task is."""
    for away in range(2 * WEEK):
        for slot in (wanted - away, wanted + away):
            side = (slot - here) * (wanted - here) > 0
            if side and 0 <= slot < house.slots and not hindrances(house, plan, slot):
                return slot
    return None


def _changes(
    now: Evaluation, then: Evaluation, late: int, cost: int, faults: tuple[str, ...]
) -> str:
    said = list(faults[:2])
    if late:
        said.append(f"{counted_words(abs(late), 'item-day')} {'more' if late > 0 else 'less'} late")
    paid = {name: then.parts[name] - now.parts[name] for name in then.parts}
    said += [f"{name} {'+' if m > 0 else ''}{money_words(m)}" for name, m in paid.items() if m]
    said.append(f"cost {'+' if cost > 0 else ''}{money_words(cost)}" if cost else "same cost")
    return "; ".join(said)


def tightest_first(house: House, tasks: Iterable[Task]) -> list[tuple[int, Task]]:
    """Days to spare and the task, the tightest first."""
    planned = sorted(tasks)
    spare = [
        (window_of(house, planned, task)[2] - _done(house.plan_of[task.plan], task.slot), task)
        for task in planned
    ]
    return sorted(spare)
