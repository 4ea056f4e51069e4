from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.finding import Finding
from inspections.models.record import Record
from venue.models import KeptFile, Person, Venue
from venue.models.visibility import VisibleQuerySet


class Sent(models.Model):
    """What a phone sent, to the letter, with what was made of it. The id was made on the phone:
    sending twice finds this row."""

    class What(models.TextChoices):
        CHECK = "check", "Check"
        STOP = "stop", "Out of service"

    id = models.UUIDField(primary_key=True, editable=False)
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="sent")
    what = models.CharField(max_length=8, choices=What)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    body = models.TextField()
    sha256 = models.CharField(max_length=64)
    device = models.CharField(max_length=60, blank=True)
    number = models.PositiveIntegerField(default=0)
    received_at = models.DateTimeField()
    # When it was done by the server's clock, as far as the phone's clock lets it be known.
    earliest_at = models.DateTimeField()
    latest_at = models.DateTimeField()
    flags = models.JSONField(default=list)
    record = models.OneToOneField(Record, on_delete=models.PROTECT, null=True, related_name="sent")
    finding = models.OneToOneField(
        Finding, on_delete=models.PROTECT, null=True, related_name="sent"
    )

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-received_at"]

    def __str__(self) -> str:
        return f"{self.get_what_display()} {self.id}"


class SentPhotograph(models.Model):
    """A photograph of a check on a phone. It may arrive before its check, or after."""

    check_id = models.UUIDField(db_index=True)
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    question = models.CharField(max_length=160)
    sha256 = models.CharField(max_length=64)  # of the bytes as sent
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["check_id", "by", "question", "sha256"], name="one_photograph_sent_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.question} {self.sha256[:8]}"


class KeptAside(models.Model):
    """A message nothing could be made of, or another one under an id that is taken: kept whole,
    for a person to look at."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="kept_aside")
    message_id = models.UUIDField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    body = models.TextField()
    sha256 = models.CharField(max_length=64)
    why = models.TextField()
    received_at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-received_at"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["message_id", "by", "sha256"], name="kept_aside_once")
        ]

    def __str__(self) -> str:
        return f"{self.message_id} {self.why[:40]}"
