from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import ClassVar

from django.db import models

from inspections.models.job import Job
from inspections.models.plan import HalfOfDay, Plan, Task
from venue.models import Equipment, Person, Venue
from venue.models.visibility import VisibleQuerySet


class YearPlan(models.Model):
    """One plan of a venue's inspections for some months. A published one never changes and never
    goes: a replan is a new row, and of those that hold a day the newest published one is in force."""

    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        PROPOSED = "proposed", "Proposed"
        PUBLISHED = "published", "Published"
        WITHDRAWN = "withdrawn", "Withdrawn"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="year_plans")
    name = models.CharField(max_length=120, blank=True)  # tells a what-if copy from its original
    first_day = models.DateField()
    days = models.PositiveSmallIntegerField()
    seed = models.PositiveIntegerField(default=1)
    seconds = models.PositiveIntegerField(default=60)  # the time the search was allowed
    state = models.CharField(max_length=9, choices=State, default=State.DRAFT)
    job = models.OneToOneField(
        Job, on_delete=models.PROTECT, null=True, blank=True, related_name="year_plan"
    )
    copy_of = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="copies"
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()  # when it was asked for
    made_at = models.DateTimeField(null=True, blank=True)  # empty: it is being made, or failed
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_why = models.TextField(blank=True)
    # Figures, the aims with their bounds, late plans, reasons, gains; see docs/planning-a-year.md.
    outcome = models.JSONField(default=dict, blank=True)
    inputs_sha256 = models.CharField(max_length=64, blank=True)  # of everything it was made from
    assumptions = models.JSONField(default=list, blank=True)  # sentences
    unknowns = models.JSONField(default=list, blank=True)  # sentences

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~models.Q(state="published") | models.Q(published_at__isnull=False),
                name="a_published_year_plan_has_its_moment",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="withdrawn") | ~models.Q(withdrawn_why=""),
                name="a_withdrawn_year_plan_has_its_reason",
            ),
            models.CheckConstraint(
                condition=models.Q(days__gte=1), name="a_year_plan_has_a_day_at_least"
            ),
        ]

    def __str__(self) -> str:
        words = f"{self.first_day:%-d %b %Y} to {self.last_day:%-d %b %Y}"
        return f"{self.name}: {words}" if self.name else f"Year plan {words}"

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=self.days - 1)

    @property
    def known_late(self) -> dict[str, int]:
        """Days late by the words of each plan of a check: as the year plan was made, and as moves by
        hand were meant. Publishing allows these and no more."""
        return dict(self.outcome.get("known_late", {}))

    @property
    def published_although(self) -> str:
        """Why it was published while its calendar was in doubt; the log says which doubts stood."""
        return self.outcome.get("published_although", "")

    @property
    def may_change(self) -> bool:
        """Whether its tasks may still be moved and locked by hand."""
        return bool(self.made_at) and self.state in (self.State.DRAFT, self.State.PROPOSED)


class PlannedTask(models.Model):
    """One task of a year plan, with its half-day and its people. Its dates are those of its own
    chain in this plan: done sooner, the next one falls due sooner."""

    Half = HalfOfDay

    year_plan = models.ForeignKey(YearPlan, on_delete=models.PROTECT, related_name="planned")
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="+")
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="+")
    # The dated task it stands for; empty: that lies more than 15 months ahead and is not made yet.
    task = models.ForeignKey(
        Task, on_delete=models.PROTECT, null=True, blank=True, related_name="planned"
    )
    day = models.DateField()
    half = models.CharField(max_length=2, choices=Half)
    half_days = models.PositiveSmallIntegerField(default=1)  # how many it takes, from this one on
    due_on = models.DateField()
    last_lawful_on = models.DateField()
    late_days = models.PositiveIntegerField(default=0)
    quarters = models.PositiveIntegerField(default=0)  # quarter-hours of the house's people
    examiner = models.CharField(max_length=80, blank=True)  # the trade who comes for it
    locked = models.BooleanField(default=False)
    why = models.JSONField(null=True, blank=True)
    people = models.ManyToManyField(Person, through="PlannedPerson", related_name="+", blank=True)

    venue_path = "year_plan__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["day", "half", "equipment__walking_order", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["year_plan", "plan", "day"], name="a_plan_once_a_day_in_a_year_plan"
            ),
            models.CheckConstraint(
                condition=models.Q(half_days__gte=1), name="a_planned_task_takes_a_half_day"
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["year_plan", "day", "half"])]

    def __str__(self) -> str:
        return f"{self.plan}, {self.day:%-d %b %Y}, {self.get_half_display().lower()}"


class PlannedPerson(models.Model):
    """A person's part in a planned task, in quarter-hours. One of them leads: theirs is the task."""

    planned = models.ForeignKey(PlannedTask, on_delete=models.CASCADE, related_name="crew")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    quarters = models.PositiveIntegerField()
    leads = models.BooleanField(default=False)

    venue_path = "planned__year_plan__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-leads", "person__name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["planned", "person"], name="a_person_once_in_a_planned_task"
            ),
            models.UniqueConstraint(
                fields=["planned"], condition=models.Q(leads=True),
                name="one_person_leads_a_planned_task",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.person}: {self.planned}"

    @property
    def hours(self) -> str:
        return f"{Decimal(self.quarters) / 4:g}"


class PlannedMove(models.Model):
    """A planned task moved by hand, so that it can be undone and told of."""

    year_plan = models.ForeignKey(YearPlan, on_delete=models.PROTECT, related_name="moves")
    planned = models.ForeignKey(PlannedTask, on_delete=models.PROTECT, related_name="moves")
    from_day = models.DateField()
    from_half = models.CharField(max_length=2, choices=PlannedTask.Half)
    to_day = models.DateField()
    to_half = models.CharField(max_length=2, choices=PlannedTask.Half)
    # Days late that it was meant to bring, or to take away, by the words of each plan of a check.
    late_meant = models.JSONField(default=dict, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)

    venue_path = "year_plan__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-pk"]

    def __str__(self) -> str:
        return f"{self.planned}: {self.from_day} to {self.to_day}"
