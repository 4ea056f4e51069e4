from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.equipment import Equipment, Part
from venue.models.kept_file import KeptFile
from venue.models.visibility import VisibleQuerySet


class PartFile(models.Model):
    """A photograph or document of one part. It goes with the part when the part is moved."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="files")
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")
    caption = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()

    venue_path = "part__equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.caption or self.kept_file.name


class PartStay(models.Model):
    """Where a part was until it was moved. Only ever inserted: a record of that day is about that
    equipment, and a rule asks where the part was on the day it was looked at."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="stays")
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="past_stays")
    code = models.CharField(max_length=40)
    until = models.DateField()  # the day it left; from that day on it was elsewhere
    why = models.TextField()

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["until", "pk"]

    def __str__(self) -> str:
        return f"{self.code} of {self.equipment.tag} until {self.until}"
