"""What the year planner is told about a venue, with what is assumed where it was told nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from inspections.models import ExaminerTrade, PlanningSettings, SetUpPrice, WorkingWeek
from inspections.models.planning_settings import (
    LEFT_BESIDE_A_SHOW,
    MONDAY_TO_FRIDAY,
    OFFICE_DAYS,
)
from inspections.work_files import work_needs
from venue.models import Membership, Person, Venue

WHO_WORKS = ("manager", "competent", "stagehand")


@dataclass(frozen=True)
class Told:
    """A row, and whether the venue gave it; else it holds the defaults and is not stored."""

    row: PlanningSettings
    given: bool


def settings_of(venue: Venue) -> Told:
    row = PlanningSettings.objects.filter(venue=venue).first()
    if row:
        return Told(row, True)
    return Told(PlanningSettings(venue=venue, left_beside_a_show=list(LEFT_BESIDE_A_SHOW)), False)


def trade_rows(venue: Venue) -> dict[str, tuple[ExaminerTrade, bool]]:
    """Every trade that the work needs name, by its slug, and whether the venue gave it."""
    given = {
        row.slug: row for row in ExaminerTrade.objects.filter(venue=venue).select_related("person")
    }
    found = {}
    for slug, trade in work_needs().trades.items():
        default = ExaminerTrade(
            venue=venue, slug=slug, day_fee=trade.day_fee, hours_a_day=trade.hours_a_day,
            notice_days=trade.notice_days, weekdays=list(OFFICE_DAYS),
        )  # fmt: skip
        found[slug] = (given.get(slug, default), slug in given)
    return found


def set_up_rows(venue: Venue) -> dict[str, tuple[SetUpPrice, bool]]:
    """Price and notice of every set-up, by its slug, and whether the venue gave them."""
    given = {row.slug: row for row in SetUpPrice.objects.filter(venue=venue)}
    found = {}
    for slug, kind in work_needs().set_ups.items():
        default = SetUpPrice(venue=venue, slug=slug, price=kind.price, notice_days=kind.notice_days)
        found[slug] = (given.get(slug, default), slug in given)
    return found


def weeks_of(venue: Venue, people: Iterable[Person]) -> list[tuple[WorkingWeek, bool]]:
    """The working week of each person, and whether it was given."""
    given = {row.person_id: row for row in WorkingWeek.objects.filter(venue=venue)}
    return [
        (
            given.get(person.pk)
            or WorkingWeek(venue=venue, person=person, half_days=list(MONDAY_TO_FRIDAY)),
            person.pk in given,
        )
        for person in people
    ]


def people_who_work(venue: Venue) -> list[Person]:
    """Those of the house who may be given a check, in the order of their names."""
    rows = Membership.objects.filter(venue=venue, ended_on__isnull=True, role__in=WHO_WORKS)
    return [row.person for row in rows.select_related("person").order_by("person__name", "pk")]


def quarters(hours: Decimal) -> int:
    """Quarter-hours, rounded up.

    >>> quarters(Decimal("0.5")), quarters(Decimal("0.3"))
    (2, 2)
    """
    return ceil(hours * 4)


def coins(money: Decimal) -> int:
    """The smallest coin.

    >>> coins(Decimal("12.34"))
    1234
    """
    return int((money * 100).to_integral_value())
