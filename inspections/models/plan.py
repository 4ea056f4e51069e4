from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.db import models

from inspections.first_starts import first_lawful_until, turn_due_on
from inspections.half_days import half_words
from venue.models import Equipment, ListedDay, Person, Venue
from venue.models.visibility import VisibleQuerySet


class RegimeVersion(models.Model):
    """A regime's text as it was used, by its hash. Never changed: an old record keeps its meaning."""

    slug = models.SlugField(max_length=80)
    hash = models.CharField(max_length=64, unique=True)
    title = models.CharField(max_length=200)
    body = models.TextField()
    first_used = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.title} ({self.hash[:8]})"


class Plan(models.Model):
    """A regime applied to one piece of equipment, with its interval and window."""

    class Counting(models.TextChoices):
        FROM_LAST_DONE = "from_last_done", "From the day it was last done"
        ANCHORED = "anchored", "From a fixed day"

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="plans")
    regime = models.SlugField(max_length=80)
    version = models.ForeignKey(RegimeVersion, on_delete=models.PROTECT, related_name="plans")
    level = models.CharField(max_length=24)
    interval = models.CharField(max_length=12, blank=True)  # ISO 8601; empty: before use, not dated
    counting = models.CharField(max_length=16, choices=Counting)
    anchor = models.DateField()
    early = models.CharField(max_length=12, default="P7D")
    lawful_slack = models.CharField(max_length=12, default="P0D")
    planned_before = models.CharField(max_length=12, default="P7D")
    last_done_on = models.DateField(null=True, blank=True)
    last_done_number = models.PositiveIntegerField(default=0)
    # The examiner may set a shorter next date; it then rules until that task is done. So does the day
    # on which it became late by a list, where more than one turn was missed (`turns_missed`).
    next_no_later_than = models.DateField(null=True, blank=True)
    # What a spreadsheet said, where the first due day was counted from that; no record stands behind.
    listed_day = models.ForeignKey(
        ListedDay, on_delete=models.PROTECT, null=True, blank=True, related_name="plans"
    )
    usual_person = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.TextField(blank=True)

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["equipment", "regime"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["equipment", "regime"],
                condition=models.Q(ended_on__isnull=True),
                name="one_running_plan_per_regime_and_equipment",
            )
        ]

    def __str__(self) -> str:
        return f"{self.equipment}: {self.version.title}"

    @property
    def shortened(self) -> bool:
        """An examiner's shorter next date rules."""
        return self.next_no_later_than is not None and not self.turns_missed

    @property
    def turns_missed(self) -> int:
        """How many, by the list from which it was counted, when it was made: more than one, or 0. What
        an examiner sets is sooner than the first turn's last lawful day, so it is never taken for it."""
        if not self.next_no_later_than or self.last_done_on or self.listed_day is None:
            return 0
        last = self.listed_day.day
        if self.next_no_later_than != first_lawful_until(last, self.interval, self.lawful_slack):
            return 0
        return turn_due_on(last, self.interval, self.anchor)


class HalfOfDay(models.TextChoices):
    MORNING = "am", "Morning"
    AFTERNOON = "pm", "Afternoon"


class Task(models.Model):
    """One due occurrence of a plan, with a planned day and a last lawful date."""

    class State(models.TextChoices):
        OPEN = "open", "Open"
        DONE = "done", "Done"
        CANCELLED = "cancelled", "Cancelled, with a reason"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="tasks")
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="tasks")
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="tasks")
    number = models.PositiveIntegerField()
    due_on = models.DateField()
    planned_on = models.DateField()
    last_lawful_on = models.DateField()
    day_agreed = models.BooleanField(default=False)  # a person set planned_on: do not re-plan it
    half = models.CharField(max_length=2, choices=HalfOfDay, blank=True)  # empty: nobody said
    half_days = models.PositiveSmallIntegerField(default=1)  # how many it takes, from that half on
    deferred_why = models.TextField(blank=True)
    # Which published year plan gave it its day, its person, its reason; empty: a person did, or nobody.
    day_from = models.ForeignKey(
        "inspections.YearPlan", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    person_from = models.ForeignKey(
        "inspections.YearPlan", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    why_from = models.ForeignKey(
        "inspections.YearPlan", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="tasks"
    )
    helpers = models.ManyToManyField(Person, related_name="+", blank=True)  # beside `person`
    # Those of them whom a person chose; a year plan gave the others.
    chosen_helpers = models.ManyToManyField(Person, related_name="+", blank=True)
    state = models.CharField(max_length=12, choices=State, default=State.OPEN)
    done_on = models.DateField(null=True, blank=True)
    closed_why = models.TextField(blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["planned_on", "equipment__walking_order", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["plan", "number"], name="one_task_per_plan_and_number"),
            models.CheckConstraint(
                condition=models.Q(state="done", done_on__isnull=False)
                | (~models.Q(state="done") & models.Q(done_on__isnull=True)),
                name="a_done_task_has_its_day",
            ),
            models.CheckConstraint(
                condition=models.Q(half="") | models.Q(day_agreed=True),
                name="only_an_agreed_day_has_a_half",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["venue", "state", "planned_on"])]

    def __str__(self) -> str:
        return f"{self.plan} {self.due_on}"

    @property
    def day_by_hand(self) -> bool:
        """A person set the day, and no plan moves it."""
        return self.day_agreed and self.day_from_id is None

    def person_chosen_on(self, day: date) -> bool:
        """Whether a person chose who does it on that day."""
        chosen = self.person_id is not None and self.person_from_id is None
        return chosen and self.agreed_for(day)

    def agreed_for(self, day: date) -> bool:
        """Whether it has that day for good, from a person or a plan."""
        return self.day_agreed and self.planned_on == day

    @property
    def half_words(self) -> str:
        """When in its planned day; empty: nobody said."""
        return half_words(self.half, self.half_days)
