from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.countersign_report import CannotCountersign, countersign_report
from inspections.actions.issue_report import MayNotSign
from inspections.forms_proof import CountersignForm
from inspections.queries.issued_reports import reports_of
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.reports.law import LEVELS
from inspections.reports.time_stamps import NotStamped
from venue.access import SignedInRequest, venue_page
from venue.models import Venue

REFUSALS = (CannotCountersign, MayNotSign, KeysUnreadable, SealExpired, NotStamped)


@venue_page("countersign reports")
def countersign(request: SignedInRequest, venue: Venue, number: int) -> HttpResponse:
    """Done in the request: it is a signature, and takes a fraction of a second."""
    report = get_object_or_404(reports_of(venue, request.user), number=number)
    form = CountersignForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            meaning, now = form.cleaned_data["meaning"], timezone.now()
            countersign_report(report=report, signer=request.user, meaning=meaning, at=now)
            messages.success(request, f"You have countersigned report {number}.")
            return redirect("report", venue.slug, number)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    known = {"venue": venue, "report": report, "form": form, "levels": LEVELS}
    return render(request, "inspections/report_countersign.html", known)
