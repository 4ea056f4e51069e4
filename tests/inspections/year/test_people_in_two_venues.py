"""Who works in two venues is not planned twice in one half-day, and neither house learns more of the
other than that."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.planning_settings import add_absence
from inspections.actions.publish_year_plan import CannotPublish, publish_year_plan
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.actions.tasks import cancel_task, change_task
from inspections.actions.year_plan_states import withdraw_year_plan
from inspections.models import PlannedTask, Task, YearPlan
from inspections.queries.house_of import HouseOf, house_of
from inspections.queries.planning_people import Span
from inspections.queries.taken_elsewhere import taken_elsewhere
from tests.house import NOW, TODAY, make_equipment
from tests.inspections.year.year_house import (
    DAYS,
    MONDAY,
    know_calendar,
    make_draft,
    make_plan,
    make_year_house,
)
from venue.actions.people import add_competence
from venue.models import Membership, Person, Place

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
ELSEWHERE = "has work at another venue"
SECRET = ("Tern", "Trap", "T1", "winch_ropes", "Running ropes of a winch, monthly of T1")


@pytest.fixture
def house() -> Iterator[Any]:
    """Tam works in both houses, and in the other one nobody else may do its winch."""
    with time_machine.travel(NOW, tick=False):
        house = make_year_house()
        house.tam = house.people["competent"]
        join(house, house.tam)
        other = SimpleNamespace(
            venue=house.other, people={"manager": house.people["other manager"]}
        )
        know_calendar(other, TODAY + timedelta(days=400))
        Place.objects.create(venue=other.venue, slug="trap", name="Trap room")
        make_plan(make_equipment(other.venue, "T1"), "winch_ropes_monthly", other)
        house.tern = other
        yield house


def join(house: Any, person: Person) -> None:
    member = Membership.objects.create(
        person=person, venue=house.other, role="competent", since=TODAY
    )
    add_competence(
        membership=member, level="qualified_person", certificate="Card 3", issued_by="College",
        valid_from=date(2024, 1, 1), expires_on=None, by=None, at=NOW,
    )  # fmt: skip
    Membership.objects.filter(venue=house.other, role="manager").update(role="auditor")


def plan_there(house: Any, publish: bool = True) -> YearPlan:
    plan = make_quick_plan(
        venue=house.other, first_day=MONDAY, days=DAYS, by=house.tern.people["manager"], at=NOW
    )
    if publish:
        publish_year_plan(
            year_plan=plan, by=house.tern.people["manager"], at=NOW, although="Tests."
        )
    return plan


def busy(plan: YearPlan) -> set[int]:
    rows = plan.planned.all()
    return {2 * (row.day - MONDAY).days + (row.half == "pm") for row in rows}


def here(house: Any) -> HouseOf:
    return house_of(house.venue, MONDAY, DAYS, NOW)


def hours(found: HouseOf, person: Person) -> tuple[int, ...]:
    return next(one.quarters for one in found.house.people if one.key == person.name)


def free_of(house: Any, before: tuple[int, ...]) -> set[int]:
    """The half-days that Tam has lost since."""
    now = hours(here(house), house.tam)
    return {slot for slot, (one, two) in enumerate(zip(before, now, strict=True)) if one != two}


def test_half_days_planned_elsewhere_count_as_taken(house: Any) -> None:
    before = hours(here(house), house.tam)
    plan = plan_there(house, publish=False)
    assert free_of(house, before) == set(), "a draft takes nobody"
    publish_year_plan(year_plan=plan, by=house.tern.people["manager"], at=NOW, although="Tests.")
    taken = free_of(house, before)
    assert taken == busy(plan)
    assert len(taken) >= 2
    assert all(hours(here(house), house.tam)[slot] == 0 for slot in taken)
    assert hours(here(house), house.people["second"]) == before


def test_a_plan_made_here_gives_them_nothing_then(house: Any) -> None:
    make_draft(house)
    taken = busy(plan_there(house))
    draft = make_draft(house)
    at_work = draft.planned.filter(crew__person=house.tam)
    assert taken.isdisjoint(2 * (row.day - MONDAY).days + (row.half == "pm") for row in at_work)


def test_what_is_withdrawn_cancelled_or_given_to_another_takes_nobody(house: Any) -> None:
    before = hours(here(house), house.tam)
    plan = plan_there(house)
    rows = list(plan.planned.exclude(task=None).select_related("task").order_by("day"))
    slots = [2 * (row.day - MONDAY).days + (row.half == "pm") for row in rows]
    by = house.tern.people["manager"]
    cancel_task(task=rows[0].task, why="Sold.", by=by, at=NOW)
    assert slots[0] not in free_of(house, before)
    change_task(
        task=Task.objects.get(pk=rows[1].task_id), planned_on=rows[1].day, half=rows[1].half,
        person=None, why="", by=by, at=NOW,
    )  # fmt: skip
    assert slots[1] not in free_of(house, before)
    assert set(slots[2:]) <= free_of(house, before)
    withdraw_year_plan(year_plan=plan, why="Off.", by=by, at=NOW)
    assert free_of(house, before) == set()


def test_a_helper_a_moved_task_and_one_without_a_date_count_too(house: Any) -> None:
    before = hours(here(house), house.tam)
    plan = plan_there(house)
    row, far = plan.planned.exclude(task=None).order_by("day")[:2]
    by, day = house.tern.people["manager"], row.day - timedelta(days=1)
    change_task(
        task=Task.objects.get(pk=row.task_id), planned_on=day, half="am", person=None,
        helpers=[house.tam], why="", by=by, at=NOW,
    )  # fmt: skip
    task, slot = far.task, 2 * (far.day - MONDAY).days + (far.half == "pm")
    assert {2 * (day - MONDAY).days, slot} <= free_of(house, before)
    assert task
    span = Span(MONDAY, DAYS, TODAY)
    known = taken_elsewhere(house.venue, [house.tam], span)[house.tam.pk].work
    from tests.guards import unguarded  # a plan of two years has such rows

    with unguarded():
        PlannedTask.objects.filter(pk=far.pk).update(task=None)
    task.planned_on = MONDAY - timedelta(days=90)
    Task.objects.filter(pk=task.pk).update(planned_on=task.planned_on)
    assert taken_elsewhere(house.venue, [house.tam], span)[house.tam.pk].work == known


def test_an_absence_entered_there_counts_here(house: Any) -> None:
    before, day = hours(here(house), house.tam), MONDAY + timedelta(days=8)
    add_absence(
        venue=house.other, person=house.tam, first_day=day, last_day=day + timedelta(days=1),
        why="Knee at the Tern", by=house.tern.people["manager"], at=NOW,
    )  # fmt: skip
    assert free_of(house, before) == {16, 17, 18, 19}
    said = " ".join(here(house).assumptions)
    assert "Competent is away on more days than the absences that are entered here." in said
    assert ELSEWHERE not in said
    assert "Knee" not in said


def test_no_word_of_the_other_house_reaches_a_plan_or_its_pages(house: Any) -> None:
    plan_there(house)
    draft = make_draft(house)
    assert f"Competent {ELSEWHERE}: those half-days count as taken." in draft.assumptions
    client = Client()
    client.force_login(house.people["manager"])
    row = draft.planned.order_by("day")[0]
    for name, pk in (("year_plan", draft.pk), ("year_board", draft.pk), ("planned_task", row.pk)):
        shown = re.sub(
            r"<[^>]+>", " ", client.get(reverse(name, args=["larkspur", pk])).content.decode()
        )
        assert not any(word in shown for word in SECRET), name


def test_a_plan_that_needs_them_then_is_not_published_and_says_only_that(house: Any) -> None:
    draft = make_draft(house)
    house.venue.memberships.exclude(person=house.tam).exclude(role="examiner").update(
        ended_on=TODAY
    )
    draft = make_draft(house)
    at_work = {2 * (row.day - MONDAY).days + (row.half == "pm") for row in draft.planned.all()}
    there = plan_there(house)
    assert at_work & busy(there), "both houses want the same half-day"
    with pytest.raises(CannotPublish) as refused:
        publish_year_plan(year_plan=draft, by=house.people["manager"], at=NOW, although="Tests.")
    assert f"Competent {ELSEWHERE} then." in refused.value.reasons
    assert not any(word in str(refused.value) for word in SECRET)


def test_a_draft_that_had_them_is_handed_out_to_others(house: Any) -> None:
    draft = make_draft(house)
    plan_there(house)
    taken = taken_elsewhere(house.venue, [house.tam], Span(MONDAY, DAYS, TODAY))[house.tam.pk].work
    rows = list(draft.planned.filter(plan__regime="winch_ropes_monthly"))
    assert rows
    for row in rows:
        row.crew.update(person=house.tam)
    publish_year_plan(year_plan=draft, by=house.people["manager"], at=NOW, although="Tests.")
    given = Task.objects.filter(venue=house.venue, person=house.tam)
    slots = {2 * (task.planned_on - MONDAY).days + (task.half == "pm") for task in given}
    assert slots.isdisjoint(taken)


def test_who_was_chosen_by_hand_and_works_there_is_told_in_those_words(house: Any) -> None:
    publish_year_plan(year_plan=make_draft(house), by=house.people["manager"], at=NOW)
    plan = plan_there(house)
    slot = min(busy(plan))
    day, half = MONDAY + timedelta(days=slot // 2), "pm" if slot % 2 else "am"
    task = Task.objects.filter(venue=house.venue, plan__regime="winch_ropes_monthly").order_by(
        "due_on"
    )[0]
    change_task(
        task=task, planned_on=day, half=half, person=house.tam, why="Only then.",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    Task.objects.filter(pk=task.pk).update(person_from=None)  # whoever the plan gave it to
    draft = make_draft(house)
    row = draft.planned.get(task=task)
    assert (row.day, row.half) == (day, half)
    publish_year_plan(year_plan=draft, by=house.people["manager"], at=NOW)
    assert draft.outcome["not_kept"] == [
        {"planned": row.pk, "person": house.tam.pk, "why": ELSEWHERE}
    ]


def test_it_costs_one_query_where_nobody_works_elsewhere_and_few_where_somebody_does(
    house: Any,
) -> None:
    span, costs = Span(MONDAY, DAYS, TODAY), []
    nobody, everybody = [house.people["second"]], list(house.people.values())
    plan_there(house)
    for people in (nobody, everybody):
        with CaptureQueriesContext(connection) as queries:
            taken_elsewhere(house.venue, people, span)
        costs.append(len(queries))
    assert costs == [1, 6]
    for number in range(4):
        make_plan(make_equipment(house.other, f"T{number + 2}"), "winch_ropes_monthly", house.tern)
    plan_there(house)
    join_more = house.people["second"]
    Membership.objects.create(person=join_more, venue=house.other, role="stagehand", since=TODAY)
    with CaptureQueriesContext(connection) as queries:
        taken_elsewhere(house.venue, everybody, span)
    assert len(queries) == 6
