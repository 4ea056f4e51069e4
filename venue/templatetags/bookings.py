"""Words of bookings for templates."""

from __future__ import annotations

from django import template

from venue.models import Booking

register = template.Library()
KINDS = dict(Booking.What.choices)


@register.filter
def booking_kind(what: str) -> str:
    """The kind in words."""
    return str(KINDS.get(what, what))
