from __future__ import annotations

from typing import ClassVar

from django.db import models

from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet


class SealCertificate(models.Model):
    """A certificate with which the venue's reports, bundles and heads are signed, from `since` on
    until the next one. Only ever added; the private key is elsewhere."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="seal_certificates")
    number = models.PositiveIntegerField()
    pem = models.TextField()
    sha256 = models.CharField(max_length=64, unique=True)
    root_sha256 = models.CharField(max_length=64)
    since = models.DateTimeField()
    ends = models.DateTimeField()
    why = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    key_held = models.CharField(max_length=40)  # "here", or "elsewhere": in a device, by a service

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["venue", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["venue", "number"], name="one_seal_per_number")
        ]

    def __str__(self) -> str:
        return f"Seal {self.number}"


class SealRevoked(models.Model):
    """A seal is not trusted from `not_trusted_from` on; `at` is when that was said. Only ever added."""

    seal = models.OneToOneField(SealCertificate, on_delete=models.PROTECT, related_name="revoked")
    reason = models.CharField(max_length=40)  # one of reports/certificates.py: REASONS
    words = models.CharField(max_length=300)
    not_trusted_from = models.DateTimeField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")

    venue_path = "seal__venue"
    objects = VisibleQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.seal} revoked"
