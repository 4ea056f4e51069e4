from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.db import models

from venue.models import Venue
from venue.models.visibility import VisibleQuerySet
from venue.person_references import TextAbout


class SignedHead(models.Model):
    """Size and root of a venue's log at one time, signed with the venue's seal. Only ever added; each
    names the one before by its hash. `body` is canonical JSON; `signature` is a detached CMS
    signature over it (RFC 5652), DER in base64."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="signed_heads")
    number = models.PositiveBigIntegerField()
    size = models.PositiveBigIntegerField()
    root = models.CharField(max_length=64)
    at = models.DateTimeField()
    body = models.TextField()
    sha256 = models.CharField(max_length=64)
    signature = models.TextField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["venue", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "number"], name="one_head_per_number")
        ]

    def __str__(self) -> str:
        return f"Head {self.number}: {self.size} lines"


class HeadReceiver(models.Model):
    """An address outside the house that is sent the heads of a venue's log, so that somebody else
    keeps them. Ended, never edited."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="head_receivers")
    address = models.EmailField()
    whose = models.CharField(max_length=200)
    since = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["since", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "address"],
                condition=models.Q(ended_at__isnull=True),
                name="heads_are_sent_to_an_address_once",
            )
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return name(TextAbout(f"{self.address} ({self.whose})"))


class HeadSent(models.Model):
    """A head was handed to the mail server for a receiver. Only ever added."""

    head = models.ForeignKey(SignedHead, on_delete=models.PROTECT, related_name="sendings")
    receiver = models.ForeignKey(HeadReceiver, on_delete=models.PROTECT, related_name="sendings")
    at = models.DateTimeField()

    venue_path = "head__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["head", "receiver"], name="a_head_is_sent_once")
        ]

    def __str__(self) -> str:
        return f"{self.head} to {self.receiver}"
