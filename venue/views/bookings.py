from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions import house as actions
from venue.forms import BookingForm
from venue.list_order import PAST
from venue.lists.bookings import booking_table
from venue.models import Booking, Venue
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch
from venue.views.long_lists import long_list_page

AT_ONCE = 1000


@venue_page("see pages")
def bookings(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What stands, or with ?show=cancelled what does not."""
    now, cancelled = timezone.now(), request.GET.get("show") == "cancelled"
    rows = Booking.with_cancelled.visible_to(request.user).in_venue(venue).filter(ends__gte=now)
    state = Booking.State.CANCELLED if cancelled else Booking.State.STANDS
    unknown = rows.filter(state=Booking.State.STANDS, what=Booking.What.UNKNOWN).count()

    def ahead() -> Stretch[Booking]:
        those = rows.filter(state=state).select_related("source")
        return stretch_of(those, ("starts", "pk"), request.GET.get(PAST, ""), AT_ONCE)

    page = {"venue": venue, "unknown": unknown, "cancelled": cancelled}
    return long_list_page(request, "venue/bookings.html", booking_table(venue), ahead, page)


@venue_page("plan tasks")
def add_booking(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = BookingForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.add_booking(venue=venue, by=request.user, at=timezone.now(), **form.cleaned_data)
        return redirect("bookings", venue.slug)
    return render(
        request, "venue/form.html", {"venue": venue, "form": form, "title": "Add a booking"}
    )
