"""The certificates a venue seals with: seen by all its people, changed by its manager; the revocation
list is anybody's."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache

from inspections.actions.change_seal import CannotChangeSeal, Revoking, renew_seal, revoke_seal
from inspections.actions.venue_seal import list_of_root, venue_seal
from inspections.forms_seals import RenewForm, RevokeForm
from inspections.queries.seals import seals_of, venue_of_root
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.reports.law import LEVELS
from venue.access import SignedInRequest, venue_page
from venue.models import Venue

REFUSALS = (CannotChangeSeal, KeysUnreadable, SealExpired)


@venue_page("see pages")
def seals(request: SignedInRequest, venue: Venue) -> HttpResponse:
    known = {"venue": venue, "seals": seals_of(venue, request.user), "levels": LEVELS}
    return render(request, "inspections/seals.html", known)


@venue_page("change seals")
def renew(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = RenewForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            why, now = form.cleaned_data["why"], timezone.now()
            venue_seal(venue, now)
            made = renew_seal(venue=venue, why=why, by=request.user, at=now)
            messages.success(request, f"{made} signs from now on.")
            return redirect("seals", venue.slug)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    return render(request, "inspections/seal_renew.html", {"venue": venue, "form": form})


@venue_page("change seals")
def revoke(request: SignedInRequest, venue: Venue, number: int) -> HttpResponse:
    seal = get_object_or_404(seals_of(venue, request.user), number=number)
    form = RevokeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            revoking = Revoking(**form.cleaned_data)
            revoke_seal(seal=seal, revoking=revoking, by=request.user, at=timezone.now())
            messages.success(request, f"{seal} is revoked. Hand the new revocation list on.")
            return redirect("seals", venue.slug)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    known = {"venue": venue, "form": form, "seal": seal}
    return render(request, "inspections/seal_revoke.html", known)


@login_not_required
@never_cache
def revocations(request: HttpRequest, root_sha256: str) -> HttpResponse:
    """The list of the day (RFC 5280, 5), where the certificates say that it is."""
    venue = venue_of_root(root_sha256)
    told = list_of_root(venue, root_sha256, timezone.now()) if venue else b""
    if not told:
        raise Http404("There is no revocation list of such a root here.")
    name = {"Content-Disposition": f'attachment; filename="{root_sha256[:12]}.crl"'}
    return HttpResponse(told, content_type="application/pkix-crl", headers=name)
