"""Publish a year plan: its days and people are written to the tasks, all or none.

What was planned is judged again first, by the evaluator and with everything as it is now. If the
plan has become unlawful, or later than it said, nothing is written and the sentence says what.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.db import transaction

from inspections.actions.publish_in_doubt import said_in_doubt
from inspections.actions.tasks import write_helpers
from inspections.models import ExaminerTrade, PlannedTask, Task, YearPlan
from inspections.planning.wording import counted_words
from inspections.queries.agreed_tasks import plan_in_force
from inspections.queries.check_year_plan import Checked, check_year_plan, ended_since
from inspections.queries.made_ready import made_ready
from inspections.queries.planned_crews import crews_of_plan, helpers_of
from venue.actions.log import Deed, write_lines
from venue.models import Competence, Person, Venue

BATCH = 200
MOST_SAID = 8
WRITTEN = ("planned_on", "half", "half_days", "person", "day_agreed", "deferred_why")


class CannotPublish(ValueError):
    """Something has changed since the plan was made. `reasons` are sentences."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


def publish_year_plan(
    *, year_plan: YearPlan, by: Person | None, at: datetime, although: str = ""
) -> int:
    """How many tasks got another day or person. `although`: why, where the calendar is in doubt.
    Raises CannotPublish, InDoubt."""
    venue = year_plan.venue
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        year_plan.refresh_from_db()
        checked = check_year_plan(year_plan, at)
        if reasons := list(_against(year_plan, checked, at)):
            raise CannotPublish(reasons[:MOST_SAID])
        in_doubt = said_in_doubt(year_plan, although, at)
        before = plan_in_force(venue)
        deeds = _write_tasks(year_plan, checked)
        fields = {"state": YearPlan.State.PUBLISHED, "published_at": at, "published_by": by}
        if in_doubt:
            fields["outcome"] = year_plan.outcome | {"published_although": in_doubt["although"]}
        YearPlan.objects.filter(pk=year_plan.pk).update(**fields)
        year_plan.refresh_from_db()
        said = {"tasks": len(deeds), "in_place_of": str(before.pk) if before else "",
                "made_ready": made_ready(venue, checked), **in_doubt}  # fmt: skip
        deeds.append(Deed("publish_year_plan", year_plan, after=said))
        write_lines(venue=venue, by=by, at=at, deeds=deeds)
    return len(deeds) - 1


def _against(year_plan: YearPlan, checked: Checked, at: datetime) -> Iterator[str]:
    if not year_plan.may_change:
        yield f"This plan is {year_plan.get_state_display().lower()} or not ready: it cannot be published."
        return
    past = [row for row in checked.rows.values() if row.day < checked.found.span.today]
    if past:
        yield f"{len(past)} of its tasks lie before today. Plan again from a day to come."
    for row in ended_since(year_plan, checked.found.keys):
        yield f"{row.plan}, planned for {row.day:%-d %B %Y}, has been done, cancelled or ended since."
    yield from (f"{fault}." for fault in checked.faults)
    yield from _later(year_plan, checked)


def _later(year_plan: YearPlan, checked: Checked) -> Iterator[str]:
    """What would be later than the plan said when it was made, or than a move by hand meant."""
    said = year_plan.known_late
    for key, days in sorted(checked.judged.late.items()):
        if days > said.get(key, 0):
            yield f"{key} would now be {counted_words(days, 'day')} late; the plan said {said.get(key, 0)}."


def _write_tasks(year_plan: YearPlan, checked: Checked) -> list[Deed]:
    """The dated tasks get the plan's half-day, who leads and who is there beside them; each change
    has its line in the log."""
    examiners, leaders, crews = _examiners(year_plan), _leaders(year_plan), crews_of_plan(year_plan)
    changed, helpers, deeds = [], {}, []
    for row in sorted(checked.rows.values(), key=lambda row: (row.day, row.half, row.pk)):
        if row.task is None:
            continue
        fields = _after(year_plan, row, examiners, leaders)
        before = {name: getattr(row.task, name) for name in WRITTEN}
        before["helpers"] = list(row.task.helpers.all())
        beside = helpers_of(row, crews.get(row.pk, ()), fields["person"])
        after = fields | {"helpers": beside}
        if before != after:
            for name, value in fields.items():
                setattr(row.task, name, value)
            changed.append(row.task)
            helpers[row.task.pk] = beside
            deeds.append(Deed("plan_task", row.task, before=before, after=after))
    Task.objects.bulk_update(changed, WRITTEN, batch_size=BATCH)
    write_helpers(helpers)
    return deeds


def _after(
    year_plan: YearPlan,
    row: PlannedTask,
    examiners: dict[str, list[Competence]],
    leaders: dict[int, Person],
) -> dict[str, Any]:
    task = row.task
    assert task is not None
    why = task.deferred_why
    if row.day > task.last_lawful_on:
        why = f"{year_plan} has no lawful half-day for it that is sooner; see the plan’s reasons."
    person = _examiner_on(row, examiners) if row.examiner else leaders.get(row.pk)
    kept = task.day_agreed and task.planned_on == row.day and task.person is not None
    return {
        "planned_on": row.day, "half": row.half, "half_days": row.half_days,
        "person": task.person if kept else person, "day_agreed": True, "deferred_why": why,
    }  # fmt: skip


def _leaders(year_plan: YearPlan) -> dict[int, Person]:
    rows = year_plan.planned.filter(crew__leads=True).values_list("pk", "crew__person_id")
    people = Person.objects.in_bulk({person for _, person in rows})
    return {pk: people[person] for pk, person in rows}


def _examiners(year_plan: YearPlan) -> dict[str, list[Competence]]:
    """By trade: the certificates of whoever is named for it; else those of every examiner here."""
    cards = list(
        Competence.objects.filter(
            venue=year_plan.venue, level=Competence.Level.OUTSIDE_EXAMINER
        ).select_related("person")
    )
    found = {"": cards}
    for trade in ExaminerTrade.objects.filter(venue=year_plan.venue, person__isnull=False):
        found[trade.slug] = [card for card in cards if card.person_id == trade.person_id]
    return found


def _examiner_on(row: PlannedTask, examiners: dict[str, list[Competence]]) -> Person | None:
    """The one examiner whose certificate is valid on the day; nobody where there are two or none."""
    cards = examiners.get(row.examiner, examiners[""])
    valid = {
        card.person
        for card in cards
        if card.valid_from <= row.day and (card.expires_on is None or row.day <= card.expires_on)
    }
    return valid.pop() if len(valid) == 1 else None
