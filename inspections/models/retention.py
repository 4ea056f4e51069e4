"""How long a house keeps its records: which rules it follows, and what a quarrel holds back."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.record import Record
from inspections.models.report import Report
from venue.models import Equipment, KeptFile, Person, Venue
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


class Disposal(models.Model):
    """The bytes of a file were removed after the time of the record or report that it belongs to. The
    file's row with its hash stays, and so do the record or report and their lines in the log."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="disposals")
    record = models.ForeignKey(
        Record, on_delete=models.PROTECT, null=True, related_name="disposals"
    )
    report = models.ForeignKey(
        Report, on_delete=models.PROTECT, null=True, related_name="disposals"
    )
    kept_file = models.OneToOneField(KeptFile, on_delete=models.PROTECT, related_name="+")
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
            models.CheckConstraint(
                condition=models.Q(record__isnull=True, report__isnull=False)
                | models.Q(record__isnull=False, report__isnull=True),
                name="a_disposal_is_of_a_record_or_of_a_report",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kept_file.sha256[:12]} disposed of"
