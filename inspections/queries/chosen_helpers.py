"""Whom people chose by hand to work beside whoever a task is given to."""

from __future__ import annotations

from collections import defaultdict

from inspections.models import Task
from venue.models import Person, Venue


def chosen_helpers(venue: Venue) -> dict[int, list[Person]]:
    """By the number of each open task that has any, in one query. What was chosen counts on the day
    that the task then had: `Task.agreed_for`."""
    rows = Task.chosen_helpers.through.objects.filter(
        task__venue=venue, task__state=Task.State.OPEN
    ).select_related("person")
    found: dict[int, list[Person]] = defaultdict(list)
    for row in rows.order_by("person__name", "pk"):
        found[row.task_id].append(row.person)
    return found
