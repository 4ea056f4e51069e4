"""The log stands on the lowest floor because every app writes it and imports run one way."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models.person import Person
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class LogHead(models.Model):
    """How far a venue's log goes, and its Merkle root. Locked while a line is written, so lines have
    one order. The frontier (see venue/merkle.py) makes a new line cost one update of this row."""

    venue = models.OneToOneField(Venue, on_delete=models.PROTECT, related_name="log_head")
    size = models.PositiveBigIntegerField(default=0)
    root = models.CharField(max_length=64, blank=True)
    frontier = models.TextField(blank=True)  # 64 hex characters for each root

    objects = VisibleQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.venue.slug} {self.size}"


class LogLine(models.Model):
    """Who did what, when, to what; before and after as frozen text. Only ever inserted.
    `body` is canonical JSON (RFC 8785); `sha256` is its leaf hash in the venue's Merkle tree."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="log_lines")
    number = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=200)
    did = models.CharField(max_length=60)
    subject = models.CharField(max_length=120)
    label = models.CharField(max_length=300)
    body = models.TextField()
    sha256 = models.CharField(max_length=64)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["venue", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "number"], name="one_log_line_per_number")
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.did} {self.label}"


class LogCheck(models.Model):
    """What was found when a venue's log was recomputed from its first line. No faults: it holds."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="log_checks")
    at = models.DateTimeField()
    size = models.PositiveBigIntegerField()
    root = models.CharField(max_length=64)
    records = models.PositiveBigIntegerField()
    heads = models.PositiveBigIntegerField()
    faults = models.JSONField(default=list)  # sentences, the first fifty

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        indexes: ClassVar = [models.Index(fields=["venue", "-at"], name="log_check_newest")]

    def __str__(self) -> str:
        return f"{self.venue.slug} {self.size}: {'does not hold' if self.faults else 'holds'}"
