"""Who was chosen by hand for a task and was not kept when the plan was published, and why."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.models import PlannedTask, YearPlan
from inspections.queries.year_board import planned_tasks
from venue.models import Person


@dataclass(frozen=True)
class NotKept:
    planned: PlannedTask
    person: Person
    why: str


def not_kept_of(plan: YearPlan) -> list[NotKept]:
    """In the order of the days. Nothing is asked where everybody was kept."""
    told = plan.outcome.get("not_kept", [])
    if not told:
        return []
    people = Person.objects.in_bulk({each["person"] for each in told})
    rows = planned_tasks(plan.planned.filter(pk__in={each["planned"] for each in told}))
    planned = {row.pk: row for row in rows}
    found = [
        NotKept(planned[each["planned"]], people[each["person"]], each["why"]) for each in told
    ]
    return sorted(found, key=lambda each: (each.planned.day, each.planned.half, each.planned.pk))
