"""A venue whose year can be planned: a winch, a catwalk and a curtain, everybody, an entered calendar."""

from __future__ import annotations

import uuid
from datetime import date, datetime, time, timedelta
from typing import Any

from inspections.actions.plans import apply_regime
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.models import Plan, Record, YearPlan
from inspections.regime_files import regimes
from tests.house import NOW, TODAY, make_equipment, make_house, make_person
from venue.models import Booking, Equipment, Person, Venue

MONDAY = date(2026, 5, 11)  # a week after TODAY
DAYS = 91
REGIMES = ("winch_ropes_monthly", "winch_quarterly", "thorough_twelve_months")


def make_year_house() -> Any:
    """The small house with three plans on its winch and a calendar that is entered for 400 days."""
    house = make_house()
    know_calendar(house, TODAY + timedelta(days=400))
    house.plans = {slug: make_plan(house.winch, slug, house) for slug in REGIMES}
    return house


def know_calendar(house: Any, until: date | None) -> None:
    Venue.objects.filter(pk=house.venue.pk).update(calendar_known_until=until)
    house.venue.refresh_from_db()


def make_plan(
    equipment: Equipment, slug: str, house: Any, last_done: date | None = date(2026, 4, 20)
) -> Plan:
    """Last done on 20 April 2026 unless told otherwise."""
    return apply_regime(
        equipment=equipment, regime=regimes()[slug], anchor=last_done or TODAY,
        last_done_on=last_done, by=house.people["manager"], at=NOW,
    )  # fmt: skip


def make_winches(house: Any, count: int) -> None:
    for number in range(2, count + 2):
        winch = make_equipment(house.venue, f"W{number}")
        make_plan(winch, "winch_ropes_monthly", house)


def book(
    house: Any, day: date, first: int, last: int, *leaves: str, title: str = "The Glass Ferry",
    until: date | None = None,
) -> Booking:  # fmt: skip
    """Whole hours by the clock on the wall; hour 24 is the midnight that ends the day."""

    def moment(on: date, hour: int) -> datetime:
        return datetime.combine(on, time(), house.venue.zone) + timedelta(hours=hour)

    return Booking.objects.create(
        venue=house.venue, what="performance", title=title, starts=moment(day, first),
        ends=moment(until or day, last), leaves_accessible=list(leaves),
    )  # fmt: skip


def make_draft(house: Any, first_day: date = MONDAY, days: int = DAYS) -> YearPlan:
    return make_quick_plan(
        venue=house.venue, first_day=first_day, days=days, by=house.people["manager"], at=NOW
    )


def make_examiner(house: Any, name: str) -> Person:
    """One more outside examiner, whose certificate is valid for years."""
    return make_person(house.venue, "examiner", name)


def make_record(
    house: Any, minutes: int, regime: str = "winch_ropes_monthly", hours: str = "",
    people: int | None = None,
) -> Record:  # fmt: skip
    """A check whose form was open so long, with hours entered or not; nothing else about it
    matters here."""
    plan, ended = house.plans[regime], NOW - timedelta(days=40)
    told: dict[str, Any] = {"hours_worked": hours, "people_worked": people} if hours else {}
    return Record.objects.create(
        id=uuid.uuid4(), venue=house.venue, equipment=house.winch, version=plan.version,
        by=house.people["competent"], by_name="Tam", by_role="competent", by_competence="Card",
        may_sign=True, started_at=ended - timedelta(minutes=minutes), at=ended,
        done_on=ended.date(), state="fit", body="{}", sha256="0" * 64, **told,
    )  # fmt: skip
