from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Self

from django.db import models

from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet


class JobQuerySet(VisibleQuerySet):
    """Jobs, reached through the venue whose person asked."""

    def unended(self) -> Self:
        return self.filter(state__in=(Job.State.WAITING, Job.State.RUNNING))


class Job(models.Model):
    """Background work asked for by a person. The queue carries only its id; the row is the truth."""

    class Kind(models.TextChoices):
        EVIDENCE = "evidence", "Evidence bundle"
        REPORT = "report", "Report"  # a signed one, or a draft
        PLAN = "plan", "Year plan"
        PAPER = "paper", "Paper of a year plan"

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Running"
        DONE = "done", "Done"
        FAILED = "failed", "Failed"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="jobs")
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=160, unique=True)  # given free when the job has ended
    asked = models.JSONField(default=dict)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True)
    error = models.TextField(blank=True)
    result = models.JSONField(default=dict)

    objects = JobQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"

    def held(self, at: datetime) -> bool:
        """Whether a process is working on it, as far as its lease tells."""
        return self.lease_until is not None and self.lease_until > at


class JobRun(models.Model):
    """Daily work of a venue, once per local day."""

    kind = models.CharField(max_length=40)
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="+")
    local_date = models.DateField()
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["kind", "venue", "local_date"], name="daily_work_once_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.local_date}"
