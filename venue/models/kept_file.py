from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.person import Person
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class KeptFile(models.Model):
    """A file kept for ever under the SHA-256 of its bytes. Photographs also have a clean copy
    (upright, scaled, without position or camera data): that one is shown, the original is kept."""

    class What(models.TextChoices):
        PHOTOGRAPH = "photograph", "Photograph"
        DOCUMENT = "document", "Document"
        REPORT = "report", "Report"
        VOICE_NOTE = "voice_note", "Voice note"
        DRAWN_SIGNATURE = "drawn_signature", "Drawn signature"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="kept_files")
    what = models.CharField(max_length=16, choices=What)
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    size = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    shown_sha256 = models.CharField(max_length=64)
    shown_media_type = models.CharField(max_length=100)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "sha256", "name"], name="one_kept_file_per_bytes_and_name"
            )
        ]

    def __str__(self) -> str:
        return self.name
