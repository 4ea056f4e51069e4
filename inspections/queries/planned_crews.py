"""Who is at a planned task, and who of them works beside whoever the task is given to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from inspections.models import PlannedPerson, YearPlan
from venue.models import Person

Crew = list[PlannedPerson]


def crews_of_plan(year_plan: YearPlan) -> dict[int, Crew]:
    """By the key of the planned task, who leads first; in one query."""
    crews: dict[int, Crew] = defaultdict(list)
    rows = PlannedPerson.objects.filter(planned__year_plan=year_plan)
    for part in rows.select_related("person"):
        crews[part.planned_id].append(part)
    return crews


def helpers_of(crew: Iterable[PlannedPerson], person: Person | None) -> list[Person]:
    """Beside whoever the task is given to: the rest of the crew, all of it beside an examiner."""
    return [part.person for part in crew if part.person != person]
