from __future__ import annotations

from typing import TYPE_CHECKING, Self
from zoneinfo import ZoneInfo

from django.db import models

from venue.languages import LANGUAGES

if TYPE_CHECKING:
    from venue.models.person import Person


class Organisation(models.Model):
    """Who operates one or more venues."""

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=200)
    address = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class VenueQuerySet(models.QuerySet):
    def visible_to(self, person: Person) -> Self:
        return self.filter(pk__in=person.venue_ids())


class Venue(models.Model):
    """One building with its own time zone, unit habit, trade dialect and rule sets."""

    class UnitHabit(models.TextChoices):
        METRIC = "metric", "Metric (mm, kg, kN)"
        US = "us", "US customary (in, lb, lbf)"

    class Dialect(models.TextChoices):
        AMERICAN = "en-US", "American stage words (batten, load-in, pit lift)"
        BRITISH = "en-GB", "British stage words (bar, get-in, orchestra lift)"

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "letter", "US letter"

    organisation = models.ForeignKey(Organisation, on_delete=models.PROTECT, related_name="venues")
    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=200)
    address = models.TextField(blank=True)
    time_zone = models.CharField(max_length=64, default="UTC")
    unit_habit = models.CharField(max_length=8, choices=UnitHabit, default=UnitHabit.METRIC)
    dialect = models.CharField(max_length=8, choices=Dialect, default=Dialect.AMERICAN)
    paper = models.CharField(max_length=8, choices=Paper, default=Paper.A4)
    # Of its reports and, where a person chose none, of its pages. Empty: reports in English.
    language = models.CharField(max_length=8, choices=LANGUAGES, blank=True, default="")
    # The last day for which everything booked is entered; days after it are unknown, not free.
    calendar_known_until = models.DateField(null=True, blank=True)
    # While it is, the manager is shown the way back to the steps of the first hour.
    set_up_since = models.DateTimeField(null=True, blank=True)

    objects = VenueQuerySet.as_manager()

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)
