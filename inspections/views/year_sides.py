"""A planned year from its other sides: against the plan in force, in money, as dark half-days."""

from __future__ import annotations

import csv
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inspections.queries.dark_half_days import leave_these_dark
from inspections.queries.year_changes import changes_of
from inspections.queries.year_money import forecast_of
from inspections.views.year_board import plan_of
from inspections.year_budget import Spending
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.roles import may


@venue_page("see pages")
def changes(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan, sees_money = plan_of(request, venue, pk), may(request.role, "see money")
    found = changes_of(plan, timezone.now(), sees_money=sees_money)
    shown = {"venue": venue, "plan": plan, "found": found, "sees_money": sees_money}
    return render(request, "inspections/year_changes.html", shown)


@venue_page("see money")
def cost(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = plan_of(request, venue, pk)
    forecast = forecast_of(plan, timezone.now())
    shown = {
        "venue": venue, "plan": plan, "forecast": forecast,
        **budget_shown(forecast.spending, forecast.money_unit),
    }  # fmt: skip
    return render(request, "inspections/year_cost.html", shown)


def budget_shown(spending: list[Spending], unit: str) -> dict[str, Any]:
    """What a page says of a plan against its budgets."""
    over = [each.over_words(unit) for each in spending if each.over]
    return {"spending": spending, "over": over, "unit": unit}


@venue_page("see money")
def cost_file(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = plan_of(request, venue, pk)
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    name = f"{venue.slug}-cost-{plan.first_day}.csv"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    csv.writer(response).writerows(forecast_of(plan, timezone.now()).csv_rows())
    return response


@venue_page("see pages")
def dark(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = plan_of(request, venue, pk)
    shown = {"venue": venue, "plan": plan, "found": leave_these_dark(plan, timezone.now())}
    return render(request, "inspections/year_dark.html", shown)
