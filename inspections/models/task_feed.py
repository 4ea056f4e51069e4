from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.db import models
from django.utils.crypto import salted_hmac

from inspections.models.plan import Task
from venue.models import Person, Place, Venue
from venue.models.visibility import VisibleQuerySet


class TaskFeed(models.Model):
    """A calendar of tasks at a secret address, for a person, a place or an outside examiner.

    The secret is worked out from `nonce` and the installation's own key, so a copy of the database
    opens no feed, and another nonce makes another address."""

    class Whose(models.TextChoices):
        PERSON = "person", "Person"
        PLACE = "place", "Place"
        EXAMINER = "examiner", "Outside examiner"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="task_feeds")
    whose = models.CharField(max_length=8, choices=Whose)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, related_name="+")
    nonce = models.CharField(max_length=32)
    since = models.DateTimeField()  # of this address
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["whose", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(whose="place", place__isnull=False, person__isnull=True)
                | models.Q(
                    whose__in=("person", "examiner"), place__isnull=True, person__isnull=False
                ),
                name="a_feed_is_of_a_person_or_a_place",
            ),
            models.UniqueConstraint(
                fields=["venue", "whose", "person"],
                condition=models.Q(withdrawn_at__isnull=True, person__isnull=False),
                name="one_running_feed_per_person",
            ),
            models.UniqueConstraint(
                fields=["venue", "place"],
                condition=models.Q(withdrawn_at__isnull=True, place__isnull=False),
                name="one_running_feed_per_place",
            ),
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return f"{name(self.person) if self.person else self.place}: tasks"

    @property
    def token(self) -> str:
        """256 bits; nobody guesses it."""
        told = salted_hmac("inspections.task_feed", f"{self.pk}:{self.nonce}", algorithm="sha256")
        return told.hexdigest()


class FeedEntry(models.Model):
    """How a task last stood in the feeds. Its number rises with every change that shows, so a
    calendar program knows which of two states is newer."""

    task = models.OneToOneField(Task, on_delete=models.CASCADE, related_name="feed_entry")
    sha256 = models.CharField(max_length=64)
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.task_id} {self.sequence}"
