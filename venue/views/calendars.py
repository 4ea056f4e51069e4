"""Calendars that bookings come from: try one, look, confirm."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from venue.access import SignedInRequest, venue_page
from venue.actions import calendars as actions
from venue.actions.fetch_calendars import in_words
from venue.actions.import_calendar import (
    Agreed,
    CalendarMovedOn,
    CannotBeComplete,
    import_calendar,
    try_calendar,
)
from venue.actions.tried_files import KeptFileGone, keep_for_later, kept_for_later
from venue.calendar.comparison import Comparison
from venue.calendar.shapes import UnreadableCalendar
from venue.calendar_address import NotFetched, fetch_calendar
from venue.file_store import StoreFull
from venue.forms_calendars import (
    CalendarFileForm,
    CalendarForm,
    CompleteForm,
    Slip,
    agreed_to,
    to_agree_to,
)
from venue.models import CalendarSource, Venue
from venue.queries.calendars import calendars_of

SHOWN = 500


@require_GET
@venue_page("plan tasks")
def calendars(request: SignedInRequest, venue: Venue) -> HttpResponse:
    rows = calendars_of(venue, request.user, timezone.now())
    page = {"venue": venue, "calendars": rows, "form": CalendarFileForm()}
    return render(request, "venue/calendars.html", page)


@venue_page("plan tasks")
def add_calendar(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = CalendarForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            actions.add_calendar(
                venue=venue, by=request.user, at=timezone.now(), **form.cleaned_data
            )
            return redirect("calendars", venue.slug)
        except actions.NameTaken as refusal:
            form.add_error("name", str(refusal))
    return _form(request, venue, form, "Add a calendar")


@venue_page("plan tasks")
def change_calendar(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    source = _source(request, venue, pk)
    known = {"name": source.name, "address": source.address}
    form = CalendarForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_calendar(
                source=source, by=request.user, at=timezone.now(), **form.cleaned_data
            )
            return redirect("calendars", venue.slug)
        except actions.NameTaken as refusal:
            form.add_error("name", str(refusal))
    return _form(request, venue, form, f"Change {source.name}")


@venue_page("plan tasks")
def end_calendar(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    source = _source(request, venue, pk)
    if request.method != "POST":
        page = {"venue": venue, "source": source}
        return render(request, "venue/calendar_end.html", page)
    ahead = actions.end_calendar(source=source, by=request.user, at=timezone.now())
    one = f"{source.name} has ended; 1 booking ahead is cancelled."
    many = f"{source.name} has ended; {ahead} bookings ahead are cancelled."
    messages.success(request, one if ahead == 1 else many)
    return redirect("calendars", venue.slug)


@require_POST
@venue_page("plan tasks")
def calendar_try(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Say what the file would do. Nothing is changed; the file is kept for the confirmation."""
    source = _source(request, venue, pk)
    form = CalendarFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _refused(
            request, source, " ".join(map(str, form.errors.get("file", ["Choose a file."])))
        )
    upload = form.cleaned_data["file"]
    return tried(request, source, upload.read(), upload.name)


@require_POST
@venue_page("plan tasks")
def calendar_fetch(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    source = _source(request, venue, pk)
    if not source.address:
        return _refused(request, source, "This calendar has no address to fetch it from.")
    try:
        return tried(request, source, fetch_calendar(source.address), "fetched from its address")
    except NotFetched as fault:
        return _refused(request, source, str(fault))


@require_POST
@venue_page("plan tasks")
def calendar_apply(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Apply the calendar that was tried: all of it, exactly as it was shown, or nothing."""
    source = _source(request, venue, pk)
    slip = agreed_to(request.POST.get("agreed", ""), source=source, person=request.user)
    if slip is None:
        words = "This confirmation is too old or not yours. Send the calendar again."
        return _refused(request, source, words)
    form, content = CompleteForm(request.POST), b""
    try:
        content = kept_for_later(slip.sha256)
        if not form.is_valid():
            raise CannotBeComplete(" ".join(map(str, form.errors["until"])))
        agreed = Agreed(slip.digest, form.cleaned_data["until"])
        done = import_calendar(
            source=source, content=content, file_name=slip.file_name, by=request.user,
            at=timezone.now(), agreed=agreed,
        )  # fmt: skip
    except KeptFileGone as refusal:
        return _refused(request, source, str(refusal))
    except (CannotBeComplete, CalendarMovedOn) as refusal:
        messages.error(request, str(refusal))
        return tried(request, source, content, slip.file_name)
    messages.success(request, f"{source.name} is read: {in_words(done)}")
    following = "what_kinds_leave" if venue.set_up_since else "calendars"
    return redirect("unknown_bookings" if done.unknown else following, venue.slug)


def _source(request: SignedInRequest, venue: Venue, pk: int) -> CalendarSource:
    running = CalendarSource.objects.visible_to(request.user).in_venue(venue)
    return get_object_or_404(running.filter(ended_on=None).select_related("venue"), pk=pk)


def _form(request: SignedInRequest, venue: Venue, form: CalendarForm, title: str) -> HttpResponse:
    status = 422 if form.errors else 200
    page = {"venue": venue, "form": form, "title": title}
    return render(request, "venue/form.html", page, status=status)


def _refused(request: SignedInRequest, source: CalendarSource, words: str) -> HttpResponse:
    rows = calendars_of(source.venue, request.user, timezone.now())
    page = {
        "venue": source.venue, "calendars": rows, "form": CalendarFileForm(),
        "refused": source, "words": words,
    }  # fmt: skip
    return render(request, "venue/calendars.html", page, status=422)


def tried(
    request: SignedInRequest, source: CalendarSource, content: bytes, name: str
) -> HttpResponse:
    try:
        comparison = try_calendar(source=source, content=content, at=timezone.now())
        sha256 = keep_for_later(content=content, at=timezone.now())
    except (UnreadableCalendar, StoreFull) as fault:
        return _refused(request, source, str(fault))
    slip = Slip(source.pk, request.user.pk, sha256, name, comparison.digest())
    return _result(request, source, comparison, slip)


def _result(
    request: SignedInRequest, source: CalendarSource, comparison: Comparison, slip: Slip
) -> HttpResponse:
    venue = source.venue
    page = {
        "venue": venue, "source": source, "file_name": slip.file_name, "comparison": comparison,
        "counts": comparison.counts(), "changes": comparison.changes[:SHOWN], "shown": SHOWN,
        "agreed": to_agree_to(slip), "form": CompleteForm(),
    }  # fmt: skip
    return render(request, "venue/calendar_result.html", page)
