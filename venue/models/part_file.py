from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.equipment import Part
from venue.models.kept_file import KeptFile
from venue.models.visibility import VisibleQuerySet


class PartFile(models.Model):
    """A photograph or document of one part. A part that moves keeps those of its earlier places."""

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
