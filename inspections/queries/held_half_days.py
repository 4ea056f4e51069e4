"""What holds the house in each half-day of a venue, for the planner, the board and the papers."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from inspections.held_half_days import Habits, HalfDay, Hold, Hours, held_half_days
from inspections.models import PlanningSettings
from inspections.queries.planning_settings import settings_of
from inspections.run_days import Booked
from venue.models import Booking, Venue


def half_days_held(
    venue: Venue, first: date, last: date, settings: PlanningSettings | None = None
) -> dict[HalfDay, Hold]:
    """Both days included. Reads the bookings round them too: a run may begin before and end after."""
    habits = habits_of(settings or settings_of(venue).row)
    around = timedelta(days=habits.longest_pause)
    begins = datetime.combine(first, time(), tzinfo=venue.zone) - around
    ends = datetime.combine(last, time(), tzinfo=venue.zone) + timedelta(days=1) + around
    rows = Booking.objects.filter(venue=venue, starts__lt=ends, ends__gt=begins)
    booked = [_booked(row, venue) for row in rows.order_by("starts", "pk")]
    return held_half_days(booked, first, last, venue.calendar_known_until, habits)


def habits_of(row: PlanningSettings) -> Habits:
    hours = Hours(row.morning_starts, row.noon, row.afternoon_ends)
    return Habits(hours, frozenset(row.left_beside_a_show), row.longest_pause)


def hours_of(venue: Venue) -> Hours:
    """When the halves of a day begin and end here."""
    return habits_of(settings_of(venue).row).hours


def _booked(row: Booking, venue: Venue) -> Booked:
    return Booked(
        row.what,
        row.title,
        row.starts.astimezone(venue.zone),
        row.ends.astimezone(venue.zone),
        frozenset(row.leaves_accessible),
        f"{row.source_id} {row.uid}" if row.uid else "",
        str(row),
    )
