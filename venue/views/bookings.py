from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions import house as actions
from venue.forms import ACCESS_CHOICES, BookingForm
from venue.models import Booking, Venue

SHOWN = 120


@venue_page("see pages")
def bookings(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What stands, or with ?show=cancelled what does not."""
    now, cancelled = timezone.now(), request.GET.get("show") == "cancelled"
    rows = Booking.with_cancelled.visible_to(request.user).in_venue(venue).filter(ends__gte=now)
    state = Booking.State.CANCELLED if cancelled else Booking.State.STANDS
    ahead = rows.filter(state=state).select_related("source")
    words = dict(ACCESS_CHOICES)
    told = [
        (row, [words.get(one, one) for one in row.leaves_accessible], _days(row, venue))
        for row in ahead[:SHOWN]
    ]
    unknown = rows.filter(state=Booking.State.STANDS, what=Booking.What.UNKNOWN).count()
    page = {"venue": venue, "bookings": told, "unknown": unknown, "cancelled": cancelled}
    return render(request, "venue/bookings.html", page | {"shown": SHOWN})


@venue_page("plan tasks")
def add_booking(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = BookingForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.add_booking(venue=venue, by=request.user, at=timezone.now(), **form.cleaned_data)
        return redirect("bookings", venue.slug)
    return render(
        request, "venue/form.html", {"venue": venue, "form": form, "title": "Add a booking"}
    )


def _days(booking: Booking, venue: Venue) -> tuple[date, date]:
    """The first and the last day, on the clock of the house; midnight ends the day before it."""
    last = max(booking.ends - timedelta(seconds=1), booking.starts)
    return booking.starts.astimezone(venue.zone).date(), last.astimezone(venue.zone).date()
