from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.open_finding import NeedsWhy, press_out_of_service
from inspections.actions.return_to_service import (
    RemedyRefused,
    ReturnRefused,
    record_remedy,
    return_to_service,
)
from inspections.forms import RemedyForm, ReturnForm
from inspections.lists.findings import finding_table
from inspections.lists.orders import order_table
from inspections.models import Finding, Order
from inspections.queries.overview import findings, findings_read, open_findings, orders_read
from inspections.views.audit_questions import questions_here
from inspections.views.day import local_day
from inspections.views.first import shown_first
from venue.access import SignedInRequest, venue_page
from venue.actions.keep_file import NotADocument
from venue.file_store import StoreFull
from venue.list_order import PAST
from venue.models import Equipment, Venue
from venue.photographs import NotAPhotograph
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def finding_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    everything = request.GET.get("show") == "all"
    rows = findings if everything else open_findings
    return long_list_page(
        request, "inspections/finding_list.html", finding_table(venue),
        lambda: findings_read(rows(venue), request.GET.get(PAST, "")),
        {"venue": venue, "all": everything},
    )  # fmt: skip


@venue_page("see pages")
def order_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Every order; those in force and those to come where nothing else is asked."""
    everything = request.GET.get("show") == "all"
    return long_list_page(
        request, "inspections/order_list.html", order_table(venue, local_day(venue)),
        lambda: orders_read(venue, request.GET.get(PAST, ""), lifted=everything),
        {"venue": venue, "all": everything},
    )  # fmt: skip


@venue_page("see pages")
def finding_page(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    finding = _finding(request, venue, pk)
    shown = {
        "venue": venue,
        "today": local_day(venue),
        "finding": finding,
        "remedy_form": RemedyForm(),
        "return_form": ReturnForm(),
        **questions_here(request, venue, finding=finding),
    }
    return render(request, "inspections/finding.html", shown)


@venue_page("take out of service")
def take_out(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """One tap away from everywhere: a reason, and it bites."""
    equipment = get_object_or_404(Equipment.objects.visible_to(request.user), pk=pk, venue=venue)
    fault = ""
    if request.method == "POST":
        try:
            why = request.POST.get("why", "")
            press_out_of_service(equipment=equipment, why=why, by=request.user, at=timezone.now())
            return redirect("by_tag", venue.slug, equipment.tag)
        except NeedsWhy as needs:
            fault = str(needs)
    return render(
        request,
        "inspections/take_out.html",
        {
            "venue": venue,
            "equipment": equipment,
            "fault": fault,
            "first": shown_first(equipment, venue),
        },
    )


@venue_page("record a remedy")
def remedy(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    finding = _finding(request, venue, pk)
    form = RemedyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            record_remedy(
                finding=finding, what=form.cleaned_data["what"], evidence=request.FILES.getlist("evidence"),
                by=request.user, at=timezone.now(),
            )  # fmt: skip
            return redirect("finding", venue.slug, pk)
        except (RemedyRefused, NotAPhotograph, NotADocument, StoreFull) as refusal:
            form.add_error(None, str(refusal))
    shown = {
        "venue": venue, "today": local_day(venue), "finding": finding, "remedy_form": form,
        "return_form": ReturnForm(),
    }  # fmt: skip
    return render(request, "inspections/finding.html", shown, status=422 if form.errors else 200)


@venue_page("return to service")
def return_order(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    order = get_object_or_404(
        Order.objects.visible_to(request.user).select_related("finding"), pk=pk, venue=venue
    )
    form = ReturnForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            statement = form.cleaned_data["statement"]
            return_to_service(order=order, statement=statement, by=request.user, at=timezone.now())
            return redirect("equipment", venue.slug, order.equipment_id)
        except ReturnRefused as refusal:
            form.add_error(None, str(refusal))
    finding = _finding(request, venue, order.finding_id)
    shown = {
        "venue": venue, "today": local_day(venue), "finding": finding,
        "remedy_form": RemedyForm(), "return_form": form,
    }  # fmt: skip
    return render(request, "inspections/finding.html", shown, status=422 if form.errors else 200)


def _finding(request: SignedInRequest, venue: Venue, pk: int) -> Finding:
    return get_object_or_404(
        findings(venue).filter(pk__in=Finding.objects.visible_to(request.user)), pk=pk
    )
