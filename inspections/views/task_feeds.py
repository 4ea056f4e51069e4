"""Feeds of tasks for calendar programs: the calendar itself, and the pages that keep its address."""

from __future__ import annotations

import hashlib
from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET, require_POST, require_safe

from inspections.actions.task_feeds import (
    renew_feed_of_person,
    renew_feed_of_place,
    withdraw_feed,
)
from inspections.forms_feeds import FeedForm
from inspections.models import TaskFeed
from inspections.queries.task_feeds import (
    address_of,
    examiners_of,
    feed_by_token,
    feed_calendar,
    feed_rows,
    own_feed,
)
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.places import place_tree
from venue.roles import may


@login_not_required
@require_safe
def task_feed(request: HttpRequest, pk: int, token: str) -> HttpResponse:
    """Whoever has the secret address reads it; a calendar program cannot sign in."""
    feed = feed_by_token(pk, token)
    if feed is None:
        raise Http404("There is no such calendar.")
    content = feed_calendar(feed, timezone.now())
    etag = f'"{hashlib.sha256(content).hexdigest()}"'
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="tasks.ics"'
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    response["X-Robots-Tag"] = "noindex"
    response["X-Content-Type-Options"] = "nosniff"
    return cast(HttpResponse, get_conditional_response(request, etag=etag, response=response))


@require_GET
@venue_page("carry out checks")
def task_feeds(request: SignedInRequest, venue: Venue) -> HttpResponse:
    return _page(request, venue, None)


@require_POST
@venue_page("carry out checks")
def renew_own(request: SignedInRequest, venue: Venue) -> HttpResponse:
    renew_feed_of_person(venue=venue, person=request.user, by=request.user, at=timezone.now())
    messages.success(request, "This is your calendar's address now. An earlier one is dead.")
    return redirect("task_feeds", venue.slug)


@require_POST
@venue_page("carry out checks")
def withdraw_own(request: SignedInRequest, venue: Venue) -> HttpResponse:
    feed = own_feed(venue, request.user)
    if feed:
        withdraw_feed(feed=feed, by=request.user, at=timezone.now())
        messages.success(request, "The address no longer answers.")
    return redirect("task_feeds", venue.slug)


@require_POST
@venue_page("plan tasks")
def add_feed(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """For a place or an outside examiner; a new address takes the place of an earlier one."""
    form = _form(request, venue)
    if not form.is_valid():
        return _page(request, venue, form)
    place, person = form.place(), form.person()
    if place:
        renew_feed_of_place(venue=venue, place=place, by=request.user, at=timezone.now())
    elif person:
        renew_feed_of_person(venue=venue, person=person, by=request.user, at=timezone.now())
    return redirect("task_feeds", venue.slug)


@require_POST
@venue_page("plan tasks")
def withdraw(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = TaskFeed.objects.visible_to(request.user).in_venue(venue)
    feed = get_object_or_404(rows.select_related("person", "place", "venue"), pk=pk)
    withdraw_feed(feed=feed, by=request.user, at=timezone.now())
    messages.success(request, f"{feed}: the address no longer answers.")
    return redirect("task_feeds", venue.slug)


def _form(request: SignedInRequest, venue: Venue) -> FeedForm:
    places, examiners = place_tree(venue), examiners_of(venue)
    return FeedForm(request.POST or None, places=places, examiners=examiners)


def _page(request: SignedInRequest, venue: Venue, form: FeedForm | None) -> HttpResponse:
    own, manages = own_feed(venue, request.user), may(request.role, "plan tasks")
    page: dict[str, Any] = {
        "venue": venue,
        "own": own,
        "own_address": address_of(own) if own else "",
    }
    if manages:
        others = [row for row in feed_rows(venue, request.user) if not own or row.feed != own]
        page |= {"form": form or _form(request, venue), "feeds": others}
    status = 422 if form and form.errors else 200
    return render(request, "inspections/task_feeds.html", page, status=status)
