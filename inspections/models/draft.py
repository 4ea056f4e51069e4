from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models

from inspections.models.plan import RegimeVersion, Task
from venue.models import Equipment, KeptFile, Person
from venue.models.visibility import VisibleQuerySet


class Draft(models.Model):
    """A check being filled. Its id becomes the record's id: a second submit finds the record.
    `answers` holds what was typed, whatever it was: bad input is shown again, never dropped."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="drafts")
    task = models.ForeignKey(Task, on_delete=models.PROTECT, null=True, related_name="drafts")
    version = models.ForeignKey(RegimeVersion, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="drafts")
    started_at = models.DateTimeField()
    answers = models.JSONField(default=dict)  # question key -> {field: typed text}
    remark = models.TextField(blank=True)
    worked = models.JSONField(default=dict)  # hours worked and by how many, as typed
    # What a phone said of itself when it sent the check: its clocks, its device, the flags.
    phone = models.JSONField(default=dict)
    submitted_at = models.DateTimeField(null=True)

    venue_path = "equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-started_at"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["task", "by"],
                condition=models.Q(submitted_at__isnull=True),
                name="one_open_draft_per_task_and_person",
            )
        ]

    def __str__(self) -> str:
        return f"{self.equipment} {self.started_at:%Y-%m-%d %H:%M}"


class DraftPhoto(models.Model):
    draft = models.ForeignKey(Draft, on_delete=models.PROTECT, related_name="photos")
    question = models.CharField(max_length=160)
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")

    venue_path = "draft__equipment__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]

    def __str__(self) -> str:
        return self.kept_file.name
