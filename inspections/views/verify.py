"""For anybody who holds a report or a bundle: no sign-in, and nothing is kept of what is sent."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache

from inspections.evidence.checking.whole import NotEvidence
from inspections.forms_verify import EvidenceForm
from inspections.queries.handed_in import Busy, checked_file, reports_of
from inspections.queries.seals import revoked_seal_of


@login_not_required
@never_cache
def verify(request: HttpRequest) -> HttpResponse:
    """A file is sent, and every point that was checked is told."""
    form = EvidenceForm(request.POST or None, request.FILES or None)
    known: dict[str, object] = {"form": form, "wide": True}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            known["checked"] = checked_file(form.cleaned_data["file"], form.cleaned_data["kept"])
        except NotEvidence as refusal:
            form.add_error("file", str(refusal))
        except Busy as refusal:
            form.add_error(None, str(refusal))
            status = 503
    return render(request, "inspections/verify.html", known, status=status)


@login_not_required
def verify_record(request: HttpRequest, sha256: str) -> HttpResponse:
    """Where the code on a report leads: what this book knows of a report with that record."""
    reports = reports_of(sha256)
    known: dict[str, object] = {"reports": reports, "sha256": sha256}
    known["revoked"] = next(filter(None, map(revoked_seal_of, reports)), None)
    return render(
        request, "inspections/verify_record.html", known, status=200 if reports else 404
    )  # fmt: skip
