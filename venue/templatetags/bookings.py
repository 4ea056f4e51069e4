"""Words of bookings for templates."""

from __future__ import annotations

from datetime import datetime, timedelta

from django import template

from venue.models import Booking

register = template.Library()
KINDS = dict(Booking.What.choices)


@register.filter
def booking_kind(what: str) -> str:
    """The kind in words."""
    return str(KINDS.get(what, what))


@register.filter
def last_day(ends: datetime) -> datetime:
    """A moment of the last day; the midnight after it belongs to the next."""
    return ends - timedelta(seconds=1)
