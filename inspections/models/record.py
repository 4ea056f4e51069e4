from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models

from inspections.hours_worked import Worked
from inspections.models.plan import RegimeVersion, Task
from rigging.models import RopeObserved
from venue.models import Equipment, KeptFile, Part, Person, Venue
from venue.models.visibility import VisibleQuerySet


class Record(models.Model):
    """What was seen and measured by whom and when. Never edited: a later record amends it.
    The id is made where the check is filled, so sending twice stores once.
    `body` is the canonical JSON (RFC 8785) of everything said; `sha256` is its hash."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="records")
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="records")
    task = models.ForeignKey(Task, on_delete=models.PROTECT, null=True, related_name="records")
    version = models.ForeignKey(RegimeVersion, on_delete=models.PROTECT, related_name="records")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="records")
    by_name = models.CharField(max_length=200)
    by_role = models.CharField(max_length=40)
    by_competence = models.CharField(max_length=300)  # as it stood that day, or why it was lacking
    may_sign = models.BooleanField()
    started_at = models.DateTimeField()
    at = models.DateTimeField()
    done_on = models.DateField()  # the venue's local day
    state = models.CharField(max_length=24)  # the worst judgement: fit, watch, restrict, ...
    remark = models.TextField(blank=True)
    # Of everybody together, where somebody said so; nothing is judged by them.
    hours_worked = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    people_worked = models.PositiveSmallIntegerField(null=True, blank=True)
    amends = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="amended_by"
    )
    body = models.TextField()
    sha256 = models.CharField(max_length=64)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at"]
        indexes: ClassVar = [models.Index(fields=["equipment", "-at"])]

    def __str__(self) -> str:
        return f"{self.equipment}: {self.version.title}, {self.done_on}"

    @property
    def worked(self) -> Worked | None:
        return None if self.hours_worked is None else Worked(self.hours_worked, self.people_worked)


class Answer(models.Model):
    """The answer to one check, once per part where the check asks per part."""

    class Given(models.TextChoices):
        YES = "yes", "Yes"
        NO = "no", "No"
        VALUE = "value", "Value"
        COULD_NOT_LOOK = "could_not_look", "Could not look"
        NOT_APPLICABLE = "not_applicable", "Not applicable here"

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="answers")
    order = models.PositiveIntegerField()
    check_slug = models.SlugField(max_length=80)
    question = models.CharField(max_length=300)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, related_name="+")
    given = models.CharField(max_length=16, choices=Given)
    text = models.TextField(blank=True)
    reason = models.TextField(blank=True)
    observation = models.OneToOneField(
        RopeObserved, on_delete=models.PROTECT, null=True, related_name="answer"
    )

    venue_path = "record__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["record", "order"], name="one_answer_per_order")
        ]

    def __str__(self) -> str:
        return f"{self.question}: {self.get_given_display()}"


class Reading(models.Model):
    """A measured value with its unit, as typed and exact, with instrument and uncertainty."""

    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, related_name="readings")
    what = models.CharField(max_length=80)
    quantity = models.JSONField()  # Quantity.stored()
    instrument = models.CharField(max_length=120, blank=True)
    uncertainty = models.JSONField(null=True, blank=True)

    venue_path = "answer__record__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]

    def __str__(self) -> str:
        return f"{self.what} {self.quantity['typed']}"


class Judged(models.Model):
    """One judgement on one answer: verdict by a cited rule, with clause, value, limit, margin."""

    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, related_name="judgements")
    state = models.CharField(max_length=24)
    verdict = models.CharField(max_length=24)
    ruleset = models.CharField(max_length=80)
    edition = models.CharField(max_length=200, blank=True)
    ruleset_hash = models.CharField(max_length=64, blank=True)
    clause = models.CharField(max_length=200, blank=True)
    value = models.CharField(max_length=120, blank=True)
    limit = models.CharField(max_length=200, blank=True)
    margin = models.CharField(max_length=120, blank=True)
    missing = models.JSONField(default=list, blank=True)
    body = models.JSONField()  # the judgement whole, with every criterion

    venue_path = "answer__record__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]

    def __str__(self) -> str:
        return f"{self.ruleset}: {self.state}"


class AnswerPhoto(models.Model):
    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, related_name="photos")
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")

    venue_path = "answer__record__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]

    def __str__(self) -> str:
        return self.kept_file.name


class RecordNote(models.Model):
    """What was said when somebody was asked about a record. Only ever added."""

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="notes")
    text = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    venue_path = "record__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["at", "pk"]

    def __str__(self) -> str:
        return self.text[:60]
