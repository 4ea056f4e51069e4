"""The side table of the log: what its references stand for."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.person import Person
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet
from venue.person_references import LENGTH, reference_of


class KeptName(models.Model):
    """A name, or another text about one person, that lines of a venue's log refer to. One row for a
    text of a person, however many lines say it. The database lets text and salt be emptied, together
    and for good, and nothing else be changed: the reference in the log then leads to nobody."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="kept_names")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    reference = models.CharField(max_length=LENGTH)
    salt = models.CharField(max_length=32, blank=True)
    said = models.CharField(max_length=600, blank=True)
    at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["venue", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "reference"], name="a_reference_is_one_name"),
            models.CheckConstraint(
                condition=models.Q(removed_at__isnull=True) | models.Q(said="", salt=""),
                name="a_removed_name_is_gone_with_its_salt",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    @property
    def holds(self) -> bool:
        """Whether the reference is that of this name with this salt."""
        return self.reference == reference_of(self.salt, self.said)
