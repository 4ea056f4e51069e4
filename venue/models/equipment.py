from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.kept_file import KeptFile
from venue.models.place import Place
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


def named_once(code: str, name: str) -> str:
    """Code and name, and no word of theirs said twice.

    >>> named_once("line 3", "Paint frame rope"), named_once("arbor", "Arbor")
    ('line 3 Paint frame rope', 'arbor')
    >>> named_once("top hook", "Hook"), named_once("line 3", "Line 3, downstage")
    ('top hook', 'Line 3, downstage')
    >>> named_once("1", "12 mm rope")
    '1 12 mm rope'
    """
    code_words, name_words = code.casefold().split(), name.casefold().replace(",", " ").split()
    if code_words[-len(name_words) :] == name_words:
        return code
    return name if name_words[: len(code_words)] == code_words else f"{code} {name}"


class Equipment(models.Model):
    """A thing that is inspected. Its kind is a data file; `fields` were checked against it."""

    class Standing(models.TextChoices):
        INSTALLED = "installed", "Installed"
        STORED = "stored", "Stored, not in use"
        GONE = "gone", "Gone from the house"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="equipment")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="equipment")
    tag = models.CharField(max_length=40)
    name = models.CharField(max_length=200)
    kind = models.SlugField(max_length=60)
    kind_hash = models.CharField(max_length=64)
    standing = models.CharField(max_length=12, choices=Standing, default=Standing.INSTALLED)
    walking_order = models.PositiveIntegerField(default=0)
    serial = models.CharField(max_length=120, blank=True)
    made_on = models.CharField(max_length=40, blank=True)  # as known: "1997", "unknown"
    # What a spreadsheet said in columns that the register has no place for.
    # Nothing in place of "": SQLite would otherwise rebuild a table that evidence leans on.
    note = models.TextField(blank=True, null=True)  # noqa: DJ001
    fields = models.JSONField(default=dict, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["walking_order", "tag"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "tag"], name="one_equipment_per_tag_and_venue")
        ]

    def __str__(self) -> str:
        return f"{self.tag} {self.name}"


class RatedLoad(models.Model):
    """A rated load with its purpose: the same lift has one figure moving and another at rest."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="rated_loads")
    purpose = models.CharField(max_length=40)
    quantity = models.JSONField()  # Quantity.stored()
    source = models.CharField(max_length=200, blank=True)

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["purpose"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["equipment", "purpose"], name="one_rated_load_per_purpose"
            )
        ]

    def __str__(self) -> str:
        return f"{self.equipment.tag} {self.purpose}: {self.quantity['typed']}"


class Part(models.Model):
    """Something inside equipment with a life of its own: a wire rope, a block, a brake.
    The code is the position ("line 3"); the identifier belongs to the thing itself."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="parts")
    code = models.CharField(max_length=40)
    kind = models.SlugField(max_length=60)
    kind_hash = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    identifier = models.CharField(max_length=120, blank=True)
    installed_on = models.DateField(null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)
    # When it was written down: a check of that very day may have been made before.
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_why = models.TextField(blank=True)
    successor = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="predecessor"
    )
    walking_order = models.PositiveIntegerField(default=0)
    note = models.TextField(blank=True, null=True)  # noqa: DJ001
    fields = models.JSONField(default=dict, blank=True)

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["walking_order", "code"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["equipment", "code"],
                condition=models.Q(retired_on__isnull=True),
                name="one_part_in_use_per_code",
            )
        ]

    def __str__(self) -> str:
        return named_once(self.code, self.name)


class EquipmentFile(models.Model):
    """A photograph or document of one piece of equipment."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="files")
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")
    caption = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at"]

    def __str__(self) -> str:
        return self.caption or self.kept_file.name
