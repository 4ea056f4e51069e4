"""The first hour: its steps, and those that need a page of their own."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from inspections.queries.equipment import labelled
from inspections.queries.set_up import set_up_states
from inspections.set_up_steps import SLUGS, next_step
from inspections.tag_codes import tag_svg
from inspections.views.addresses import address_for_phones, leads_only_here
from venue.access import SignedInRequest, venue_page
from venue.actions import set_up as actions
from venue.actions.first_calendar import first_calendar
from venue.actions.house import change_venue
from venue.calendar.shapes import UnreadableCalendar
from venue.calendar_address import NotFetched
from venue.file_store import StoreFull
from venue.forms_calendars import FirstCalendarForm
from venue.forms_first import HabitsForm
from venue.language_now import said
from venue.models import SetUpStep, Venue
from venue.queries.calendars import calendars_of, unknown_groups
from venue.views.calendars import tried

BY_ADDRESS = "its address"


@require_GET
@venue_page("set up the house")
def steps(request: SignedInRequest, venue: Venue) -> HttpResponse:
    states = set_up_states(venue, timezone.now())
    done = sum(one.state == "done" for one in states)
    page = {"venue": venue, "states": states, "next": next_step(states), "done": done}
    return render(request, "inspections/set_up/steps.html", page)


@require_POST
@venue_page("set up the house")
def say(request: SignedInRequest, venue: Venue, step: str) -> HttpResponse:
    """A step is done, or left for later; then on to the list."""
    said = request.POST.get("said", "")
    if step not in SLUGS or said not in SetUpStep.Said.values:
        raise Http404("No such step.")
    actions.say_of_step(venue=venue, step=step, said=said, by=request.user, at=timezone.now())
    return redirect("set_up", venue.slug)


@require_POST
@venue_page("set up the house")
def end(request: SignedInRequest, venue: Venue) -> HttpResponse:
    actions.end_set_up(venue=venue, by=request.user, at=timezone.now())
    messages.success(request, "The set-up is closed. Its steps stay under House, Set-up.")
    return redirect("overview", venue.slug)


@venue_page("set up the house")
def house(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = HabitsForm(request.POST or None, instance=Venue.objects.get(pk=venue.pk))
    if request.method == "POST" and form.is_valid():
        by, at = request.user, timezone.now()
        change_venue(venue=venue, fields=form.cleaned_data, by=by, at=at)
        actions.say_of_step(venue=venue, step="house", said="done", by=by, at=at)
        return redirect("set_up", venue.slug)
    page = {"venue": venue, "form": form}
    status = 422 if form.errors else 200
    return render(request, "inspections/set_up/house.html", page, status=status)


@venue_page("set up the house")
def calendar(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """A file or an address, tried at once; what its bookings leave accessible is asked behind it."""
    now = timezone.now()
    posted = request.method == "POST"
    form = FirstCalendarForm(request.POST, request.FILES) if posted else FirstCalendarForm()
    if posted and form.is_valid() and (shown := _tried_first(request, venue, form, now)):
        return shown
    page = {
        "venue": venue, "form": form, "calendars": calendars_of(venue, request.user, now),
        "unknown": unknown_groups(venue, request.user, now),
    }  # fmt: skip
    status = 422 if form.errors else 200
    return render(request, "inspections/set_up/calendar.html", page, status=status)


def _tried_first(
    request: SignedInRequest, venue: Venue, form: FirstCalendarForm, now: datetime
) -> HttpResponse | None:
    """What the calendar would do; none where it cannot be read, which the form then says."""
    file, address = form.cleaned_data["file"], form.cleaned_data["address"]
    try:
        found = first_calendar(venue=venue, upload=file, address=address, by=request.user, at=now)
    except (NotFetched, UnreadableCalendar, StoreFull) as refusal:
        form.add_error("file" if file else "address", str(refusal))
        return None
    if found.has_address_now:
        messages.info(request, f"{found.source.name} is fetched from this address from now on.")
    return tried(request, found.source, found.content, file.name if file else BY_ADDRESS)


@require_GET
@venue_page("set up the house")
def tags(request: SignedInRequest, venue: Venue) -> HttpResponse:
    things = list(labelled(venue).values_list("tag", flat=True))
    page = {"venue": venue, "things": len(things), "some": things[:12]}
    return render(request, "inspections/set_up/tags.html", page)


@require_GET
@venue_page("set up the house")
def phone(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The address of the round as a picture for a phone's camera."""
    address = address_for_phones(request, reverse("round", args=[venue.slug]))
    code = tag_svg(address, said("The address of the round"))
    page = {"venue": venue, "address": address, "code": code}
    page["only_here"] = leads_only_here(address)
    return render(request, "inspections/set_up/phone.html", page)
