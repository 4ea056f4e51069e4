"""Keep what the planner made: the figures with the plan, and a row for every task and person.

Inside the caller's transaction.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from django.db import transaction

from inspections.actions.deal_people import crew_rows, wished_people
from inspections.house_text import house_sha256
from inspections.models import PlannedPerson, PlannedTask, Task, YearPlan
from inspections.planning.house import Task as PureTask
from inspections.queries.agreed_tasks import HALVES
from inspections.queries.house_of import HouseOf
from inspections.year_crews import Crew, crews_of, short_of_people, short_words
from inspections.year_dates import Dated, dated_tasks
from inspections.year_figures import Made, outcome_of
from venue.actions.log import write_line
from venue.models import Person

BATCH = 500


def keep_year_plan(
    *, year_plan: YearPlan, found: HouseOf, made: Made, by: Person | None, at: datetime
) -> None:
    """A draft that has no tasks yet gets them."""
    planned = sorted(set(made.tasks))
    dated = dated_tasks(found.house, planned)
    stands = {each.task: stands_for(found, each) for each in dated}
    crews = crews_of(found.house, planned, wished_people(found, stands))
    fields = {
        "made_at": at,
        "outcome": outcome_of(found.house, made),
        "inputs_sha256": house_sha256(found.house),
        "assumptions": list(found.assumptions),
        "unknowns": [*found.unknowns, *_short(found, crews)],
    }
    said = {"tasks": len(planned), "late_days": made.evaluation.late_days,
            "inputs_sha256": fields["inputs_sha256"]}  # fmt: skip
    with transaction.atomic():
        YearPlan.objects.filter(pk=year_plan.pk).update(**fields)
        for name, value in fields.items():
            setattr(year_plan, name, value)
        _keep_tasks(year_plan, found, dated, crews)
        write_line(
            venue=year_plan.venue, by=by, at=at, did="make_year_plan", subject=year_plan, after=said
        )


def _short(found: HouseOf, crews: Mapping[PureTask, Crew]) -> Iterator[str]:
    if short := short_of_people(found.house, crews):
        yield short_words(short, len(crews))


def _keep_tasks(
    year_plan: YearPlan, found: HouseOf, dated: list[Dated], crews: Mapping[PureTask, Crew]
) -> None:
    locked = found.house.locked
    rows = [_row(year_plan, found, each, each.task in locked) for each in dated]
    PlannedTask.objects.bulk_create(rows, batch_size=BATCH)
    parts = [
        part
        for row, each in zip(rows, dated, strict=True)
        for part in crew_rows(row, crews[each.task], found)
    ]
    PlannedPerson.objects.bulk_create(parts, batch_size=BATCH)


def _row(year_plan: YearPlan, found: HouseOf, dated: Dated, locked: bool) -> PlannedTask:
    key, slot = dated.task
    needed, plan = found.needed[key], found.plan(key)
    return PlannedTask(
        year_plan=year_plan,
        plan=plan,
        equipment_id=plan.equipment_id,
        task=stands_for(found, dated),
        day=found.span.first_day + timedelta(days=slot // 2),
        half=HALVES[slot % 2],
        half_days=needed.work.half_days,
        due_on=found.span.first_day + timedelta(days=dated.due),
        last_lawful_on=found.span.first_day + timedelta(days=dated.last_lawful),
        late_days=dated.late,
        quarters=needed.all_quarters,
        examiner=needed.work.examiner,
        locked=locked,
    )


def stands_for(found: HouseOf, dated: Dated) -> Task | None:
    """The plan's tasks are taken in their order; beyond 15 months there is none yet."""
    tasks = found.starts[dated.task.plan].open_tasks
    return tasks[dated.order] if dated.order < len(tasks) else None
