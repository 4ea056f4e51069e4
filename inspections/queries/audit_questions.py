"""What auditors asked, what was answered, and what waits."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Exists, Model, OuterRef, Prefetch, QuerySet

from inspections.models import AuditAnswer, AuditQuestion, Finding, Record, Report, Task
from venue.models import Venue

# By which word of an address each is found.
FOUND_BY: dict[str, tuple[Any, str]] = {
    "record": (Record, "pk"), "report": (Report, "number"), "finding": (Finding, "pk"),
    "task": (Task, "pk"),
}  # fmt: skip
RELATED = (
    "venue", "by", "record__equipment", "record__version", "report", "finding__equipment",
    "task__equipment", "task__plan__version",
)  # fmt: skip


def questions_of(venue: Venue) -> QuerySet[AuditQuestion]:
    """The unanswered first, each group with the newest first."""
    answers = AuditAnswer.objects.filter(question=OuterRef("pk"))
    rows = AuditQuestion.objects.in_venue(venue).annotate(answered=Exists(answers))
    rows = rows.select_related(*RELATED).prefetch_related(
        Prefetch("answers", AuditAnswer.objects.select_related("by"))
    )
    return rows.order_by("answered", "-pk")


def open_questions(venue: Venue) -> int:
    return AuditQuestion.objects.in_venue(venue).filter(answers=None).count()


def questions_about(venue: Venue, **about: Model) -> list[AuditQuestion]:
    return list(questions_of(venue).filter(**about).order_by("pk"))


def asked_about(venue: Venue, said: dict[str, str]) -> dict[str, Model]:
    """What of the venue a question is about, by the words of an address; empty: the house. Raises
    ObjectDoesNotExist where it names something that is not there."""
    for kind, (model, key) in FOUND_BY.items():
        if value := said.get(kind):
            try:
                wanted = UUID(value) if model is Record else int(value)
            except ValueError as fault:
                raise ObjectDoesNotExist(kind) from fault
            return {kind: model.objects.in_venue(venue).get(**{key: wanted})}
    return {}
