"""Links that let outside auditors in: the manager's page, and the door behind the link."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inspections.actions.desk_links import (
    LinkRefused,
    make_desk_link,
    open_desk_link,
    revoke_desk_link,
    sha256_of_token,
)
from inspections.actions.mail_desk_link import LinkNotSent, mail_desk_link
from inspections.forms_desk import DeskLinkForm
from inspections.queries.desk_letters import address_of_link
from inspections.queries.desk_links import link_of_token, link_rows, links_of
from inspections.views.day import local_day
from inspections.views.desk_session import IN_SESSION
from venue.access import SignedInRequest, venue_page
from venue.models import Venue

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@venue_page("let auditors in")
def desk_links(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The new link is on this one answer and on no later page: its secret is kept nowhere."""
    first = {"last_day": local_day(venue) + timedelta(days=30), "send": True}
    form = DeskLinkForm(request.POST or None, initial=first)
    known = {"venue": venue, "form": form}
    if request.method == "POST" and form.is_valid():
        known |= _made(request, venue, form)
    known["rows"] = link_rows(venue, timezone.now())
    answer = render(request, "inspections/desk_links.html", known)
    answer["Cache-Control"] = "no-store"
    return answer


def _made(request: SignedInRequest, venue: Venue, form: DeskLinkForm) -> dict[str, object]:
    said = dict(form.cleaned_data)
    send = said.pop("send")
    try:
        link, token = make_desk_link(venue=venue, by=request.user, at=timezone.now(), **said)
    except LinkRefused as refusal:
        form.add_error(None, str(refusal))
        return {}
    made: dict[str, object] = {
        "made": link,
        "address": address_of_link(token),
        "form": DeskLinkForm(initial=form.initial),
    }
    if send:
        try:
            mail_desk_link(link=link, token=token, at=timezone.now())
            messages.success(request, f"Sent to {link.address}.")
        except LinkNotSent as refusal:
            messages.error(request, str(refusal))
            made["waits"] = refusal.waits
    return made


@require_POST
@venue_page("let auditors in")
def revoke(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    link = get_object_or_404(links_of(venue), pk=pk)
    revoke_desk_link(link=link, by=request.user, at=timezone.now())
    messages.success(request, f"The link of {link.person.name} opens nothing any more.")
    return redirect("desk_links", venue.slug)


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """Looking at it signs nobody in: programs that look through mail open every link in it."""
    link, now = link_of_token(sha256_of_token(token)), timezone.now()
    if link is None:
        raise Http404("There is no such link.")
    standing = link.standing(now)
    if request.method == "POST" and standing == "running":
        open_desk_link(link=link, at=now)
        login(request, link.person, backend=BACKEND)
        request.session[IN_SESSION] = link.pk
        request.session.set_expiry(link.ends_at)
        answer: HttpResponse = redirect("audit", link.venue.slug)
    else:
        known = {"link": link, "standing": standing}
        status = 200 if standing == "running" else 410
        answer = render(request, "inspections/desk_door.html", known, status=status)
    # The address is the secret: it goes to no other page, into no cache and into no index.
    answer["Referrer-Policy"] = "strict-origin"
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex"
    return answer
