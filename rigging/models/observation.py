from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models import Part, Person
from venue.models.visibility import VisibleQuerySet


class RopeObserved(models.Model):
    """What was seen and measured on one rope at one time, raw: each broken wire with position,
    strand and zone or a count with its window, each diameter pair, instrument, conditions.
    `body` is `rigging.engine.RopeObservation.to_dict()`, so any rule set can judge it later.
    `rope` freezes the rope's facts of that day. Only ever inserted."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="observations")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    rope = models.JSONField()
    body = models.JSONField()

    venue_path = "part__equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.part} on {self.at:%Y-%m-%d}"
