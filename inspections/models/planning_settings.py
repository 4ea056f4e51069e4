"""What the year planner must be told about a venue beside its plans and its calendar."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inspections.run_days import LONGEST_PAUSE, USUAL_PAUSE
from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet

HALF_DAYS_A_WEEK = 14  # Monday morning is 0, Sunday afternoon 13
MONDAY_TO_FRIDAY = tuple(range(10))
OFFICE_DAYS = tuple(range(5))
# In a half-day without a booking on a day that has one, the scenery stands and hangs.
LEFT_BESIDE_A_SHOW = (
    "house_empty", "nobody_below", "machine_locked", "power_off", "detector_isolated",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def _hours(default: str, most: int = 24) -> models.DecimalField:
    return models.DecimalField(
        max_digits=6, decimal_places=2, default=Decimal(default),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(most))],
    )  # fmt: skip


def _money(default: str) -> models.DecimalField:
    return models.DecimalField(
        max_digits=10, decimal_places=2, default=Decimal(default),
        validators=[MinValueValidator(Decimal(0))],
    )  # fmt: skip


def _budget() -> models.DecimalField:
    """Of a calendar year. Empty: there is none. Nothing is left out or put off for it."""
    return models.DecimalField(
        max_digits=12, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(Decimal(0))],
    )  # fmt: skip


class PlanningSettings(models.Model):
    """Prices and habits of the whole venue. A venue without a row is planned with the defaults,
    and its plans say so."""

    venue = models.OneToOneField(Venue, on_delete=models.PROTECT, related_name="planning_settings")
    money_unit = models.CharField(max_length=12, blank=True)  # as printed before an amount
    hour_price = _money("32.00")  # one hour of one person of the house
    overtime_price = _money("16.00")  # an hour beyond the ordinary ones, on top of its price
    early_price = _money("2.00")  # each day sooner than the window of a task opens
    year_budget = _budget()  # of all inspections
    week_target_hours = _hours("28", most=2000)  # person-hours; 0: weeks are not levelled
    margin_days = models.PositiveSmallIntegerField(default=3, validators=[MaxValueValidator(60)])
    morning_starts = models.PositiveSmallIntegerField(default=8, validators=[MaxValueValidator(23)])
    noon = models.PositiveSmallIntegerField(default=13, validators=[MaxValueValidator(23)])
    afternoon_ends = models.PositiveSmallIntegerField(
        default=18, validators=[MaxValueValidator(24)]
    )
    left_beside_a_show = models.JSONField(default=list, blank=True)
    # An empty day within a run has the set standing, up to so many days from booking to booking.
    longest_pause = models.PositiveSmallIntegerField(
        default=USUAL_PAUSE, validators=[MaxValueValidator(LONGEST_PAUSE)]
    )
    # For plans of more than a year: every certificate ends within them.
    certificates_renewed = models.BooleanField(default=False)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(noon__gt=models.F("morning_starts"))
                & models.Q(afternoon_ends__gt=models.F("noon")),
                name="the_halves_of_a_day_follow_each_other",
            )
        ]

    def __str__(self) -> str:
        return f"Planning of {self.venue}"


class WorkingWeek(models.Model):
    """The half-days of a week in which a person can be given inspections, and for how long."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="working_weeks")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="working_weeks")
    half_days = models.JSONField(default=list, blank=True)
    hours = _hours("3.50", most=12)  # in each of them
    overtime_hours = _hours("1.00", most=12)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["person__name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "person"], name="one_working_week_per_person_and_venue"
            )
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return f"{name(self.person)}, {len(self.half_days)} half-days a week"


class Absence(models.Model):
    """Days on which a person cannot be given inspections; both days are part of it."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="absences")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="absences")
    first_day = models.DateField()
    last_day = models.DateField()
    why = models.CharField(max_length=120, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["first_day", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="an_absence_ends_after_it_begins",
            )
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return f"{name(self.person)}, {self.first_day} to {self.last_day}"


class ExaminerTrade(models.Model):
    """An outside examiner's trade: what a day costs and holds, and which days are to be had."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="examiner_trades")
    slug = models.SlugField(max_length=60)  # as the work needs name it
    day_fee = _money("950.00")
    year_budget = _budget()  # of this trade's visits
    hours_a_day = _hours("7.00")
    notice_days = models.PositiveSmallIntegerField(default=14, validators=[MaxValueValidator(365)])
    weekdays = models.JSONField(default=list, blank=True)
    arranged = models.JSONField(default=list, blank=True)  # ISO days on which they come anyway
    # Named: only days on which this person's certificate is valid. Empty: whoever comes must bring
    # a valid one, and the plan says so.
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["slug"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "slug"], name="one_examiner_trade_per_slug_and_venue"
            )
        ]

    def __str__(self) -> str:
        return f"{self.slug}: {self.day_fee} a day"


class HoursChoice(models.Model):
    """Whether a kind of check is planned with the estimate although hours of it are on record."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="hours_choices")
    regime = models.SlugField(max_length=80)
    family = models.SlugField(max_length=80)  # of the kind of equipment
    keep_estimate = models.BooleanField(default=False)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["regime", "family"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "regime", "family"], name="one_hours_choice_per_kind_of_check"
            )
        ]

    def __str__(self) -> str:
        words = "the estimate" if self.keep_estimate else "hours on record"
        return f"{self.regime} ({self.family}): {words}"


class SetUpPrice(models.Model):
    """A venue's own price and notice of something made ready once and shared."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="set_up_prices")
    slug = models.SlugField(max_length=60)
    price = _money("0.00")
    notice_days = models.PositiveSmallIntegerField(default=0, validators=[MaxValueValidator(365)])

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["slug"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "slug"], name="one_set_up_price_per_venue")
        ]

    def __str__(self) -> str:
        return f"{self.slug}: {self.price}"
