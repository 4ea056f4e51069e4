from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.db import models

from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet
from venue.person_references import TextAbout


class FigureConfirmed(models.Model):
    """A named person had the document before them and found a figure as the rule set has it.
    Holds in this venue only, and only for the figure as it was: `criterion_hash` is its content.
    Ended, never edited."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="figures_confirmed")
    ruleset = models.SlugField(max_length=80)
    criterion = models.SlugField(max_length=80)
    criterion_hash = models.CharField(max_length=64)
    document = models.CharField(max_length=200)
    edition = models.CharField(max_length=120)
    clause = models.CharField(max_length=120)
    confirmed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=200)  # as the person was called on that day
    since = models.DateField()
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.TextField(blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["since", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "ruleset", "criterion"],
                condition=models.Q(ended_on__isnull=True),
                name="a_figure_is_confirmed_once",
            ),
            models.CheckConstraint(
                condition=~models.Q(document="") & ~models.Q(edition="") & ~models.Q(clause=""),
                name="a_confirmation_names_its_document",
            ),
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        who = name(TextAbout(self.name, self.confirmed_by))
        return f"{who} confirms {self.ruleset} {self.criterion}"

    @property
    def words(self) -> str:
        """How a judgement says what backs the figure."""
        return (
            f"confirmed by {self.name} on {self.since:%Y-%m-%d} with {self.document}, "
            f"{self.edition}, {self.clause} before them"
        )
