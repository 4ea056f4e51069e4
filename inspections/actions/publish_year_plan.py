"""Publish a year plan: its days and people are written to the tasks, all or none.

What was planned is judged again first, by the evaluator and with everything as it is now. If the
plan has become unlawful, or later than it said, nothing is written and the sentence says what.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from operator import attrgetter
from typing import Any

from django.db import transaction

from inspections.actions.deal_people import deal_again
from inspections.actions.keep_the_chosen import Beside, TheChosen
from inspections.actions.publish_in_doubt import said_in_doubt
from inspections.actions.tasks import write_helpers
from inspections.late_reasons import why_late
from inspections.models import PlannedTask, Task, YearPlan
from inspections.planning.house import Task as PureTask
from inspections.planning.wording import counted_words
from inspections.queries.check_year_plan import Checked, check_year_plan, ended_since
from inspections.queries.examiners_on import Examiners, examiners_of
from inspections.queries.made_ready import made_ready
from inspections.queries.planned_crews import Crew, crews_of_plan, helpers_of
from inspections.queries.plans_in_force import plan_replaced_by
from inspections.year_dates import Dated, dated_tasks
from venue.actions.log import Deed, write_lines
from venue.models import Person, Venue

BATCH = 200
MOST_SAID = 8
WRITTEN = ("planned_on", "half", "half_days", "person", "day_agreed", "deferred_why")
FROM_PLANS = ("day_from", "person_from", "why_from")


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
        in_doubt = said_in_doubt(year_plan, checked, although, at)
        before = plan_replaced_by(year_plan)
        deeds, not_kept = _write_tasks(year_plan, checked)
        told = {"not_kept": not_kept}
        if in_doubt:
            told["published_although"] = in_doubt["although"]
        fields = {"state": YearPlan.State.PUBLISHED, "published_at": at, "published_by": by,
                  "outcome": year_plan.outcome | told}  # fmt: skip
        YearPlan.objects.filter(pk=year_plan.pk).update(**fields)
        year_plan.refresh_from_db()
        said = {"tasks": len(deeds), "in_place_of": str(before.pk) if before else "",
                "chosen_not_kept": len(not_kept), "made_ready": made_ready(venue, checked),
                **in_doubt}  # fmt: skip
        deeds.append(Deed("publish_year_plan", year_plan, after=said))
        write_lines(venue=venue, by=by, at=at, deeds=deeds)
    return len(deeds) - 1


def _against(year_plan: YearPlan, checked: Checked, at: datetime) -> Iterator[str]:
    if not year_plan.may_change:
        yield f"This plan is {year_plan.get_state_display().lower()} or not ready: it cannot be published."
        return
    past = [row for row in checked.rows.values() if row.day < checked.found.span.today]
    if past:
        one = "1 of its tasks lies before today. Plan again from a day to come."
        many = f"{len(past)} of its tasks lie before today. Plan again from a day to come."
        yield one if len(past) == 1 else many
    for row in ended_since(year_plan, checked.found.keys):
        yield f"{row.plan}, planned for {row.day:%-d %B %Y}, has been done, cancelled or ended since."
    yield from (f"{fault}." for fault in checked.faults)
    yield from checked.people_elsewhere
    yield from _later(year_plan, checked)


def _later(year_plan: YearPlan, checked: Checked) -> Iterator[str]:
    """What would be later than the plan said when it was made, or than a move by hand meant."""
    said = year_plan.known_late
    for key, days in sorted(checked.judged.late.items()):
        if days > said.get(key, 0):
            yield f"{key} would now be {counted_words(days, 'day')} late; the plan said {said.get(key, 0)}."


def _write_tasks(year_plan: YearPlan, checked: Checked) -> tuple[list[Deed], list[dict[str, Any]]]:
    """The dated tasks get the plan's half-day, who leads and who is there beside them; each change
    has its line in the log. And who was chosen by hand and is not kept."""
    chosen_by_hand = TheChosen(checked)
    _give_to_the_chosen(year_plan, checked, chosen_by_hand)
    facts = _facts(year_plan, checked)
    chosen_by_hand.count(checked.rows, facts.crews)
    changed, helpers, chosen, deeds = [], {}, {}, []
    for row in sorted(checked.rows.values(), key=lambda row: (row.day, row.half, row.pk)):
        if row.task is None:
            continue
        fields = _after(row, row.task, facts)
        before = {name: getattr(row.task, name) for name in WRITTEN}
        before["helpers"] = sorted(row.task.helpers.all(), key=attrgetter("pk"))
        beside = _beside(row, fields["person"], facts, chosen_by_hand)
        after = {name: fields[name] for name in WRITTEN} | {"helpers": beside.people}
        for name, value in fields.items():
            setattr(row.task, name, value)
        changed.append(row.task)
        if beside.chosen != chosen_by_hand.helpers.get(row.task.pk, []):
            chosen[row.task.pk] = beside.chosen
        if before != after:
            helpers[row.task.pk] = beside.people
            deeds.append(Deed("plan_task", row.task, before=before, after=after))
    Task.objects.bulk_update(changed, (*WRITTEN, *FROM_PLANS), batch_size=BATCH)
    write_helpers(helpers, chosen)
    return deeds, chosen_by_hand.not_kept


def _beside(
    row: PlannedTask, leads: Person | None, facts: _Facts, chosen_by_hand: TheChosen
) -> Beside:
    """Tells the chosen who is not kept, too, so it is asked before the task is changed."""
    task, by_hand = _pure(row, facts.checked), row.task and row.task.person_chosen_on(row.day)
    chosen_by_hand.lead(task, row, row.task.person if row.task and by_hand else None, leads)
    return chosen_by_hand.beside(task, row, leads, helpers_of(facts.crews.get(row.pk, ()), leads))


def _give_to_the_chosen(year_plan: YearPlan, checked: Checked, chosen: TheChosen) -> None:
    """Whoever a person chose for a task since the plan was made has it, where they have the hours, and
    who is not to be had any more has none: so plan and task name the same people."""
    crews = crews_of_plan(year_plan)
    other = {
        task.slot
        for task, row in checked.rows.items()
        if _other_people(task, row, crews.get(row.pk, []), chosen)
    }
    if other:
        deal_again(checked, checked.rows, other)


def _other_people(task: PureTask, row: PlannedTask, crew: Crew, chosen: TheChosen) -> bool:
    """Whether somebody else should be at it than the plan has there."""
    there = {part.person for part in crew}
    leads = next((part.person for part in crew if part.leads), None)
    by_hand = row.task is not None and not row.examiner and row.task.person_chosen_on(row.day)
    return (
        (by_hand and row.task is not None and row.task.person != leads)
        or not there.issuperset(chosen.of(row))
        or chosen.cannot_be_there(task, crew)
    )


@dataclass(frozen=True)
class _Facts:
    """What the fields of every task are told from."""

    year_plan: YearPlan
    checked: Checked
    examiners: Examiners
    leaders: dict[int, Person]
    crews: dict[int, Crew]
    dated: dict[PureTask, Dated]
    moves: dict[str, date]  # by the key of a plan that is late because a move was meant to bring it

    def after_day(self, dated: Dated) -> int:
        """The day on which the task before it in its chain is done; -1: there is none."""
        plan = self.checked.found.house.plan_of[dated.task.plan]
        earlier = [task.slot for task in self.dated if task < dated.task and task.plan == plan.key]
        return (max(earlier) + plan.duration - 1) // 2 if earlier else -1


def _facts(year_plan: YearPlan, checked: Checked) -> _Facts:
    house, zone, moves = checked.found.house, year_plan.venue.zone, {}
    for move in year_plan.moves.filter(undone_at__isnull=True).order_by("pk"):
        late = [key for key, days in move.late_meant.items() if days > 0]
        moves.update(dict.fromkeys(late, move.at.astimezone(zone).date()))
    return _Facts(
        year_plan, checked, examiners_of(year_plan.venue), _leaders(year_plan),
        crews_of_plan(year_plan), {each.task: each for each in dated_tasks(house, checked.rows)},
        moves,
    )  # fmt: skip


def _after(row: PlannedTask, task: Task, facts: _Facts) -> dict[str, Any]:
    """The fields of a task, and which of them this plan stands behind."""
    plan, chosen = facts.year_plan, task.person if task.person_chosen_on(row.day) else None
    by_hand = task.day_by_hand and task.planned_on == row.day
    person = facts.examiners.on(row, chosen) if row.examiner else facts.leaders.get(row.pk)
    return {
        "planned_on": row.day, "half": row.half, "half_days": row.half_days, "person": person,
        "day_agreed": True, "day_from": None if by_hand else plan,
        "person_from": None if chosen and person == chosen else plan,
        **_why(row, task, facts, by_hand),
    }  # fmt: skip


def _why(row: PlannedTask, task: Task, facts: _Facts, by_hand: bool) -> dict[str, Any]:
    """A reason stands on what is late in its own chain. A plan takes its own reason away again, and
    what a person wrote of the day that they set stays theirs."""
    kept = {"deferred_why": task.deferred_why, "why_from": task.why_from}
    dated = facts.dated[_pure(row, facts.checked)]
    if not dated.late:
        return {"deferred_why": "", "why_from": None} if task.why_from_id else kept
    if by_hand and task.deferred_why and not task.why_from_id:
        return kept
    why = why_late(
        facts.checked.found.house, dated, facts.after_day(dated), str(facts.year_plan),
        facts.year_plan.outcome, facts.moves.get(dated.task.plan),
    )  # fmt: skip
    return {"deferred_why": why, "why_from": facts.year_plan}


def _pure(row: PlannedTask, checked: Checked) -> PureTask:
    return PureTask(checked.found.keys[row.plan_id], checked.slot(row))


def _leaders(year_plan: YearPlan) -> dict[int, Person]:
    rows = year_plan.planned.filter(crew__leads=True).values_list("pk", "crew__person_id")
    people = Person.objects.in_bulk({person for _, person in rows})
    return {pk: people[person] for pk, person in rows}
