from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models import Equipment, Person
from venue.models.visibility import VisibleQuerySet


class CalculationKept(models.Model):
    """An answer of a calculator, kept on a piece of equipment: what was typed, and all that was
    said that day with its sources, so that a later version of the calculator changes nothing here.
    Only ever inserted; a better one is a new row."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="calculations")
    calculator = models.SlugField(max_length=80)
    typed = models.JSONField()
    said = models.JSONField()  # `rigging.calculators.showing.answer_data`
    why = models.CharField(max_length=200)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    by_name = models.CharField(max_length=200)  # as the person was called on that day
    at = models.DateTimeField()

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(why=""), name="a_calculation_says_what_for")
        ]

    def __str__(self) -> str:
        return f"{self.said['title']}: {self.why}"
