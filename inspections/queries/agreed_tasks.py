"""What is promised already when a year is planned: the published plan, and days people agreed.

A day of the published plan may be moved, and is paid for; a day that a person set beside it, or
locked in it, stays. A promise that cannot be kept any more is let go, and said.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from inspections.models import PlannedTask, Task, YearPlan
from inspections.planning.evaluate import evaluate
from inspections.planning.house import House
from inspections.planning.house import Task as PureTask
from inspections.planning.usable import hindrances
from inspections.planning.wording import slot_words
from inspections.queries.plan_starts import Start
from inspections.queries.planning_people import Span
from venue.models import Venue

HALVES = (PlannedTask.Half.MORNING, PlannedTask.Half.AFTERNOON)
MOST_SAID = 12


@dataclass
class Agreed:
    """Tasks to keep at a price, tasks to keep, and days without a half that a person agreed."""

    agreed: set[PureTask] = field(default_factory=set)
    locked: set[PureTask] = field(default_factory=set)
    days: list[tuple[str, int]] = field(default_factory=list)  # key of the plan, day


def nothing_agreed() -> Agreed:
    return Agreed()


def plan_in_force(venue: Venue) -> YearPlan | None:
    """The newest published plan; it is not in force any more once it was withdrawn."""
    rows = YearPlan.objects.filter(venue=venue, state=YearPlan.State.PUBLISHED)
    return rows.order_by("-published_at", "-pk").first()


def agreed_of(
    starts: Mapping[str, Start], span: Span, promised: Mapping[int, PlannedTask]
) -> Agreed:
    """`promised`: as `promised_tasks` gives them."""
    keys = {start.plan.pk: key for key, start in starts.items()}
    found = Agreed()
    moved = set()
    for start in starts.values():
        for task in start.open_tasks:
            mine = promised.get(task.pk)
            if not (task.day_agreed and span.first_day <= task.planned_on <= span.last_day):
                continue
            if mine is None or mine.day != task.planned_on:
                found.days.append((keys[start.plan.pk], span.number(task.planned_on)))
                moved.add(mine.pk if mine else None)
    for mine in promised.values():
        if mine.plan_id in keys and mine.pk not in moved and _still_open(mine):
            kept = PureTask(keys[mine.plan_id], slot_of(mine, span))
            found.agreed.add(kept)
            if mine.locked:
                found.locked.add(kept)
    return found


def promised_tasks(venue: Venue, span: Span) -> dict[int, PlannedTask]:
    """Tasks of the plan in force within the span, by the task each stands for."""
    force = plan_in_force(venue)
    if force is None:
        return {}
    rows = force.planned.filter(day__gte=span.first_day, day__lte=span.last_day)
    return {row.task_id or -row.pk: row for row in rows.select_related("task")}


def _still_open(row: PlannedTask) -> bool:
    return row.task is None or row.task.state == Task.State.OPEN


def slot_of(row: PlannedTask, span: Span) -> int:
    return 2 * span.number(row.day) + HALVES.index(PlannedTask.Half(row.half))


def keep_what_can_be_kept(house: House, promised: Agreed) -> tuple[House, list[str]]:
    """The house with its promises, and a sentence for each that cannot be kept as it is."""
    wanted = sorted(promised.locked) + [
        PureTask(key, _half(house, key, day)) for key, day in sorted(promised.days)
    ]
    kept, said = _fit_together(house, wanted)
    let_go = set(wanted) - kept
    agreed = frozenset(
        task for task in promised.agreed | let_go | kept if task.plan in house.plan_of
    )
    return replace(house, agreed=agreed, locked=frozenset(kept)), said


def _half(house: House, key: str, day: int) -> int:
    """A person agrees a day; the planner's half of it is the first that can be used."""
    plan = house.plan_of[key]
    return 2 * day if not hindrances(house, plan, 2 * day) else 2 * day + 1


def _fit_together(house: House, wanted: Iterable[PureTask]) -> tuple[set[PureTask], list[str]]:
    """One after the other: what is hindered or clashes with what came before is let go."""
    kept: set[PureTask] = set()
    said: list[str] = []
    for task in wanted:
        faults = hindrances(house, house.plan_of[task.plan], task.slot)
        other = next((t for t in _halves_of(house, task) if _fits(house, kept, t)), None)
        if other is None or faults:
            why = ", ".join(faults) or "it clashes with another agreed day"
            said.append(
                f"The agreed day of {task.plan}, {slot_words(house, task.slot)}, cannot be kept: {why}."
            )
        else:
            kept.add(other)
    if len(said) > MOST_SAID:
        said = [*said[:MOST_SAID], f"And {len(said) - MOST_SAID} more agreed days."]
    return kept, said


def _halves_of(house: House, task: PureTask) -> list[PureTask]:
    other = task._replace(slot=task.slot ^ 1)
    usable = not hindrances(house, house.plan_of[task.plan], other.slot)
    return [task, other] if usable else [task]


def _fits(house: House, kept: set[PureTask], task: PureTask) -> bool:
    """No new fault among the plans that are promised; the others are not there yet."""
    concerned = {each.plan for each in kept} | {task.plan}
    alone = replace(
        house, plans=tuple(house.plan_of[key] for key in sorted(concerned)),
        agreed=frozenset(), locked=frozenset(),
    )  # fmt: skip
    return not evaluate(alone, [*kept, task]).faults
