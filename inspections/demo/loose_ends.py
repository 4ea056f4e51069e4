"""What is done beside the checks: days agreed, put off and cancelled, equipment pictured."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

from inspections.actions.audit_questions import answer_question, ask_question
from inspections.actions.fill_check import add_draft_photograph, keep_answers, start_use_check
from inspections.actions.submit_check import submit_check
from inspections.actions.tasks import cancel_task, change_task
from inspections.demo.pictures import photograph
from inspections.demo.scenario import INES, JONAS, MARISOL, ODILE, PRIYA, TAM
from inspections.demo.season import leaves_accessible
from inspections.demo.stories import (
    ANSWERED,
    ASKED,
    CANCELLED,
    OVERDUE,
    PICTURED,
    PUT_OFF_BECAUSE,
)
from inspections.models import AuditQuestion, Task
from inspections.queries.batten_loads import NEW_HANG
from inspections.regime_files import regimes
from venue.actions.keep_file import attach_to_equipment
from venue.models import Equipment, Person, Venue

AGREED_DAYS, MOST_AGREED = 21, 36
People = dict[str, Person]
Leaves = Callable[[date], frozenset[str]]
USUAL = {
    "trained_user": PRIYA, "competent_person": JONAS, "qualified_person": TAM,
    "outside_examiner": MARISOL,
}  # fmt: skip


def agree_days(
    *,
    venue: Venue,
    people: People,
    leaves: Leaves,
    needs: Callable[[Task], frozenset[str]],
    at: datetime,
) -> None:
    """Names and possible days beside two of three tasks of the next weeks; the third is still
    anybody's, and so is on everybody's round."""
    today = at.astimezone(venue.zone).date()
    soon = venue.tasks.filter(
        state=Task.State.OPEN, last_lawful_on__gte=today, day_agreed=False,
        planned_on__lte=today + timedelta(days=AGREED_DAYS),
    )  # fmt: skip
    related = ("plan", "venue", "equipment__place")
    manager = next(iter(people.values()))
    rows = soon.select_related(*related).order_by("planned_on", "pk")[:MOST_AGREED]
    for number, task in enumerate(rows, 1):
        day = _possible_day(max(today, task.planned_on), leaves, needs(task))
        if number % 3 and day <= task.last_lawful_on:
            person = people.get(USUAL[task.plan.level], manager)
            change_task(task=task, planned_on=day, person=person, why="", by=manager, at=at)


def _possible_day(first: date, leaves: Leaves, needs: frozenset[str]) -> date:
    days = (first + timedelta(days=ahead) for ahead in range(120))
    return next((day for day in days if needs <= leaves(day)), date.max)


def put_off_the_overdue_one(venue: Venue, manager: Person, today: date, *, at: datetime) -> None:
    task = _next_open(venue, *OVERDUE)
    if task:
        dark = _possible_day(
            today + timedelta(days=2), leaves_accessible, frozenset({"grid_empty"})
        )
        change_task(
            task=task, planned_on=dark, person=None, why=PUT_OFF_BECAUSE, by=manager, at=at
        )  # fmt: skip


def picture_equipment(venue: Venue, people: People, *, at: datetime) -> None:
    for tag, caption in PICTURED:
        attach_to_equipment(
            equipment=venue.equipment.get(tag=tag), upload=photograph(caption), caption=caption,
            by=people[PRIYA], at=at,
        )  # fmt: skip


def hang_anew(
    piece: Equipment, people: People, hang: tuple[int, str, str, str], *, at: datetime
) -> None:
    _, tag, load, point = hang
    draft = start_use_check(
        equipment=piece, regime=regimes()[NEW_HANG], by=people[PRIYA], at=at - timedelta(minutes=5)
    )
    answers = {"load_hung": {"value": load}, "heaviest_point": {"value": point}}
    keep_answers(draft=draft, typed=answers | {"card_updated": {"given": "yes"}}, at=at)
    card = photograph(f"Load card, {tag}")
    add_draft_photograph(draft=draft, key="card_updated", upload=card, by=people[PRIYA], at=at)
    submit_check(draft=draft, by=people[PRIYA], at=at)


def cancel_one(
    venue: Venue, tag: str, regime: str, why: str, manager: Person, *, at: datetime
) -> None:
    task = _next_open(venue, tag, regime)
    if task:
        cancel_task(task=task, why=why, by=manager, at=at)


def ask_about_the_cancelled_one(venue: Venue, people: People, *, at: datetime) -> None:
    tag, regime, *_ = CANCELLED[0]
    tasks = venue.tasks.filter(equipment__tag=tag, plan__regime=regime, state=Task.State.CANCELLED)
    ask_question(venue=venue, about={"task": tasks.get()}, text=ASKED[1], by=people[INES], at=at)


def answer_about_it(venue: Venue, people: People, *, at: datetime) -> None:
    question = AuditQuestion.objects.in_venue(venue).get()
    answer_question(question=question, text=ANSWERED[1], by=people[ODILE], at=at)


def _next_open(venue: Venue, tag: str, regime: str) -> Task | None:
    tasks = venue.tasks.filter(equipment__tag=tag, plan__regime=regime, state=Task.State.OPEN)
    return tasks.order_by("number").first()
