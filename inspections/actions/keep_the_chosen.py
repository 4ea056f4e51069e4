"""Whom people chose by hand for a task, as far as a plan that is published can keep them: and who of
them is not kept, with why. Inside the caller's transaction."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from inspections.models import PlannedTask
from inspections.planning.house import Need
from inspections.planning.house import Task as PureTask
from inspections.queries.check_year_plan import Checked
from inspections.queries.chosen_helpers import chosen_helpers
from inspections.queries.planned_crews import Crew
from inspections.who_is_there import NO_HOURS, NO_LEAD, NOT_PLANNED, WhoIsThere
from venue.models import Person

Rows = Mapping[PureTask, PlannedTask]


@dataclass(frozen=True)
class Beside:
    """`people`: everybody beside whoever leads. `chosen`: those of them whom a person chose."""

    people: list[Person]
    chosen: list[Person]


class TheChosen:
    """Of one plan that is being published."""

    def __init__(self, checked: Checked) -> None:
        self.checked, self.found = checked, checked.found
        self.there = WhoIsThere(self.found.house, self.found.work_elsewhere)
        self.keys = {person.pk: key for key, person in self.found.people.items()}
        self.helpers = chosen_helpers(self.found.venue)
        self.given: Counter[tuple[str, int]] = Counter()
        self.not_kept: list[dict[str, Any]] = []

    def count(self, rows: Rows, crews: Mapping[int, Crew]) -> None:
        """The hours that the plan gives to everybody in each half-day."""
        for task, row in rows.items():
            for part in crews.get(row.pk, ()):
                key, slots = self.keys.get(part.person_id, ""), self._slots(task)
                for slot in slots:
                    self.given[key, slot] += -(-part.quarters // len(slots))

    def of(self, row: PlannedTask) -> list[Person]:
        """Whom a person chose to help with it on the day that it has in the plan."""
        task = row.task
        chosen = task is not None and task.agreed_for(row.day)
        return self.helpers.get(task.pk, []) if task is not None and chosen else []

    def cannot_be_there(self, task: PureTask, crew: Crew) -> bool:
        """Whether the plan gives it to somebody who is not to be had any more."""
        needs = self._needs(task)
        return any(
            self._why_not(part.person, task, needs[:1] if part.leads else needs) for part in crew
        )

    def _needs(self, task: PureTask) -> tuple[Need, ...]:
        return self.found.house.plan_of[task.plan].needs

    def _why_not(self, person: Person, task: PureTask, parts: Sequence[Need]) -> str:
        if person.pk not in self.keys:
            return NOT_PLANNED
        return self.there.why_not(self.keys[person.pk], task, parts)

    def beside(
        self, task: PureTask, row: PlannedTask, leads: Person | None, crew: list[Person]
    ) -> Beside:
        """`crew`: whom the plan has beside whoever leads. Who was chosen and has no part of the work
        that the plan counts stays beside them, where they can be there and have hours left."""
        people, chosen = list(crew), []
        for person in self.of(row):
            why = "" if person in (*crew, leads) else self._why_not_beside(person, task, row)
            if why:
                self._lose(row, person, why)
            elif person != leads:
                people += [] if person in people else [person]
                chosen.append(person)
        return Beside(sorted(people, key=attrgetter("pk")), chosen)

    def lead(
        self, task: PureTask, row: PlannedTask, chosen: Person | None, leads: Person | None
    ) -> None:
        """Whoever was chosen to do it and does not."""
        if chosen is None or chosen == leads:
            return
        why = NO_LEAD if row.examiner else self._why_not(chosen, task, self._needs(task)[:1])
        self._lose(row, chosen, why or NO_HOURS)

    def _why_not_beside(self, person: Person, task: PureTask, row: PlannedTask) -> str:
        """Where the work asks for nobody beside whoever leads, it asks no competence of them."""
        first, *others = self._needs(task)
        parts = [first, *others] if row.examiner or first.people > 1 else others
        if why := self._why_not(person, task, parts):
            return why
        key = self.keys[person.pk]
        full = (self.there.hours(key, slot) <= self.given[key, slot] for slot in self._slots(task))
        return NO_HOURS if any(full) else ""

    def _lose(self, row: PlannedTask, person: Person, why: str) -> None:
        """By number: what is kept of it must be able to forget a name."""
        self.not_kept.append({"planned": row.pk, "person": person.pk, "why": why})

    def _slots(self, task: PureTask) -> range:
        return range(task.slot, task.slot + self.found.house.plan_of[task.plan].duration)
