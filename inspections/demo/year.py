"""The Larkspur's year: what the manager told the planner, and the plan that is in force.

It begins when the days that people agreed by hand are over, so that the rounds of the coming weeks
stay theirs. Made at once, without a search, so that the same day gives the same plan.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

from inspections.actions.planning_settings import (
    add_absence,
    set_examiner_trade,
    set_planning,
    set_working_week,
)
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.actions.year_plan_states import propose_year_plan
from inspections.demo.loose_ends import AGREED_DAYS
from inspections.demo.scenario import JONAS, ODILE, PRIYA, TAM
from inspections.models import YearPlan
from inspections.models.planning_settings import LEFT_BESIDE_A_SHOW, OFFICE_DAYS
from venue.models import Person, Venue

DAYS = 364
# Where the planner counts one person twice, which publishing asks about.
ALTHOUGH = "The caretaker stands by where two lifts are looked at on one half-day."
STANDS_FOR = 3  # days: from Saturday’s show to Wednesday’s the set is struck
# Half-days of the week: Monday morning is 0. Odile inspects one morning a week and no more.
WEEKS = {
    TAM: (tuple(range(10)), "3.50"), JONAS: (tuple(range(10)), "3.50"),
    PRIYA: ((0, 1, 2, 3, 4, 5, 6, 7), "3.00"), ODILE: ((0, 2), "2.00"),
}  # fmt: skip


def plan_the_year(*, venue: Venue, people: dict[str, Person], at: datetime) -> YearPlan:
    """Published, with what it could not keep lawful said on it."""
    odile = people[ODILE]
    venue.refresh_from_db()  # the calendar is entered further since it was read
    tell_the_planner(venue=venue, people=people, at=at)
    plan = make_quick_plan(
        venue=venue, first_day=first_day(at.astimezone(venue.zone).date()), days=DAYS,
        by=odile, at=at,
    )  # fmt: skip
    propose_year_plan(year_plan=plan, by=odile, at=at)
    publish_year_plan(year_plan=plan, by=odile, at=at, although=ALTHOUGH)
    return plan


def first_day(today: date) -> date:
    """The first Monday after the days that people agreed."""
    after = today + timedelta(days=AGREED_DAYS + 1)
    return after + timedelta(days=-after.weekday() % 7)


def tell_the_planner(*, venue: Venue, people: dict[str, Person], at: datetime) -> None:
    odile, today = people[ODILE], at.astimezone(venue.zone).date()
    prices = {
        "money_unit": "£", "hour_price": Decimal("34.00"), "overtime_price": Decimal("17.00"),
        "week_target_hours": Decimal("30.00"), "left_beside_a_show": list(LEFT_BESIDE_A_SHOW),
        "longest_pause": STANDS_FOR,
    }  # fmt: skip
    set_planning(venue=venue, fields=prices, by=odile, at=at)
    for email, (half_days, hours) in WEEKS.items():
        week = {"half_days": list(half_days), "hours": Decimal(hours),
                "overtime_hours": Decimal("1.00")}  # fmt: skip
        set_working_week(venue=venue, person=people[email], fields=week, by=odile, at=at)
    fee = {"day_fee": Decimal("980.00"), "hours_a_day": Decimal("7.00"), "notice_days": 14,
           "weekdays": list(OFFICE_DAYS)}  # fmt: skip
    set_examiner_trade(venue=venue, slug="lifting", fields=fee, by=odile, at=at)
    away = first_day(today) + timedelta(days=91)
    add_absence(
        venue=venue, person=people[JONAS], first_day=away, last_day=away + timedelta(days=13),
        why="Leave", by=odile, at=at,
    )  # fmt: skip
