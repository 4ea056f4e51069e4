"""Dispose of the files of one record, report, remedy, piece of equipment or part: why they stay, or
what goes and what stays."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.dispose import (
    CannotDispose,
    dispose_of_record_files,
    dispose_of_report_files,
    dispose_of_thing_files,
)
from inspections.forms_retention import WhyForm
from inspections.models import Record, Remedy, Report
from inspections.queries.disposal import (
    files_of_record,
    files_of_report,
    hold_stands,
    longest_of,
    records_of_report,
    why_report_stays,
)
from inspections.queries.disposal_of_things import Thing, files_of_thing, known_of, thing_kept
from inspections.queries.retention import kept_record, why_it_stays
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Equipment, Part, Venue


@venue_page("keep retention")
def of_record(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    record = get_object_or_404(Record.objects.in_venue(venue).select_related("venue"), pk=pk)
    form = WhyForm(request.POST or None)
    if _disposed(request, form, partial(dispose_of_record_files, record=record)):
        return redirect("retention", venue.slug)
    said = kept_record(record)
    stays = why_it_stays(said, local_day(venue))
    known = {"record": record, "stays": stays, "kept": said.kept, "files": files_of_record(record)}
    return _page(request, venue, form, known)


@venue_page("keep retention")
def of_report(request: SignedInRequest, venue: Venue, number: int) -> HttpResponse:
    rows = Report.objects.in_venue(venue).select_related("venue", "kept_file")
    report = get_object_or_404(rows, number=number)
    form = WhyForm(request.POST or None)
    if _disposed(request, form, partial(dispose_of_report_files, report=report)):
        return redirect("retention", venue.slug)
    records = records_of_report(report)
    stays = why_report_stays(report, records, local_day(venue), hold_stands(venue))
    known: dict[str, Any] = {"report": report, "stays": stays, "files": files_of_report(report)}
    known["kept"] = None if stays else longest_of(records)
    return _page(request, venue, form, known)


@venue_page("keep retention")
def of_remedy(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = Remedy.objects.in_venue(venue).select_related("finding__venue")
    return _of_thing(request, venue, get_object_or_404(rows, pk=pk))


@venue_page("keep retention")
def of_equipment(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = Equipment.objects.filter(venue=venue).select_related("venue")
    return _of_thing(request, venue, get_object_or_404(rows, pk=pk))


@venue_page("keep retention")
def of_part(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = Part.objects.in_venue(venue).select_related("equipment__venue")
    return _of_thing(request, venue, get_object_or_404(rows, pk=pk))


def _of_thing(request: SignedInRequest, venue: Venue, thing: Thing) -> HttpResponse:
    form = WhyForm(request.POST or None)
    if _disposed(request, form, partial(dispose_of_thing_files, thing=thing)):
        return redirect("retention", venue.slug)
    said = thing_kept(thing, known_of(venue), local_day(venue))
    known: dict[str, Any] = {"thing": thing, "what": thing._meta.model_name, "stays": said.stays}
    known |= {"kept": said.kept, "files": files_of_thing(thing)}
    return _page(request, venue, form, known)


def _disposed(request: SignedInRequest, form: WhyForm, dispose: Callable[..., int]) -> bool:
    """Whether it was asked for and done; a refusal is told in the form."""
    if request.method != "POST" or not form.is_valid():
        return False
    try:
        count = dispose(why=form.cleaned_data["why"], by=request.user, at=timezone.now())
    except CannotDispose as refusal:
        form.add_error(None, str(refusal))
        return False
    messages.success(request, f"Files disposed of: {count}. Their hashes stay.")
    return True


def _page(
    request: SignedInRequest, venue: Venue, form: WhyForm, known: dict[str, Any]
) -> HttpResponse:
    return render(request, "inspections/dispose.html", {"venue": venue, "form": form, **known})
