from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.record import Record
from inspections.reports.kind_files import report_kinds
from venue.models import KeptFile, Person, Venue
from venue.models.visibility import VisibleQuerySet


class Report(models.Model):
    """The signed document of one record, of a whole inspection day, or of a kind: then `what` is
    the slug of its file in `inspections/reports/kinds/`. Dates stay apart: examined, reported (at),
    signed, next."""

    ONE_RECORD, DAY = "one_record", "day"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="reports")
    number = models.PositiveIntegerField()
    what = models.CharField(max_length=16)
    title = models.CharField(max_length=200)
    examined_on = models.DateField()
    next_due_on = models.DateField(null=True, blank=True)
    signer = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    signer_name = models.CharField(max_length=200)
    signer_role = models.CharField(max_length=200)
    meaning = models.CharField(max_length=300)
    at = models.DateTimeField()
    record_json = models.TextField()  # canonical JSON embedded in the PDF
    record_sha256 = models.CharField(max_length=64)
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "number"], name="one_report_per_number")
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"

    @property
    def kind_words(self) -> str:
        """A kind whose file is gone is told by its slug."""
        kind = report_kinds().get(self.what)
        told = {self.ONE_RECORD: "One check", self.DAY: "Inspection day"}
        return kind.name if kind else told.get(self.what, self.what)


class ReportRecord(models.Model):
    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="report_records")
    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="report_records")

    venue_path = "report__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["report", "record"], name="a_record_once_per_report")
        ]

    def __str__(self) -> str:
        return f"{self.report} {self.record_id}"
