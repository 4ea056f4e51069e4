from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet
from venue.place_sides import SIDES


class Place(models.Model):
    """A spot in the venue's tree, with its hazards and the access state it needs."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="places")
    parent = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="children"
    )
    slug = models.SlugField()
    name = models.CharField(max_length=200)
    # Height order in the house, from the lowest machine pit (0) up to the grid; two places that
    # share plan area must not be worked at once.
    level = models.SmallIntegerField(default=0)
    # Seen by the performer who faces the house; empty: nobody said, or it lies across.
    side = models.CharField(max_length=12, choices=list(SIDES.items()), blank=True, default="")
    walking_order = models.PositiveIntegerField(default=0)
    hazards = models.JSONField(default=list, blank=True)
    access = models.JSONField(default=list, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["walking_order", "name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "slug"], name="one_place_per_slug_and_venue")
        ]

    def __str__(self) -> str:
        return self.name
