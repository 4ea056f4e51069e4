"""Where bookings come from, and what they are taken for."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class CalendarSource(models.Model):
    """A calendar that bookings come from, as a file or from an address."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="calendars")
    name = models.CharField(max_length=100)
    # Often a secret: whoever knows it reads the calendar. It never stands in the log.
    address = models.TextField(blank=True)
    since = models.DateTimeField()
    ended_on = models.DateField(null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)  # last applied
    tried_at = models.DateTimeField(null=True, blank=True)  # last fetched by itself
    told = models.TextField(blank=True)  # what the last fetch by itself came to
    needs_a_look = models.BooleanField(default=False)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["name", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "name"],
                condition=models.Q(ended_on__isnull=True),
                name="one_running_calendar_per_name_and_venue",
            )
        ]

    def __str__(self) -> str:
        return self.name


class BookingRule(models.Model):
    """What a booking is that has certain words in it. The first rule that matches counts."""

    class Where(models.TextChoices):
        ANYWHERE = "anywhere", "Title, category or location"
        TITLE = "title", "Title"
        CATEGORIES = "categories", "Category"
        LOCATION = "location", "Location"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="booking_rules")
    order = models.PositiveIntegerField()
    words = models.CharField(max_length=300)
    where = models.CharField(max_length=12, choices=Where, default=Where.ANYWHERE)
    what = models.CharField(max_length=16)  # a Booking.What, never "unknown"
    leaves_accessible = models.JSONField(default=list, blank=True)
    half_days_before = models.PositiveSmallIntegerField(default=0)
    half_days_after = models.PositiveSmallIntegerField(default=0)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["order", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~models.Q(what__in=("", "unknown")), name="a_rule_says_what_it_is"
            )
        ]

    def __str__(self) -> str:
        return self.words
