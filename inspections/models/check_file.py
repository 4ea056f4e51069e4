from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models import KeptFile, Person, Venue
from venue.models.visibility import VisibleQuerySet


class CheckFile(models.Model):
    """A voice note or a drawn signature of a check, by the check's id: it may come before its
    record or after. Only ever added."""

    class What(models.TextChoices):
        VOICE = "voice", "Voice note"
        DRAWN = "drawn", "Drawn signature"

    check_id = models.UUIDField(db_index=True)
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    what = models.CharField(max_length=8, choices=What)
    question = models.CharField(max_length=160, blank=True)  # none: of the whole check
    sha256 = models.CharField(max_length=64)  # of the bytes as sent
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["check_id", "by", "what", "question", "sha256"],
                name="one_check_file_sent_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} {self.sha256[:8]}"
