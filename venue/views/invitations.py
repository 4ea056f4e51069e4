"""Invite somebody; come in by an invitation."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from venue.access import SignedInRequest, venue_page
from venue.actions import invitations as actions
from venue.actions.mail_invitation import NotSent, address_of_invitation, mail_invitation
from venue.actions.people import PersonRefused
from venue.forms_people import InviteForm, OwnPasswordForm
from venue.models import Membership, Venue
from venue.views.first import SIGNED_IN_BY


@venue_page("manage people")
def invite(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = InviteForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            membership, token = actions.invite_person(
                venue=venue, email=said["email"], name=said["name"], role=said["role"],
                certificate=form.given(), by=request.user, at=timezone.now(),
            )  # fmt: skip
            return _handed_over(request, membership, token)
        except PersonRefused as refusal:
            form.add_error(None, str(refusal))
    status = 422 if form.errors else 200
    return render(request, "venue/invite.html", {"venue": venue, "form": form}, status=status)


@require_POST
@venue_page("manage people")
def renew(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Another link for somebody who has not been here yet; the last one is dead."""
    running = Membership.objects.visible_to(request.user).filter(ended_on__isnull=True)
    rows = running.select_related("person", "venue")
    membership = get_object_or_404(rows, pk=pk, venue=venue)
    try:
        token = actions.renew_invitation(membership=membership, by=request.user, at=timezone.now())
    except PersonRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("people", venue.slug)
    return _handed_over(request, membership, token)


def _handed_over(request: SignedInRequest, membership: Membership, token: str) -> HttpResponse:
    """By mail; where that cannot be, the link is shown this once."""
    person, venue = membership.person, membership.venue
    if not token:
        words = f"{person.name} was here before, or in another house, and has a role here now."
        messages.success(request, words)
        return redirect("people", venue.slug)
    try:
        mail_invitation(membership=membership, token=token, by=request.user)
    except NotSent as fault:
        page = {"venue": venue, "person": person, "why": str(fault)}
        page["address"] = address_of_invitation(token)
        return render(request, "venue/invitation_link.html", page)
    messages.success(request, f"{person.name} was sent a link to {person.email}.")
    return redirect("people", venue.slug)


@never_cache
@sensitive_post_parameters("password")
@login_not_required
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Whoever was invited chooses a password, and is in."""
    try:
        person = actions.invited(token)
        form = OwnPasswordForm(request.POST or None, person=person)
        if request.method == "POST" and form.is_valid():
            password = form.cleaned_data["password"]
            person = actions.accept_invitation(token=token, password=password, at=timezone.now())
            login(request, person, backend=SIGNED_IN_BY)
            messages.success(request, "You are in. A passkey can be added under Account.")
            return redirect("home")
    except actions.InvitationRefused as refusal:
        return render(request, "venue/invitation.html", {"refused": str(refusal)}, status=410)
    status = 422 if form.errors else 200
    return render(request, "venue/invitation.html", {"person": person, "form": form}, status=status)
