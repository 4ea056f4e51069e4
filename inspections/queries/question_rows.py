"""Questions of auditors and their answers as they go into a bundle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import Q, QuerySet

from inspections.models import AuditAnswer, AuditQuestion

if TYPE_CHECKING:
    from inspections.queries.evidence import Span

QUESTION_HEADING = ("question", "at", "by", "about", "text", "state")
ANSWER_HEADING = ("answer", "question", "at", "by", "text")
AT_ONCE = 1000


def auditors_questions(span: Span) -> QuerySet[AuditQuestion]:
    """Asked in these days, or before and not answered until they begin."""
    rows = AuditQuestion.objects.in_venue(span.venue).filter(at__lt=span.ends)
    before = AuditAnswer.objects.filter(question__venue=span.venue, at__lt=span.begins)
    waiting = ~Q(pk__in=before.values("question"))
    return rows.filter(Q(at__gte=span.begins) | waiting).order_by("pk")


def answers_to_auditors(span: Span) -> QuerySet[AuditAnswer]:
    """To the questions that are told of, and every one that was given in these days."""
    told = Q(question__in=auditors_questions(span).order_by().values("pk"))
    given = Q(at__gte=span.begins, at__lt=span.ends)
    return AuditAnswer.objects.in_venue(span.venue).filter(told | given).order_by("pk")


def question_rows(span: Span, today: date) -> Iterator[Sequence[Any]]:
    """Answered is what has an answer now, whenever it was given."""
    answered = set(
        AuditAnswer.objects.in_venue(span.venue).order_by().values_list("question", flat=True)
    )
    rows = auditors_questions(span).select_related("by", "report")
    for row in rows.iterator(chunk_size=AT_ONCE):
        state = "answered" if row.pk in answered else "open"
        yield row.pk, row.at.isoformat(), row.by.name, row.about, row.text, state


def answer_rows(span: Span, today: date) -> Iterator[Sequence[Any]]:
    rows = answers_to_auditors(span).select_related("by")
    for row in rows.iterator(chunk_size=AT_ONCE):
        yield row.pk, row.question_id, row.at.isoformat(), row.by.name, row.text
