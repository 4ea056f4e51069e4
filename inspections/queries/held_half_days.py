from __future__ import annotations

from datetime import date, datetime, time, timedelta

from inspections.held_half_days import Booked, HalfDay, Hold, Hours, held_half_days
from inspections.models import PlanningSettings
from venue.models import Booking, Venue


def half_days_held(venue: Venue, first: date, last: date) -> dict[HalfDay, Hold]:
    """What holds the house in each half-day, both days included."""
    begins = datetime.combine(first, time(), tzinfo=venue.zone)
    ends = datetime.combine(last, time(), tzinfo=venue.zone) + timedelta(days=1)
    rows = Booking.objects.filter(venue=venue, starts__lt=ends, ends__gt=begins)
    booked = [_booked(row, venue) for row in rows]
    return held_half_days(booked, first, last, venue.calendar_known_until, hours_of(venue))


def hours_of(venue: Venue) -> Hours:
    """When the halves of a day begin and end here."""
    row = PlanningSettings.objects.filter(venue=venue).first() or PlanningSettings()
    return Hours(row.morning_starts, row.noon, row.afternoon_ends)


def _booked(row: Booking, venue: Venue) -> Booked:
    return Booked(
        row.what,
        row.title,
        row.starts.astimezone(venue.zone),
        row.ends.astimezone(venue.zone),
        bool(row.leaves_accessible),
    )
