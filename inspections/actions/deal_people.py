"""Who does what in the half-days of a plan: dealt out, and dealt out again where something changed.

Inside the caller's transaction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta

from inspections.models import PlannedPerson, PlannedTask, Task
from inspections.planning.house import Task as PureTask
from inspections.queries.check_year_plan import Checked
from inspections.queries.chosen_helpers import chosen_helpers
from inspections.queries.house_of import HouseOf
from inspections.year_crews import NO_WISH, Crew, Wished, crews_of

Rows = Mapping[PureTask, PlannedTask]


def wished_people(found: HouseOf, stands: Mapping[PureTask, Task | None]) -> dict[PureTask, Wished]:
    """Whom a task is given to if they can: whoever a person chose for it on that very day, else who
    usually does its plan; and who was chosen to help."""
    keys = {person.pk: key for key, person in found.people.items()}
    helpers, wished = chosen_helpers(found.venue), {}
    for each, task in stands.items():
        day = found.span.first_day + timedelta(days=each.slot // 2)
        chosen = task.person_id if task and task.person_chosen_on(day) else None
        leads = keys.get(chosen or found.plan(each.plan).usual_person_id or 0, "")
        beside = helpers.get(task.pk, []) if task and task.agreed_for(day) else []
        wished[each] = Wished(leads, tuple(keys[one.pk] for one in beside if one.pk in keys))
    return {each: wish for each, wish in wished.items() if wish != NO_WISH}


def deal_again(checked: Checked, rows: Rows, slots: Iterable[int]) -> None:
    """The people of these half-days, and of all that long tasks tie to them."""
    there = {task: rows[task].task for task in _tied_to(checked, rows, set(slots))}
    crews = crews_of(checked.found.house, there, wished_people(checked.found, there))
    PlannedPerson.objects.filter(planned__in=[rows[task].pk for task in there]).delete()
    PlannedPerson.objects.bulk_create(
        [part for task in there for part in crew_rows(rows[task], crews[task], checked.found)]
    )


def _tied_to(checked: Checked, rows: Rows, touched: set[int]) -> list[PureTask]:
    """Every task at work in the half-days, in the other half-days of those tasks, and so on."""
    there: list[PureTask] = []
    while True:
        found = [task for task in rows if touched & set(_slots_of(checked, task))]
        if len(found) == len(there):
            return found
        there = found
        touched = touched.union(*(_slots_of(checked, task) for task in there))


def _slots_of(checked: Checked, task: PureTask) -> range:
    return range(task.slot, task.slot + checked.found.house.plan_of[task.plan].duration)


def crew_rows(row: PlannedTask, crew: Crew, found: HouseOf) -> list[PlannedPerson]:
    return [
        PlannedPerson(planned=row, person=found.people[key], quarters=given, leads=number == 0)
        for number, (key, given) in enumerate(crew.items())
    ]
