"""What is promised already when a year is planned: the published plans, and days people agreed.

A day that a published plan gave may be moved, and is paid for; one that a withdrawn plan gave is not
promised at all. A day that a person set, or locked in a plan, stays. A promise that cannot be kept any
more is let go, and said.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from django.db.models import Exists, F, OuterRef, Q

from inspections.models import PlannedMove, PlannedTask, Task, YearPlan
from inspections.planning.evaluate import evaluate
from inspections.planning.house import House
from inspections.planning.house import Task as PureTask
from inspections.planning.usable import hindrances
from inspections.planning.wording import slot_words
from inspections.queries.plan_starts import Start
from inspections.queries.planning_people import Span
from inspections.queries.plans_in_force import plans_in_force
from venue.models import Venue

HALVES = (PlannedTask.Half.MORNING, PlannedTask.Half.AFTERNOON)
MOST_SAID = 12


@dataclass
class Agreed:
    """Tasks to keep at a price, tasks to keep, and days without a half that a person agreed."""

    agreed: set[PureTask] = field(default_factory=set)
    locked: set[PureTask] = field(default_factory=set)
    days: list[tuple[str, int]] = field(default_factory=list)  # key of the plan, day
    said: list[str] = field(default_factory=list)  # sentences about what the plan rests on


def nothing_agreed() -> Agreed:
    return Agreed()


def agreed_of(
    starts: Mapping[str, Start], span: Span, promised: Mapping[int, PlannedTask],
    draft: YearPlan | None = None,
) -> Agreed:  # fmt: skip
    """`promised`: as `promised_tasks` gives them. `draft`: a plan that is not published, whose locks
    are kept too. Where a person set another day for a task in the meantime that day is kept, unless
    it was the draft's task that was moved."""
    keys = {start.plan.pk: key for key, start in starts.items()}
    tasks = {task.pk: task for start in starts.values() for task in start.open_tasks}
    found, locked = Agreed(), _locked_in(draft, keys, tasks, span)
    for task in tasks.values():
        if task.day_by_hand and task.pk not in locked:
            _add_by_hand(found, keys[task.plan_id], task, span)
    for key, row in promised.items():
        mine = tasks.get(row.task_id or 0)
        if _gone(row, keys, tasks) or (mine is not None and mine.day_by_hand):
            continue
        found.agreed.add(PureTask(keys[row.plan_id], slot_of(row, span)))
        if row.locked and key not in locked:
            found.locked.add(PureTask(keys[row.plan_id], slot_of(row, span)))
    found.locked |= {PureTask(keys[row.plan_id], slot_of(row, span)) for row in locked.values()}
    if draft is not None:
        found.said.append(f"Planned again from “{draft}”, with {len(locked)} of its tasks locked.")
    return found


def _add_by_hand(found: Agreed, key: str, task: Task, span: Span) -> None:
    if not span.first_day <= task.planned_on <= span.last_day:
        return
    day = span.number(task.planned_on)
    if task.half:
        found.locked.add(PureTask(key, 2 * day + HALVES.index(PlannedTask.Half(task.half))))
    else:
        found.days.append((key, day))


def promised_tasks(venue: Venue, span: Span) -> dict[int, PlannedTask]:
    """By the task that each stands for: what the plans in force have within the span, and whatever
    gave a task the day that it has, while that plan was not withdrawn."""
    days = Q(pk__in=())
    for each in plans_in_force(venue):
        first, last = max(each.first, span.first_day), min(each.last, span.last_day)
        days |= Q(year_plan=each.plan, day__gte=first, day__lte=last)
    gave = Q(
        year_plan=F("task__day_from"), day=F("task__planned_on"), year_plan__venue=venue,
        year_plan__state=YearPlan.State.PUBLISHED, day__gte=span.first_day, day__lte=span.last_day,
    )  # fmt: skip
    found: dict[int, PlannedTask] = {}
    for rows in (PlannedTask.objects.filter(days), PlannedTask.objects.filter(gave)):
        for row in rows.select_related("task").order_by("year_plan__published_at", "pk"):
            found[row.task_id or -row.pk] = row
    return found


def _locked_in(
    draft: YearPlan | None, keys: Mapping[int, str], tasks: Mapping[int, Task], span: Span
) -> dict[int, PlannedTask]:
    """The draft's locked tasks that can still be done, by the task that each stands for."""
    if draft is None:
        return {}
    moves = PlannedMove.objects.filter(planned=OuterRef("pk"), undone_at=None)
    rows = draft.planned.filter(locked=True, day__gte=span.first_day, day__lte=span.last_day)
    found: dict[int, PlannedTask] = {}
    for row in rows.annotate(by_hand=Exists(moves)):
        task = tasks.get(row.task_id or 0)
        if _gone(row, keys, tasks) or (task is not None and task.day_by_hand and not row.by_hand):
            continue
        found[row.task_id or -row.pk] = row
    return found


def _gone(row: PlannedTask, keys: Mapping[int, str], tasks: Mapping[int, Task]) -> bool:
    """Whether its plan has ended, or its task is closed or taken as done before the span."""
    return row.plan_id not in keys or (row.task_id is not None and row.task_id not in tasks)


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
