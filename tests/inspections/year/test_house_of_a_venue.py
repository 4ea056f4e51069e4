"""The planner's house as it is built from the rows: dates, people, what is promised, what is unknown."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.actions.planning_settings import (
    add_absence,
    set_examiner_trade,
    set_hours_choice,
    set_planning,
    set_set_up_price,
    set_working_week,
)
from inspections.actions.tasks import change_task
from inspections.house_text import house_sha256
from inspections.models import Draft, Plan
from inspections.planning.house import Task
from inspections.planning.usable import usable_slots
from inspections.queries.agreed_tasks import nothing_agreed
from inspections.queries.house_of import HouseOf, house_of
from inspections.queries.plan_starts import starts_of
from tests.guards import unguarded
from tests.house import NOW, TODAY, make_equipment
from tests.inspections.year.year_house import (
    DAYS,
    MONDAY,
    book,
    know_calendar,
    make_plan,
    make_record,
    make_year_house,
)
from venue.models import Competence, Equipment, Place

pytestmark = pytest.mark.django_db
ROPES = "W1: Running ropes of a winch, monthly"
EXAMINATION = "W1: Thorough examination, loads other than people"


@pytest.fixture
def house() -> Any:
    return make_year_house()


def built(house: Any, first: date = MONDAY, days: int = DAYS, **more: Any) -> HouseOf:
    return house_of(house.venue, first, days, NOW, **more)


def days_away(day: date, first: date = MONDAY) -> int:
    return (day - first).days


def test_a_plan_keeps_its_dates_and_what_its_work_needs(house: Any) -> None:
    plan = built(house).house.plan_of[ROPES]
    assert plan.interval.months == 1
    assert plan.first_due == plan.first_lawful == days_away(date(2026, 5, 20))
    assert plan.early_days == 7
    assert [(need.competence, need.quarters) for need in plan.needs] == [("competent person", 4)]
    assert plan.access == {
        "stage floor clear", "machines may be locked off", "nobody below the work",
    }  # fmt: skip
    examined = built(house).house.plan_of[EXAMINATION]
    assert (examined.examiner, examined.examiner_quarters) == ("lifting", 2)
    assert examined.needs[0].competence == "competent person"


def test_what_is_planned_before_the_first_day_is_taken_as_done_and_said(house: Any) -> None:
    found = built(house, date(2026, 6, 1))
    start = found.starts[ROPES]
    planned = house.plans["winch_ropes_monthly"].tasks.get(number=1).planned_on
    assert start.taken_as_done == 1
    assert found.house.plan_of[ROPES].first_due == days_away(
        date(planned.year, planned.month + 1, planned.day), date(2026, 6, 1)
    )
    assert start.open_tasks[0].number == 2
    assert any("taken as done" in words for words in found.assumptions)


def test_what_is_overdue_is_carried_into_the_year_as_late(house: Any) -> None:
    winch = make_equipment(house.venue, "W2")
    make_plan(winch, "winch_ropes_monthly", house, last_done=date(2026, 1, 1))
    found = built(house, date(2026, 7, 6))
    key = ROPES.replace("W1", "W2")
    assert found.starts[key].taken_as_done == 0
    assert found.house.plan_of[key].first_lawful == days_away(date(2026, 2, 1), date(2026, 7, 6))


def test_an_examiners_shorter_date_rules_the_next_task_only(house: Any) -> None:
    plan = house.plans["winch_quarterly"]
    plan.tasks.filter(number=1).update(due_on="2026-06-01", last_lawful_on="2026-06-01")
    Plan.objects.filter(pk=plan.pk).update(next_no_later_than="2026-06-01")
    pure = built(house).house.plan_of["W1: Winch, quarterly"]
    assert pure.first_lawful == days_away(date(2026, 6, 1))
    assert pure.slack.days == 7, "the ones after it have their own slack again"


def test_a_regime_that_counts_from_a_fixed_day_gives_its_due_days(house: Any) -> None:
    detector = Equipment.objects.create(
        venue=house.venue, place=house.winch.place, tag="D1", name="Detector",
        kind="beam_smoke_detector", kind_hash="",
    )  # fmt: skip
    make_plan(detector, "beam_detector_panel_weekly", house, last_done=None)
    pure = built(house).house.plan_of["D1: Control panel not monitored, weekly"]
    assert [due.due for due in pure.due_days][:3] == [7, 14, 21], (
        "the one due on the first day is planned for the day before"
    )
    assert {due.due - due.opens for due in pure.due_days} == {2}
    assert len(pure.due_days) == 12
    assert pure.access == frozenset(), "it is read at the panel"


def test_daily_checks_are_left_out_and_said(house: Any) -> None:
    make_plan(house.winch, "winch_frequent_daily", house)
    found = built(house)
    assert not [key for key in found.starts if "severe service" in key]
    assert any("less than a week" in words for words in found.assumptions)


def test_nothing_is_given_to_whose_certificate_has_lapsed(house: Any) -> None:
    tam = house.people["competent"]
    with unguarded():  # a shorter certificate than the house of the tests gives
        Competence.objects.filter(person=tam).update(expires_on=MONDAY + timedelta(days=10))
    found = built(house)
    person = next(p for p in found.house.people if p.key == tam.name)
    assert person.may("competent person", 10)
    assert not person.may("competent person", 11)
    assert any(words.startswith(f"{tam.name}: no certificate") for words in found.unknowns)


def test_certificates_are_taken_as_renewed_only_when_the_venue_says_so(house: Any) -> None:
    odile, tam = house.people["manager"], house.people["competent"]
    with unguarded():  # a shorter certificate than the house of the tests gives
        Competence.objects.filter(person=tam).update(expires_on=date(2028, 1, 1))
    known = {"certificates_renewed": True}
    set_planning(venue=house.venue, fields=known, by=odile, at=NOW)
    found = built(house, days=1000)
    person = next(p for p in found.house.people if p.key == tam.name)
    assert person.may("competent person", 999)
    assert any(f"{tam.name}’s certificate ends on 1 January 2028" in w for w in found.unknowns)
    set_planning(venue=house.venue, fields={"certificates_renewed": False}, by=odile, at=NOW)
    person = next(p for p in built(house, days=1000).house.people if p.key == tam.name)
    assert not person.may("competent person", 999)


def test_a_working_week_and_an_absence_bound_a_persons_hours(house: Any) -> None:
    tam, odile = house.people["competent"], house.people["manager"]
    week = {"half_days": [0, 3], "hours": Decimal("2.00"), "overtime_hours": Decimal("0.50")}
    set_working_week(venue=house.venue, person=tam, fields=week, by=odile, at=NOW)
    away = MONDAY + timedelta(days=7)
    add_absence(
        venue=house.venue, person=tam, first_day=away, last_day=away, why="Leave", by=odile, at=NOW
    )
    person = next(p for p in built(house).house.people if p.key == tam.name)
    assert person.quarters[:14] == (8, 0, 0, 8) + (0,) * 10
    assert person.overtime[:4] == (2, 0, 0, 2)
    assert person.quarters[14:28] == (0, 0, 0, 8) + (0,) * 10


def test_a_named_examiner_comes_only_while_their_certificate_is_valid(house: Any) -> None:
    marisol, odile = house.people["examiner"], house.people["manager"]
    with unguarded():
        Competence.objects.filter(person=marisol).update(expires_on=MONDAY + timedelta(days=20))
    fields = {"person": marisol, "weekdays": [0, 1], "notice_days": 10,
              "arranged": [str(MONDAY + timedelta(days=2)), str(MONDAY + timedelta(days=40))]}  # fmt: skip
    set_examiner_trade(venue=house.venue, slug="lifting", fields=fields, by=odile, at=NOW)
    examiner = built(house).house.examiners["lifting"]
    assert sorted(examiner.days) == [0, 1, 7, 8, 14, 15]
    assert examiner.arranged == {2}
    assert examiner.notice_days == 3, "ten days from today, a week before the first day"


def test_an_examiner_who_is_away_does_not_come_and_an_arranged_day_of_it_is_said(
    house: Any,
) -> None:
    marisol, odile = house.people["examiner"], house.people["manager"]
    arranged = [str(MONDAY + timedelta(days=day)) for day in (2, 8)]
    fields = {"person": marisol, "weekdays": [0, 1], "notice_days": 0, "arranged": arranged}
    set_examiner_trade(venue=house.venue, slug="lifting", fields=fields, by=odile, at=NOW)
    add_absence(
        venue=house.venue, person=marisol, first_day=MONDAY + timedelta(days=7),
        last_day=MONDAY + timedelta(days=13), why="", by=odile, at=NOW,
    )  # fmt: skip
    found = built(house)
    examiner = found.house.examiners["lifting"]
    assert sorted(examiner.days)[:4] == [0, 1, 14, 15]
    assert examiner.arranged == {2}
    said = [words for words in found.unknowns if "is away on 19 May 2026" in words]
    assert said == [
        f"Examiner (lifting): {marisol.name} is away on 19 May 2026, which stands as arranged. Nothing "
        "is planned for it; arrange another day, or somebody else."
    ]


def test_an_absence_of_an_examiner_whom_no_trade_names_is_said_to_keep_no_day_free(
    house: Any,
) -> None:
    marisol, odile = house.people["examiner"], house.people["manager"]
    add_absence(
        venue=house.venue, person=marisol, first_day=MONDAY, last_day=MONDAY + timedelta(days=4),
        why="", by=odile, at=NOW,
    )  # fmt: skip
    found = built(house)
    assert 0 in found.house.examiners["lifting"].days
    words = f"{marisol.name} is away from 11 May 2026 to 15 May 2026"
    assert [said for said in found.unknowns if said.startswith(words)] == [
        f"{words} and is named for no trade of examiners, so visits may be planned then."
    ]


def test_a_price_of_the_venue_replaces_the_books_own(house: Any) -> None:
    fields = {"price": Decimal("5.50"), "notice_days": 9}
    set_set_up_price(
        venue=house.venue, slug="machine_locked", fields=fields, by=house.people["manager"], at=NOW
    )
    made = built(house).house.set_ups["machine locked off (Stage)"]
    assert (made.price, made.notice_days) == (550, 2)


@pytest.mark.parametrize(("count", "hours"), [(2, "1"), (3, "0.75")])
def test_hours_on_record_replace_the_estimate_when_there_are_three(
    house: Any, count: int, hours: str
) -> None:
    for number in range(count):
        make_record(house, minutes=40 + number)
    make_record(house, minutes=60 * 30)  # left open overnight
    found = built(house)
    assert found.needed[ROPES].work.person_hours == Decimal(hours)
    known = found.needed[ROPES].logged
    assert (known.count if known else 0) == (count if count > 2 else 0)


def test_forms_filled_in_afterwards_leave_the_estimate(house: Any) -> None:
    for _ in range(3):
        make_record(house, minutes=5)
    needed = built(house).needed[ROPES]
    assert (needed.work.person_hours, needed.logged) == (Decimal(1), None)


def test_a_form_open_over_lunch_leaves_the_estimate(house: Any) -> None:
    for _ in range(3):
        make_record(house, minutes=5 * 60)
    assert built(house).needed[ROPES].work.person_hours == Decimal(1)


def test_a_form_that_waited_on_a_phone_tells_when_it_was_saved_and_not_when_it_arrived(
    house: Any,
) -> None:
    for _ in range(3):
        record = make_record(house, minutes=6 * 60)
        saved = record.started_at + timedelta(minutes=80)
        Draft.objects.create(
            id=record.pk, equipment=house.winch, version=record.version, by=record.by,
            started_at=record.started_at, submitted_at=record.at,
            phone={"saved_at": saved.isoformat()},
        )  # fmt: skip
    assert built(house).needed[ROPES].work.person_hours == Decimal("1.5")


def lone(house: Any) -> None:
    """Nobody but Tam may do it, four and a half hours in a half-day at most."""
    with unguarded():
        Competence.objects.exclude(person=house.people["competent"]).delete()


def test_hours_that_pass_a_half_day_of_a_lone_person_take_two(house: Any) -> None:
    """Five hours do not fit into three and a half, nor into an hour of overtime more."""
    lone(house)
    for _ in range(3):
        make_record(house, minutes=5, hours="5")
    found = built(house)
    plan = found.house.plan_of[ROPES]
    assert (plan.duration, plan.needs[0].quarters) == (2, 10)
    assert usable_slots(found.house, plan), "it can be planned"
    assert any("more half-days than the estimate" in words for words in found.assumptions)
    assert not [words for words in found.unknowns if "out of reach" in words]


def test_hours_on_record_that_no_half_day_holds_are_said_and_the_estimate_is_named(
    house: Any,
) -> None:
    """With every afternoon held, a check that now takes two half-days has none before it is late."""
    lone(house)
    for number in range(DAYS):
        book(house, MONDAY + timedelta(days=number), 13, 18)
    for _ in range(3):
        make_record(house, minutes=5, hours="5")
    beside = {"left_beside_a_show": ["stage_clear", "machine_locked", "nobody_below"]}
    set_planning(venue=house.venue, fields=beside, by=house.people["manager"], at=NOW)
    found = built(house)
    words = next(words for words in found.unknowns if "out of reach" in words)
    assert ROPES in words
    assert "median 5 h of 3 records" in words
    assert "estimate 1 h" in words


def test_a_manager_goes_back_to_the_estimate_and_it_is_said(house: Any) -> None:
    for _ in range(3):
        make_record(house, minutes=5, hours="2.5")
    assert built(house).needed[ROPES].work.person_hours == Decimal("2.5")
    keep_estimate(house, keep=True)
    found = built(house)
    assert found.needed[ROPES].work.person_hours == Decimal(1)
    assert any("keeps the estimate" in words for words in found.assumptions)
    keep_estimate(house, keep=False)
    assert built(house).needed[ROPES].work.person_hours == Decimal("2.5")


def keep_estimate(house: Any, *, keep: bool) -> None:
    set_hours_choice(
        venue=house.venue, regime="winch_ropes_monthly", family="winch", keep_estimate=keep,
        by=house.people["manager"], at=NOW,
    )  # fmt: skip


def test_work_beside_an_examiner_keeps_its_estimate(house: Any) -> None:
    for _ in range(3):
        make_record(house, minutes=90, regime="thorough_twelve_months", hours="9")
    needed = built(house).needed[EXAMINATION]
    assert needed.logged is None
    assert needed.work == needed.estimate


def test_hours_cost_the_same_number_of_questions_however_many_records_there_are(
    house: Any, django_assert_num_queries: Any
) -> None:
    with CaptureQueriesContext(connection) as few:
        built(house)
    for _ in range(9):
        make_record(house, minutes=60, hours="1")
    with django_assert_num_queries(len(few)):
        built(house)


def test_a_day_that_a_person_agreed_stays(house: Any) -> None:
    agree(house, date(2026, 5, 19))
    found = built(house)
    assert found.house.locked == {Task(ROPES, 2 * days_away(date(2026, 5, 19)))}


def test_an_agreed_day_that_cannot_be_kept_is_let_go_and_said(house: Any) -> None:
    agree(house, date(2026, 5, 19))
    book(house, date(2026, 5, 19), 8, 18)
    found = built(house)
    assert found.house.locked == frozenset()
    assert len(found.house.agreed) == 1
    assert any("cannot be kept: " in words and ROPES in words for words in found.unknowns)


def test_two_agreed_days_that_clash_keep_the_first(house: Any) -> None:
    """Only one of two heights below the same top can be worked at in a half-day."""
    low = Place.objects.create(
        venue=house.venue, slug="pit", name="Pit", level=-1, parent=house.winch.place
    )
    other = make_equipment(house.venue, "W2")
    Equipment.objects.filter(pk=other.pk).update(place=low)
    make_plan(other, "winch_ropes_monthly", house)
    agree(house, date(2026, 5, 19))
    second = other.plans.get().tasks.get(number=1)
    change_task(
        task=second, planned_on=date(2026, 5, 19), person=None, why="", by=house.people["manager"],
        at=NOW,
    )  # fmt: skip
    kept = {(task.plan[:2], task.slot % 2) for task in built(house).house.locked}
    assert kept == {("W1", 0), ("W2", 1)}, "the second goes to the other half of the day"


def agree(house: Any, day: date) -> None:
    task = house.plans["winch_ropes_monthly"].tasks.get(number=1)
    change_task(task=task, planned_on=day, person=None, why="", by=house.people["manager"], at=NOW)


def test_an_unknown_calendar_is_said_with_how_much_of_it(house: Any) -> None:
    know_calendar(house, MONDAY + timedelta(days=30))
    found = built(house)
    words = next(words for words in found.unknowns if "The calendar" in words)
    assert f"{2 * (DAYS - 31)} of {2 * DAYS} half-days" in words


def test_the_same_rows_give_the_same_house(house: Any) -> None:
    one, two = (built(house, agreed=nothing_agreed()).house for _ in range(2))
    assert house_sha256(one) == house_sha256(two)
    book(house, MONDAY, 8, 18)
    assert house_sha256(built(house, agreed=nothing_agreed()).house) != house_sha256(one)


def test_plans_of_another_venue_or_of_what_is_stored_are_not_here(house: Any) -> None:
    elsewhere = make_equipment(house.other, "W9")
    make_plan(elsewhere, "winch_ropes_monthly", house)
    stored = make_equipment(house.venue, "W8")
    make_plan(stored, "winch_ropes_monthly", house)
    Equipment.objects.filter(pk=stored.pk).update(standing="stored")
    assert {key[:2] for key in built(house).starts} == {"W1"}


def test_moments_are_read_in_the_venues_own_zone(house: Any) -> None:
    late = datetime(2026, 5, 4, 23, 30, tzinfo=NOW.tzinfo)  # already the 5th in London
    assert house_of(house.venue, MONDAY, 7, late).span.today == TODAY + timedelta(days=1)


def test_a_fixed_day_beyond_the_span_is_no_task_of_its_first_day(house: Any) -> None:
    detector = Equipment.objects.create(
        venue=house.venue, place=house.winch.place, tag="D1", name="Detector",
        kind="beam_smoke_detector", kind_hash="",
    )  # fmt: skip
    plan = make_plan(detector, "beam_detector_panel_weekly", house, last_done=None)
    with unguarded():
        plan.tasks.all().delete()
    first = MONDAY + timedelta(days=1)
    (start,) = starts_of([plan], MONDAY, first, first + timedelta(days=1))
    assert [due > first + timedelta(days=1) for _, due, _ in start.due_days] == [True]
