"""Which messages a person gets and when; and the link in each that stops them."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from inspections.actions.message_choices import choose_messages, read_stop
from inspections.actions.message_choices import stop_messages as stop
from inspections.forms_messages import MessageChoiceForm
from inspections.models import MessageChoice
from inspections.queries.messages import choice_of, kinds_for, unsent
from inspections.queries.push_devices import devices_of, push_sender
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.actions.send_letter import no_mail_server
from venue.models import Venue


@venue_page("get messages")
def message_choices(request: SignedInRequest, venue: Venue) -> HttpResponse:
    row = choice_of(venue, request.user) or MessageChoice(venue=venue, person=request.user)
    sender = push_sender()
    form = MessageChoiceForm(
        request.POST or None,
        instance=row,
        kinds=kinds_for(request.role),
        devices=sender is not None,
    )
    if request.method == "POST" and form.is_valid():
        choose_messages(
            venue=venue, person=request.user, fields=form.cleaned_data, by=request.user, at=timezone.now()
        )  # fmt: skip
        messages.success(request, "Kept. The next message comes by this.")
        return redirect("message_choices", venue.slug)
    known = {"venue": venue, "form": form, "no_mail": no_mail_server()}
    if sender is not None:
        known |= {"devices": devices_of(request.user), "push_key": sender.public}
    if request.role == "manager":
        known["unsent"] = unsent(venue, local_day(venue))[:20]
    status = 422 if form.errors else 200
    return render(request, "inspections/message_choices.html", known, status=status)


@csrf_exempt  # a mail program sends it, and can show no token; the signed address is the right to
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def stop_messages(request: HttpRequest, token: str) -> HttpResponse:
    """Looking changes nothing: programs that look through mail open every link in it (RFC 8058, 3.1)."""
    found = read_stop(token)
    known = {"venue": found[0].venue, "kind": found[1]} if found else {}
    if found and request.method == "POST":
        stop(member=found[0], kind=found[1], at=timezone.now())
        known["stopped"] = True
    return render(request, "inspections/message_stop.html", {"told": known})
