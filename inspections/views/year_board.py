from __future__ import annotations

from datetime import date
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date

from inspections.board_grid import MONTH, YEAR, ZOOMS, Period, period_of, year_begins
from inspections.held_half_days import FREE, OUTSIDE, SHORT, WORDS
from inspections.models import YearPlan
from inspections.queries.locks import locks_of
from inspections.queries.upset_tasks import upset_tasks_of
from inspections.queries.year_board import board_of_plan, first_planned_day
from inspections.queries.year_plans import last_move
from inspections.views.day import local_day
from inspections.year_board import PEOPLE, PLACES, Board
from venue.access import SignedInRequest, venue_page
from venue.language_now import said
from venue.models import Venue
from venue.roles import may

ROWS_A_PAGE = 100
A3, LETTER = "A3", str(Venue.Paper.LETTER)


@venue_page("see pages")
def year_board(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = plan_of(request, venue, pk)
    look = _look(request, venue, plan)
    board = board_of_plan(plan, look["period"], look["by"], local_day(venue))
    lockable = _lockable(request, venue, plan, board)
    shown = look | {
        "venue": venue,
        "plan": plan,
        "board": board,
        "rows": Paginator(board.marks, ROWS_A_PAGE).get_page(request.GET.get("page")),
        "facts": _facts(venue, board, lockable),
        "lockable": lockable,
        "may_move": plan.may_change and may(request.role, "plan tasks"),
        "may_copy": bool(plan.made_at) and may(request.role, "plan tasks"),
        "last_move": last_move(plan),
        "upset": upset_tasks_of(plan, timezone.now()),
    }
    return render(request, "inspections/year_board.html", shown)


def plan_of(request: SignedInRequest, venue: Venue, pk: int) -> YearPlan:
    rows = YearPlan.objects.visible_to(request.user).select_related("venue", "job", "copy_of")
    return get_object_or_404(rows, pk=pk, venue=venue)


def _look(request: SignedInRequest, venue: Venue, plan: YearPlan) -> dict[str, Any]:
    """What the address asks to see: zoom, day and rows. What it does not say is as usual."""
    zoom, by, paper = (request.GET.get(name, "") for name in ("zoom", "by", "paper"))
    day, usual = _day(request, venue, plan), LETTER if venue.paper == LETTER else A3
    zoom = zoom if zoom in ZOOMS else MONTH
    period = period_of(zoom, year_begins(plan.first_day, day) if zoom == YEAR else day)
    by = by if by in (PLACES, PEOPLE) else PLACES
    return {
        "day": day,
        "period": period,
        "period_words": period_words(period),
        "by": by,
        "paper": paper if paper in (A3, LETTER) else usual,
        "query": f"zoom={period.zoom}&day={period.first}&by={by}&",
        "zooms": ZOOMS,
        "holds": [
            (what, SHORT[what], WORDS[what]) for what in WORDS if what not in (FREE, OUTSIDE)
        ],
    }


def _day(request: SignedInRequest, venue: Venue, plan: YearPlan) -> date:
    """The day asked for, or the next with a task, or today; never a day outside the plan."""
    try:
        asked = parse_date(request.GET.get("day", ""))
    except ValueError:
        asked = None
    if asked is None:
        today = local_day(venue)
        asked = first_planned_day(plan, today) or today
    return min(max(asked, plan.first_day), plan.last_day)


def _lockable(
    request: SignedInRequest, venue: Venue, plan: YearPlan, board: Board
) -> frozenset[int]:
    """The numbers of the planned tasks that whoever asks may lock or unlock."""
    if not may(request.role, "plan tasks"):
        return frozenset()
    locks = locks_of(plan, local_day(venue))
    return frozenset(mark.planned.pk for mark in board.marks if locks.may(mark.planned))


def _facts(venue: Venue, board: Board, lockable: frozenset[int]) -> dict[str, Any]:
    """What the script needs beside the table: each task's words, day and page, and where it may be
    locked or unlocked, whether it is locked then."""
    return {
        str(mark.planned.pk): {
            "title": f"{mark.planned.equipment.tag} {said(mark.planned.plan.version.title)}",
            "day": mark.planned.day.isoformat(),
            "half": mark.planned.half,
            "said": ", ".join(map(said, mark.said)),
            "page": reverse("planned_task", args=[venue.slug, mark.planned.pk]),
            "lock": ("no" if mark.planned.locked else "yes") if mark.planned.pk in lockable else "",
        }
        for mark in board.marks
    }


def period_words(period: Period) -> str:
    """The period as a heading says it."""
    first, last = period.first, period.last
    if period.zoom == MONTH:
        return f"{first:%B %Y}"
    return f"From {first:%-d %B %Y} to {last:%-d %B %Y}"
