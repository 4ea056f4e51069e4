from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions import house as actions
from venue.forms import ACCESS_CHOICES, BookingForm
from venue.models import Booking, Venue


@venue_page("see pages")
def bookings(request: SignedInRequest, venue: Venue) -> HttpResponse:
    now = timezone.now()
    rows = Booking.objects.visible_to(request.user).in_venue(venue).filter(ends__gte=now)[:120]
    words = dict(ACCESS_CHOICES)
    told = [
        (row, [words.get(one, one) for one in row.leaves_accessible], _in_one_day(row, venue))
        for row in rows
    ]
    return render(request, "venue/bookings.html", {"venue": venue, "bookings": told})


@venue_page("plan tasks")
def add_booking(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = BookingForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.add_booking(venue=venue, by=request.user, at=timezone.now(), **form.cleaned_data)
        return redirect("bookings", venue.slug)
    return render(
        request, "venue/form.html", {"venue": venue, "form": form, "title": "Add a booking"}
    )


def _in_one_day(booking: Booking, venue: Venue) -> bool:
    days = {each.astimezone(venue.zone).date() for each in (booking.starts, booking.ends)}
    return len(days) == 1
