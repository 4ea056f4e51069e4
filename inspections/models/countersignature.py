from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.report import Report
from venue.models import KeptFile, Person
from venue.models.visibility import VisibleQuerySet


class Countersignature(models.Model):
    """A further person's signature on an issued report, as an update of its PDF: `kept_file` begins
    with every byte of the file before. Only ever added."""

    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="countersignatures")
    number = models.PositiveSmallIntegerField()
    signer = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    signer_name = models.CharField(max_length=200)
    signer_role = models.CharField(max_length=200)
    meaning = models.CharField(max_length=300)
    at = models.DateTimeField()
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")

    venue_path = "report__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["report", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["report", "number"], name="one_countersignature_per_place"
            ),
            models.UniqueConstraint(fields=["report", "signer"], name="a_person_countersigns_once"),
        ]

    def __str__(self) -> str:
        return f"Report {self.report.number}, countersignature {self.number}"
