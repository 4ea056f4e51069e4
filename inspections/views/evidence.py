from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.ask_for_evidence import ask_for_evidence
from inspections.actions.ask_for_job import TooManyAsked
from inspections.actions.made_files import KEPT_FOR, made_folder
from inspections.forms_proof import SpanForm
from inspections.queries.asked_bundles import (
    AskedBundle,
    asked_bundle,
    bundle_jobs,
    newest_bundles,
)
from inspections.queries.issued_reports import exports_of
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.background import background_work


@venue_page("export evidence")
def evidence(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Ask for the bundle of some days; the bundles that were asked for and handed out."""
    now, today = timezone.now(), local_day(venue)
    first = {"start": today - timedelta(days=365), "end": today}
    # The desk sends along the days that it shows.
    sent_along = {name: request.GET[name] for name in first if name in request.GET}
    form = SpanForm(request.POST or None, initial=first | sent_along)
    if request.method == "POST" and form.is_valid():
        try:
            days = form.cleaned_data
            job, new = ask_for_evidence(venue=venue, by=request.user, at=now, **days)
            if not new:
                messages.info(request, "The bundle of these days is being made already: this one.")
            return redirect("evidence_job", venue.slug, job.pk)
        except TooManyAsked as refusal:
            form.add_error(None, str(refusal))
    known = {"venue": venue, "form": form, "background": background_work(now)}
    known["bundles"] = newest_bundles(venue, request.user, now)
    known["exports"] = exports_of(venue, request.user)
    return render(request, "inspections/evidence_page.html", known | {"kept_for": KEPT_FOR})


@venue_page("export evidence")
def evidence_job(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """How far a bundle is. The page asks again by itself until the bundle is ready or has failed."""
    bundle = _bundle(request, venue, pk)
    known = {"venue": venue, "bundle": bundle, "kept_for": KEPT_FOR}
    known["background"] = None if bundle.ended else background_work(bundle.now)
    return render(request, "inspections/evidence_job.html", known)


@venue_page("export evidence")
def evidence_download(
    request: SignedInRequest, venue: Venue, pk: int
) -> FileResponse | HttpResponse:
    bundle = _bundle(request, venue, pk)
    if bundle.state != "ready":
        return redirect("evidence_job", venue.slug, pk)
    path = made_folder() / bundle.job.result["file"]
    if not path.exists():
        raise Http404("The file is no longer there. Ask for the bundle again.")
    return FileResponse(
        path.open("rb"), as_attachment=True, filename=bundle.file_name,
        content_type="application/zip",
    )  # fmt: skip


def _bundle(request: SignedInRequest, venue: Venue, pk: int) -> AskedBundle:
    job = get_object_or_404(bundle_jobs(venue, request.user), pk=pk)
    return asked_bundle(job, timezone.now())
