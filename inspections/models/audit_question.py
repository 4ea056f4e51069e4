"""What an auditor asks the house, and what the house answers. Neither is ever changed: whoever has
more to say says it in another."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.finding import Finding
from inspections.models.plan import Task
from inspections.models.record import Record
from inspections.models.report import Report
from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet

ABOUT = ("record", "report", "finding", "task")


def _about_one_at_most() -> models.Q:
    """Any two of them are never both there."""
    pairs = [(one, other) for at, one in enumerate(ABOUT) for other in ABOUT[at + 1 :]]
    both = models.Q()
    for one, other in pairs:
        both |= models.Q(**{f"{one}__isnull": False, f"{other}__isnull": False})
    return ~both


class AuditQuestion(models.Model):
    """About one record, report, finding or task; or about the house, where it names none of them."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="audit_questions")
    record = models.ForeignKey(
        Record, on_delete=models.PROTECT, null=True, related_name="audit_questions"
    )
    report = models.ForeignKey(
        Report, on_delete=models.PROTECT, null=True, related_name="audit_questions"
    )
    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, null=True, related_name="audit_questions"
    )
    task = models.ForeignKey(
        Task, on_delete=models.PROTECT, null=True, related_name="audit_questions"
    )
    text = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(text=""), name="a_question_has_words"),
            models.CheckConstraint(condition=_about_one_at_most(), name="a_question_is_about_one"),
        ]

    def __str__(self) -> str:
        return f"Question {self.pk}"

    @property
    def about(self) -> str:
        """As log and bundle say it: by the name that the thing has there."""
        if self.report is not None:
            return f"report {self.report.number}"
        for name in ("record", "finding", "task"):
            if key := getattr(self, f"{name}_id"):
                return f"{name} {key}"
        return "the house"


class AuditAnswer(models.Model):
    question = models.ForeignKey(AuditQuestion, on_delete=models.PROTECT, related_name="answers")
    text = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    venue_path = "question__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(text=""), name="an_answer_has_words")
        ]

    def __str__(self) -> str:
        return f"Answer {self.pk} to question {self.question_id}"
