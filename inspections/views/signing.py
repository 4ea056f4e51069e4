"""The page on which whoever made a check on a phone signs it once it has arrived."""

from __future__ import annotations

from uuid import UUID

from allauth.core import ratelimit
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.sign_check import sign_with_password
from inspections.forms_proof import PasswordForm
from inspections.models import Record
from inspections.passkey_signatures import NotSigned
from inspections.queries.passkeys import signing_for_phone
from inspections.queries.signatures import signing_of
from inspections.reports.law import LEVELS
from inspections.signature_words import MEANS, MEANS_NOT, PASSWORD_MEANS
from venue.access import SignedInRequest, venue_page
from venue.models import Venue

TOO_OFTEN = "Too many passwords were tried. Wait a minute."


@venue_page("carry out checks")
def sign_check(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    mine = Record.objects.visible_to(request.user).filter(by=request.user, sent__isnull=False)
    record = get_object_or_404(mine.select_related("equipment", "version", "sent"), pk=pk)
    form = PasswordForm(request.POST or None)
    if form.is_valid():
        if fault := _sign(request, record, form.cleaned_data["password"]):
            form.add_error("password", fault)
        else:
            return redirect("record", venue.slug, pk)
    shown = {
        "venue": venue, "record": record, "form": form, "signing": signing_of(record),
        "told": signing_for_phone(record.sent, request.user),
        "passkey_means": (MEANS, MEANS_NOT), "password_means": PASSWORD_MEANS,
        "levels": LEVELS,
    }  # fmt: skip
    return render(request, "inspections/sign_check.html", shown)


def _sign(request: SignedInRequest, record: Record, password: str) -> str:
    """Empty, or why it is not signed. A thief of an open phone may not try for ever."""
    if not ratelimit.consume(request, action="reauthenticate", user=request.user):
        return TOO_OFTEN
    try:
        sign_with_password(record=record, password=password, by=request.user, at=timezone.now())
    except NotSigned as fault:
        return str(fault)
    return ""
