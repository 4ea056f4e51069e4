"""Questions of auditors: listed, asked, shown with their answers, answered."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ObjectDoesNotExist
from django.core.paginator import Paginator
from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.audit_questions import (
    NothingSaid,
    TooManyOpen,
    answer_question,
    ask_question,
)
from inspections.forms_desk import AnswerForm, QuestionForm
from inspections.models import AuditQuestion
from inspections.queries.audit_questions import (
    asked_about,
    open_questions,
    questions_about,
    questions_of,
)
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.roles import may


@venue_page("see questions")
def questions(request: SignedInRequest, venue: Venue) -> HttpResponse:
    rows = Paginator(questions_of(venue), 50).get_page(request.GET.get("page"))
    known = {"venue": venue, "rows": rows, "open": open_questions(venue)}
    known["may_ask"] = may(request.role, "ask questions")
    return render(request, "inspections/audit_questions.html", known)


@venue_page("ask questions")
def ask(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Its address says what it is about: `?record=…`, `?report=…`, `?finding=…`, `?task=…`; else
    the house."""
    try:
        about = asked_about(venue, request.GET.dict())
    except ObjectDoesNotExist as absence:
        raise Http404("There is nothing of that kind here to ask about.") from absence
    form = QuestionForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            text, now = form.cleaned_data["question"], timezone.now()
            asked = ask_question(venue=venue, about=about, text=text, by=request.user, at=now)
            messages.success(request, "Asked. You are told by mail when there is an answer.")
            return redirect("audit_question", venue.slug, asked.pk)
        except (NothingSaid, TooManyOpen) as fault:
            form.add_error("question", str(fault))
    # A question that was not asked yet, for the words that say what it is about.
    known = {"venue": venue, "form": form, "question": AuditQuestion(venue=venue, **about)}
    return render(request, "inspections/audit_ask.html", known)


@venue_page("see questions")
def question(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    return _page(request, venue, _question(venue, pk), AnswerForm())


@require_POST
@venue_page("answer questions")
def answer(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    asked = _question(venue, pk)
    form = AnswerForm(request.POST)
    if form.is_valid():
        try:
            text, now = form.cleaned_data["answer"], timezone.now()
            answer_question(question=asked, text=text, by=request.user, at=now)
            messages.success(
                request, "Answered. Whoever asked is told by mail, while they may still look."
            )
            return redirect("audit_question", venue.slug, pk)
        except NothingSaid as fault:
            form.add_error("answer", str(fault))
    return _page(request, venue, asked, form, status=422)


def questions_here(request: SignedInRequest, venue: Venue, **about: Model) -> dict[str, Any]:
    """For the page of a record, report, finding or task: what was asked about it."""
    if not may(request.role, "see questions"):
        return {}
    ((kind, row),) = about.items()
    key = getattr(row, "number" if kind == "report" else "pk")
    asking = f"?{kind}={key}" if may(request.role, "ask questions") else ""
    return {"asked_here": questions_about(venue, **about), "asking": asking}


def _question(venue: Venue, pk: int) -> AuditQuestion:
    return get_object_or_404(questions_of(venue), pk=pk)


def _page(
    request: SignedInRequest,
    venue: Venue,
    asked: AuditQuestion,
    form: AnswerForm,
    status: int = 200,
) -> HttpResponse:
    known = {"venue": venue, "question": asked, "form": form}
    known["may_answer"] = may(request.role, "answer questions")
    return render(request, "inspections/audit_question.html", known, status=status)
