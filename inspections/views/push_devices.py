"""Messages on a person's devices: allow one, take it back, and the page that a push message opens."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from inspections.actions import push_devices
from inspections.actions.message_choices import stop_path
from inspections.actions.push_devices import CannotAllow
from inspections.models import Message, PushDevice
from inspections.queries.digests import digest_for, waiting_in
from inspections.queries.messages import kinds_for
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@require_POST
@venue_page("get messages")
def allow_device(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What the browser gave for itself, once its person had allowed it there."""
    given = {name: request.POST.get(name, "") for name in ("endpoint", "p256dh", "auth")}
    agent = request.headers.get("User-Agent", "")
    try:
        push_devices.allow_device(person=request.user, agent=agent, at=timezone.now(), **given)
    except CannotAllow as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Allowed. Say above which messages come to your devices.")
    return redirect("message_choices", venue.slug)


@require_POST
@venue_page("get messages")
def remove_device(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    device = get_object_or_404(PushDevice.objects.visible_to(request.user), pk=pk)
    push_devices.remove_device(device=device)
    messages.success(request, "Removed. No message goes to that device any more.")
    return redirect("message_choices", venue.slug)


@require_POST
@venue_page("get messages")
def remove_devices(request: SignedInRequest, venue: Venue) -> HttpResponse:
    push_devices.remove_devices(person=request.user)
    messages.success(request, "Removed. No message goes to any device of yours any more.")
    return redirect("message_choices", venue.slug)


@require_GET
@venue_page("get messages")
def message_now(request: SignedInRequest, venue: Venue, which: str) -> HttpResponse:
    """The message of this kind as it would be written now: what a push message leads to."""
    if which not in kinds_for(request.role):
        raise Http404("Your role here gets no such message.")
    weekly = which == Message.Kind.WEEKLY
    waiting = waiting_in(venue, local_day(venue), for_manager=weekly)
    known = {
        "venue": venue,
        "weekly": weekly,
        "digest": digest_for(venue, request.user, request.role, which, waiting),
        "stop": stop_path(venue, request.user, which),
    }
    return render(request, "inspections/message_now.html", known)
