from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class Booking(models.Model):
    """A performance, rehearsal, load-in, load-out or dark day, and what it leaves accessible."""

    class What(models.TextChoices):
        PERFORMANCE = "performance", "Performance"
        REHEARSAL = "rehearsal", "Rehearsal"
        LOAD_IN = "load_in", "Load-in"
        LOAD_OUT = "load_out", "Load-out"
        DARK = "dark", "Dark"
        OTHER = "other", "Other use"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="bookings")
    what = models.CharField(max_length=16, choices=What)
    title = models.CharField(max_length=200)
    starts = models.DateTimeField()
    ends = models.DateTimeField()
    leaves_accessible = models.JSONField(default=list, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["starts", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(ends__gt=models.F("starts")), name="booking_ends_after_it_starts"
            )
        ]

    def __str__(self) -> str:
        return f"{self.title} ({self.get_what_display()})"
