from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.equipment import Equipment
from venue.models.person import Person
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class SetUpCode(models.Model):
    """The code that makes the first person, as its hash. Only whoever sees the terminal knows it;
    the next start of Loftbook makes another one, and the first person uses it up."""

    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Set-up code of {self.made_at:%Y-%m-%d %H:%M}"


class SetUpStep(models.Model):
    """A step of the first hour that somebody said they are through with, or leave for later. What
    can be seen in the house itself (equipment, plans, people) is never written here."""

    class Said(models.TextChoices):
        DONE = "done", "Done"
        LATER = "later", "Left for later"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="set_up_steps")
    step = models.CharField(max_length=16)
    said = models.CharField(max_length=8, choices=Said)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "step"], name="one_word_per_step_and_venue")
        ]

    def __str__(self) -> str:
        return f"{self.step}: {self.get_said_display()}"


class Spreadsheet(models.Model):
    """A spreadsheet that is being read into the register: its bytes, and what a person has said of
    it so far. It goes when it is imported or replaced; the register is what stays."""

    venue = models.OneToOneField(Venue, on_delete=models.PROTECT, related_name="spreadsheet")
    file_name = models.CharField(max_length=200)
    content = models.BinaryField()
    said = models.JSONField(default=dict, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    def __str__(self) -> str:
        return self.file_name


class ListedDay(models.Model):
    """When a spreadsheet said that a thing was last looked at: what the first plans may be counted
    from. It is no record: nobody answers for it. The database refuses to change or delete it; of
    several the newest counts."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="listed_days")
    day = models.DateField()
    heading = models.CharField(max_length=120)
    text = models.CharField(max_length=120)  # as it stood in the list
    file_name = models.CharField(max_length=200)
    at = models.DateTimeField()

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.equipment}: {self.heading} {self.text}"
