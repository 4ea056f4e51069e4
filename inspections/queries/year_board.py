"""What the year board shows of one plan. Reads the same number of times however much is planned."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from inspections.board_grid import A_DAY, Period
from inspections.held_half_days import NOT_IN_IT, HalfDay, Hold
from inspections.models import PlannedMove, PlannedPerson, PlannedTask, Task, YearPlan
from inspections.planned_standing import standing_of
from inspections.queries.held_half_days import half_days_held
from inspections.work_files import work_needs
from inspections.year_board import PEOPLE, Board, Mark, RowName, board_of
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

TASKS_AT_ONCE = 2000
NOBODY = RowName((9, ""), "nobody", "Nobody yet")


def board_of_plan(plan: YearPlan, period: Period, by: str, today: date) -> Board:
    """The board of one look, by place or by person."""
    marks = [mark_of(planned, plan, today) for planned in _begun_before(plan, period)]
    names = {mark.planned.pk: _names(mark.planned, by) for mark in marks}
    return board_of(period, marks, names, _holds(plan, period))


def first_planned_day(plan: YearPlan, after: date) -> date | None:
    """The first day from this one on with a task of the plan."""
    rows = plan.planned.filter(day__gte=after).order_by("day")
    return rows.values_list("day", flat=True).first()


def planned_tasks(rows: QuerySet[PlannedTask]) -> QuerySet[PlannedTask]:
    """Everything a page says of a planned task, in two questions. `by_hand`: somebody moved it;
    `waits`: an earlier task of its plan is still open."""
    crew = PlannedPerson.objects.select_related("person")
    moves = PlannedMove.objects.filter(planned=OuterRef("pk"), undone_at=None)
    before = Task.objects.filter(
        plan=OuterRef("plan"), state=Task.State.OPEN, number__lt=OuterRef("task__number")
    )
    return (
        rows.select_related("equipment__place", "plan__version", "task")
        .prefetch_related(Prefetch("crew", queryset=crew))
        .annotate(by_hand=Exists(moves), waits=Exists(before))
    )


def tasks_of_plan(plan: YearPlan, today: date, past: str = "") -> Stretch[Mark]:
    """All of it, by the day."""
    read = stretch_of(planned_tasks(plan.planned.all()), ("day", "half", "pk"), past, TASKS_AT_ONCE)
    marks = [mark_of(planned, plan, today) for planned in read.rows]
    return Stretch(marks, read.more, read.begun)


def _begun_before(plan: YearPlan, period: Period) -> QuerySet[PlannedTask]:
    """What falls into the period; a long task may have begun on the day before."""
    within = Q(day__gte=period.first) | Q(day=period.first - A_DAY, half_days__gt=1)
    if period.by_week:
        within = Q(day__gte=period.first)
    return planned_tasks(plan.planned.all()).filter(within, day__lte=period.last)


def mark_of(planned: PlannedTask, plan: YearPlan, today: date) -> Mark:
    """A row of `planned_tasks` as it stands today."""
    published = plan.state == YearPlan.State.PUBLISHED
    waits: bool = planned.waits  # type: ignore[attr-defined]
    standing = standing_of(planned, today, published=published, waits=waits)
    return Mark(planned, standing, moved=bool(planned.by_hand))  # type: ignore[attr-defined]


def _names(planned: PlannedTask, by: str) -> Sequence[RowName]:
    if by != PEOPLE:
        place = planned.equipment.place
        return [RowName((place.walking_order, place.name), f"place-{place.pk}", place.name)]
    people = [
        RowName((1, crew.person.name), f"person-{crew.person_id}", crew.person.name)
        for crew in planned.crew.all()
    ]
    if planned.examiner:
        trade = work_needs().trades.get(planned.examiner)
        title = f"Examiner: {trade.words if trade else planned.examiner}"
        people.append(RowName((2, title), f"examiner-{planned.examiner}", title))
    return people or [NOBODY]


def _holds(plan: YearPlan, period: Period) -> dict[HalfDay, Hold]:
    held = half_days_held(plan.venue, period.first, period.last)
    return {
        (day, half): hold if _inside(plan, day) else NOT_IN_IT for (day, half), hold in held.items()
    }


def _inside(plan: YearPlan, day: date) -> bool:
    return plan.first_day <= day <= plan.last_day
