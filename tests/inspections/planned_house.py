"""A small house with a planned year: three winches in two places, a week that the house is held."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from inspections.actions.plans import apply_regime
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.models import PlannedTask, YearPlan
from inspections.regime_files import regimes
from tests.house import NOW, make_equipment, make_house, make_rope
from venue.models import Booking, Place, Venue

FIRST, DAYS = date(2026, 6, 1), 91  # a Monday
REGIMES = ("winch_ropes_monthly", "winch_quarterly")


def make_planned_house(winches: int = 3, now: datetime = NOW, first: date = FIRST) -> Any:
    """`house.year_plan` is a draft. The second week of June is held by a load-in."""
    house = make_house()
    today = now.astimezone(house.venue.zone).date()
    Venue.objects.filter(pk=house.venue.pk).update(calendar_known_until=today + timedelta(days=700))
    house.venue.refresh_from_db()
    house.gallery = Place.objects.create(
        venue=house.venue, slug="gallery", name="Fly gallery", level=3, walking_order=2
    )
    # Each holds a place, so both are tops: nobody at one of them works above the other.
    for top in (house.winch.place, house.gallery):
        Place.objects.create(
            venue=house.venue, slug=f"{top.slug}-store", name=f"{top.name} store", parent=top,
            level=top.level, walking_order=9,
        )  # fmt: skip
    house.winches = [house.winch, *(_winch(house, number) for number in range(2, winches + 1))]
    for winch in house.winches:
        for slug in REGIMES:
            apply_regime(
                equipment=winch, regime=regimes()[slug], anchor=today + timedelta(days=40),
                last_done_on=today - timedelta(days=5), by=house.people["manager"], at=now,
            )  # fmt: skip
    house.load_in = hold(house, first + timedelta(days=7), first + timedelta(days=11))
    house.year_plan = make_quick_plan(
        venue=house.venue, first_day=first, days=DAYS, by=house.people["manager"], at=now
    )
    return house


def _winch(house: Any, number: int) -> Any:
    winch = make_equipment(house.venue, f"W{number}")
    if number % 2 == 0:
        winch.place = house.gallery
        winch.save(update_fields=["place"])
    make_rope(winch)
    return winch


def hold(house: Any, first: date, last: date, what: str = "load_in") -> Booking:
    """From eight in the morning of the first day to ten in the evening of the last."""
    return Booking.objects.create(
        venue=house.venue, what=what, title="Brass and Bunting",
        starts=datetime.combine(first, datetime.min.time(), UTC) + timedelta(hours=8),
        ends=datetime.combine(last, datetime.min.time(), UTC) + timedelta(hours=22),
        leaves_accessible=[],
    )  # fmt: skip


def a_task(plan: YearPlan, tag: str = "W1") -> PlannedTask:
    return plan.planned.filter(equipment__tag=tag).order_by("day", "pk").first()
