"""Planned tasks with fewer people than they need, as the plan stands now: a move by hand or an absence
may have taken somebody away since it was made."""

from __future__ import annotations

from collections.abc import Iterator

from inspections.models import YearPlan
from inspections.queries.calendar_doubts import Doubt
from inspections.queries.check_year_plan import Checked
from inspections.queries.planned_crews import crews_of_plan
from inspections.year_crews import short_of_people, short_words


def crew_doubts(year_plan: YearPlan, checked: Checked) -> Iterator[Doubt]:
    """In one query."""
    parts = crews_of_plan(year_plan)
    crews = {
        task: {str(part.person_id): part.quarters for part in parts.get(row.pk, ())}
        for task, row in checked.rows.items()
    }
    if short := short_of_people(checked.found.house, crews):
        yield Doubt(short_words(short, len(crews)), "people")
