from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.ask_for_job import TooManyAsked
from inspections.actions.ask_for_plan import CannotPlan, ask_again, ask_for_plan
from inspections.actions.publish_in_doubt import InDoubt
from inspections.actions.publish_year_plan import CannotPublish, publish_year_plan
from inspections.actions.year_plan_states import (
    CannotChange,
    copy_year_plan,
    propose_year_plan,
    withdraw_year_plan,
)
from inspections.forms_year import AlthoughForm, NameForm, PlanYearForm, WhyForm
from inspections.lists.year_plans import plan_table, planned_table
from inspections.models import YearPlan
from inspections.queries import year_plans as pages
from inspections.queries.calendar_doubts import calendar_doubts
from inspections.queries.not_kept import not_kept_of
from inspections.queries.planning_settings import settings_of
from inspections.queries.upset_tasks import upset_tasks_of
from inspections.queries.year_board import tasks_of_plan
from inspections.queries.year_budgets import spending_of_plan
from inspections.views.day import local_day
from inspections.views.year_sides import budget_shown
from venue.access import SignedInRequest, venue_page
from venue.list_order import PAST
from venue.models import Venue
from venue.queries.background import background_work
from venue.roles import may
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def year_plans(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = PlanYearForm.for_venue(local_day(venue), venue.calendar_known_until)
    return _list_page(request, venue, form)


@require_POST
@venue_page("plan tasks")
def plan_year(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = PlanYearForm(request.POST)
    try:
        if form.is_valid():
            at = timezone.now()
            plan, new = ask_for_plan(venue=venue, asked=form.asked(), by=request.user, at=at)
            if not new:
                messages.info(request, "This very plan is being made already: it is this one.")
            return redirect("year_plan", venue.slug, plan.pk)
    except (CannotPlan, TooManyAsked) as refusal:
        form.add_error(None, str(refusal))
    return _list_page(request, venue, form, status=422)


@require_POST
@venue_page("plan tasks")
def plan_again(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """With what is locked in this plan."""
    try:
        again, _new = ask_again(
            year_plan=_plan(request, venue, pk), by=request.user, at=timezone.now()
        )
    except (CannotPlan, TooManyAsked) as refusal:
        messages.error(request, str(refusal))
        return redirect("year_plan", venue.slug, pk)
    return redirect("year_plan", venue.slug, again.pk)


@venue_page("see pages")
def year_plan(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Its figures, what it does not know, and the tasks of a month; while it is being made, how far
    that is."""
    plan, now = _plan(request, venue, pk), timezone.now()
    asked = pages.asked_plan(plan, now)
    sees_money = may(request.role, "see money")
    shown: dict[str, Any] = {
        "venue": venue, "plan": plan, "asked": asked, "sees_money": sees_money,
    }  # fmt: skip
    if asked:
        shown |= {"figures": pages.progress_of(asked, venue, sees_money)}
        shown["background"] = None if asked.ended else background_work(now)
    else:
        shown |= _made(plan, request.GET.get("month", ""), venue, sees_money)
    return render(request, "inspections/year_plan.html", shown)


@require_POST
@venue_page("plan tasks")
def publish(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan, form = (
        _plan(request, venue, pk),
        AlthoughForm(request.POST if "although" in request.POST else None),
    )
    although = form.cleaned_data["although"] if form.is_valid() else ""
    try:
        changed = publish_year_plan(
            year_plan=plan, by=request.user, at=timezone.now(), although=although
        )
        one = "Published. 1 task got its day and its person."
        many = f"Published. {changed} tasks got their day and their person."
        messages.success(request, one if changed == 1 else many)
        if plan.outcome["not_kept"]:
            messages.warning(request, "Not everybody who was chosen by hand could be kept.")
    except CannotPublish as refusal:
        messages.error(request, f"Not published. {refusal}")
    except InDoubt as doubt:
        shown = {"venue": venue, "plan": plan, "doubts": doubt.doubts, "form": form}
        return render(request, "inspections/year_publish.html", shown, status=422)
    return redirect("year_plan", venue.slug, pk)


@require_POST
@venue_page("plan tasks")
def propose(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    try:
        propose_year_plan(year_plan=_plan(request, venue, pk), by=request.user, at=timezone.now())
    except CannotChange as refusal:
        messages.error(request, str(refusal))
    return redirect("year_plan", venue.slug, pk)


@require_POST
@venue_page("plan tasks")
def withdraw(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan, why = _plan(request, venue, pk), request.POST.get("why", "")[:500]
    try:
        withdraw_year_plan(year_plan=plan, why=why, by=request.user, at=timezone.now())
    except CannotChange as refusal:
        messages.error(request, str(refusal))
    return redirect("year_plan", venue.slug, pk)


@require_POST
@venue_page("plan tasks")
def copy(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan, name = _plan(request, venue, pk), request.POST.get("name", "")[:120]
    try:
        made = copy_year_plan(year_plan=plan, name=name, by=request.user, at=timezone.now())
    except CannotChange as refusal:
        messages.error(request, str(refusal))
        return redirect("year_plan", venue.slug, pk)
    return redirect("year_plan", venue.slug, made.pk)


@venue_page("see pages")
def year_tasks(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Every task of the plan in one list."""
    plan, past = _plan(request, venue, pk), request.GET.get(PAST, "")
    return long_list_page(
        request, "inspections/year_tasks.html", planned_table(plan, pages.people_of_plan(plan)),
        lambda: tasks_of_plan(plan, local_day(venue), past), {"venue": venue, "plan": plan},
    )  # fmt: skip


def _list_page(
    request: SignedInRequest, venue: Venue, form: PlanYearForm, status: int = 200
) -> HttpResponse:
    now, past = timezone.now(), request.GET.get(PAST, "")
    known = {"venue": venue, "form": form, "background": background_work(now)}
    return long_list_page(
        request, "inspections/year_plans.html", plan_table(venue),
        lambda: pages.plan_lines(venue, request.user, now, past), known, status,
    )  # fmt: skip


def _made(plan: YearPlan, wanted: str, venue: Venue, sees_money: bool) -> dict[str, Any]:
    today, months = local_day(venue), pages.months_of(plan)
    month = pages.month_asked(months, wanted, today)
    never, too_soon = pages.missing_of_plan(plan)
    spending = spending_of_plan(plan) if sees_money else []
    return {
        "figures": pages.figures_of_plan(plan, sees_money),
        "baselines": pages.baselines_of_plan(plan),
        **budget_shown(spending, settings_of(venue).row.money_unit),
        "not_kept": not_kept_of(plan),
        "late": pages.late_of_plan(plan, today),
        "never": never,
        "too_soon": too_soon,
        "undated": pages.undated_of_plan(plan),
        "months": months,
        "month": month,
        "weeks": pages.weeks_in(plan, month, today),
        "moved": pages.last_move(plan),
        "upset": upset_tasks_of(plan, timezone.now()),
        "in_force": pages.is_in_force(plan, local_day(venue)),
        **_unknowns(plan),
        "why_form": WhyForm(),
        "name_form": NameForm(initial={"name": f"What if: {plan}"[:120]}),
    }


def _unknowns(plan: YearPlan) -> dict[str, Any]:
    """What the plan did not know when it was made, and what of its calendar is in doubt now."""
    now = timezone.now()
    past = plan.last_day < local_day(plan.venue) or plan.state == YearPlan.State.WITHDRAWN
    doubts = [] if past else calendar_doubts(plan.venue, plan.first_day, plan.last_day, now)
    said = {doubt.words for doubt in doubts}
    return {"doubts": doubts, "unknowns": [words for words in plan.unknowns if words not in said]}


def _plan(request: SignedInRequest, venue: Venue, pk: int) -> YearPlan:
    rows = pages.plans_of(venue, request.user).select_related("copy_of", "published_by", "job__by")
    return get_object_or_404(rows, pk=pk)
