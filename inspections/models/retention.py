"""How long a house keeps its records: which rules it follows, and what a quarrel holds back."""

from __future__ import annotations

from functools import reduce
from operator import or_
from typing import ClassVar

from django.db import models

from inspections.models.finding import Remedy
from inspections.models.record import Record
from inspections.models.report import Report
from venue.models import Equipment, KeptFile, Part, Person, Venue
from venue.models.visibility import VisibleQuerySet


class RetentionChoice(models.Model):
    """A file of retention rules that a venue follows: who chose it, when, and why. Ended, never
    edited. Of all that are followed the longest counts."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="retention_choices")
    rules = models.SlugField(max_length=80)
    rules_hash = models.CharField(max_length=64)
    chosen_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    why = models.TextField()
    since = models.DateField()
    ended_on = models.DateField(null=True, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["since", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "rules"],
                condition=models.Q(ended_on__isnull=True),
                name="retention_rules_are_followed_once",
            ),
            models.CheckConstraint(
                condition=~models.Q(why=""), name="a_retention_choice_has_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rules} since {self.since}"


class LegalHold(models.Model):
    """Nothing of the equipment, or of the whole house, is disposed of while it stands. Lifted by
    somebody else than who placed it."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="legal_holds")
    equipment = models.ForeignKey(
        Equipment, on_delete=models.PROTECT, null=True, related_name="legal_holds"
    )
    why = models.TextField()
    placed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    placed_at = models.DateTimeField()
    lifted_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    lifted_at = models.DateTimeField(null=True)
    lifted_why = models.TextField(blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-placed_at", "-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(why=""), name="a_hold_has_a_reason"),
            models.CheckConstraint(
                condition=models.Q(lifted_by=None, lifted_at=None, lifted_why="")
                | (
                    models.Q(lifted_by__isnull=False, lifted_at__isnull=False)
                    & ~models.Q(lifted_why="")
                    & ~models.Q(lifted_by=models.F("placed_by"))
                ),
                name="a_hold_is_lifted_by_somebody_else_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"Hold on {self.equipment or 'the whole house'}"


OF_WHAT = ("record", "report", "remedy", "equipment", "part")


def _of_one_thing() -> models.Q:
    """Exactly one of the columns leads to what the file belonged to."""
    return reduce(
        or_,
        (models.Q(**{f"{name}__isnull": name != of for name in OF_WHAT}) for of in OF_WHAT),
    )


class Disposal(models.Model):
    """The bytes of a file were removed after the time of what it belongs to: a record, a report, a
    remedy, equipment or a part. The file's row with its hash stays, and so does all it belonged to."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="disposals")
    record = models.ForeignKey(
        Record, on_delete=models.PROTECT, null=True, related_name="disposals"
    )
    report = models.ForeignKey(
        Report, on_delete=models.PROTECT, null=True, related_name="disposals"
    )
    remedy = models.ForeignKey(
        Remedy, on_delete=models.PROTECT, null=True, related_name="disposals"
    )
    equipment = models.ForeignKey(
        Equipment, on_delete=models.PROTECT, null=True, related_name="disposals"
    )
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, related_name="disposals")
    kept_file = models.OneToOneField(KeptFile, on_delete=models.PROTECT, related_name="disposal")
    kept_until = models.DateField()
    rule = models.CharField(max_length=300)
    why = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(why=""), name="a_disposal_has_a_reason"),
            models.CheckConstraint(condition=_of_one_thing(), name="a_disposal_is_of_one_thing"),
        ]

    def __str__(self) -> str:
        return f"{self.kept_file.sha256[:12]} disposed of"

    @property
    def of(self) -> str:
        """What it belonged to, in words."""
        if self.report:
            return f"Report {self.report}"
        if self.remedy:
            return f"Remedy: {self.remedy}"
        if self.part:
            return f"{self.part.equipment.tag}, {self.part}"
        return str(self.record or self.equipment)
