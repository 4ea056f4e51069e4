from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet


class LastVisit(models.Model):
    """How far a person has seen what changed in a venue, as the number of the last line of its log, and
    how far it went when they last looked. Of no use to anybody but them."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="last_visits")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="last_visits")
    seen_line = models.PositiveBigIntegerField()
    seen_at = models.DateTimeField()
    here_line = models.PositiveBigIntegerField()
    here_at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "person"], name="one_last_visit_per_person")
        ]

    def __str__(self) -> str:
        return f"seen up to line {self.seen_line}"
