from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.calendar import CalendarSource
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class StandingBookings(models.Manager.from_queryset(VisibleQuerySet)):  # type: ignore[misc]
    """Only what stands. A cancelled dark day leaves nothing accessible, so whoever asks for
    bookings without thinking of cancelled ones must not get them."""

    def get_queryset(self) -> VisibleQuerySet:
        return super().get_queryset().filter(state=Booking.State.STANDS)


class Booking(models.Model):
    """A performance, rehearsal, load-in, load-out or dark day, and what it leaves accessible.

    One from a calendar is known again by calendar, UID and original start, so the same file comes
    in twice without doubling anything."""

    class What(models.TextChoices):
        PERFORMANCE = "performance", "Performance"
        REHEARSAL = "rehearsal", "Rehearsal"
        LOAD_IN = "load_in", "Load-in"
        LOAD_OUT = "load_out", "Load-out"
        DARK = "dark", "Dark"
        OTHER = "other", "Other use"
        UNKNOWN = "unknown", "Not yet known"

    class State(models.TextChoices):
        STANDS = "stands", "Stands"
        CANCELLED = "cancelled", "Cancelled"

    class Piece(models.TextChoices):
        """What a rule adds around a booking of a calendar."""

        ITSELF = "", "The booking itself"
        BEFORE = "before", "Load-in before it"
        AFTER = "after", "Load-out after it"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="bookings")
    what = models.CharField(max_length=16, choices=What)
    title = models.CharField(max_length=200)
    starts = models.DateTimeField()
    ends = models.DateTimeField()
    all_day = models.BooleanField(default=False)
    leaves_accessible = models.JSONField(default=list, blank=True)
    state = models.CharField(max_length=12, choices=State, default=State.STANDS)
    # What a calendar said; empty for a booking entered by hand.
    source = models.ForeignKey(
        CalendarSource, on_delete=models.PROTECT, null=True, blank=True, related_name="bookings"
    )
    uid = models.CharField(max_length=200, blank=True)
    original = models.CharField(max_length=20, blank=True)
    piece = models.CharField(max_length=8, choices=Piece, blank=True)
    location = models.CharField(max_length=200, blank=True)
    categories = models.CharField(max_length=200, blank=True)
    # A person said what it is; a rule then no longer does.
    set_by_hand = models.BooleanField(default=False)

    objects = StandingBookings()
    with_cancelled = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["starts", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(ends__gt=models.F("starts")), name="booking_ends_after_it_starts"
            ),
            # Nothing may rely on a booking that nobody has said what it is.
            models.CheckConstraint(
                condition=~models.Q(what="unknown") | models.Q(leaves_accessible=[]),
                name="what_is_not_known_leaves_nothing",
            ),
            models.UniqueConstraint(
                fields=["source", "uid", "original", "piece"],
                condition=models.Q(source__isnull=False),
                name="one_booking_per_entry_of_a_calendar",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["venue", "ends"])]

    def __str__(self) -> str:
        return f"{self.title} ({self.get_what_display()})"
