from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.sent import Sent
from venue.models import Person
from venue.models.visibility import VisibleQuerySet


class PhoneSignature(models.Model):
    """What a person signed a check from a phone with. Written once and never changed. A passkey's
    signature is over the SHA-256 of the message as sent; with the public key beside it, it can be
    verified after the passkey was removed. Of a password nothing is kept but that it was right."""

    class How(models.TextChoices):
        PASSKEY = "passkey", "Passkey"
        PASSWORD = "password", "Password"

    sent = models.ForeignKey(Sent, on_delete=models.PROTECT, related_name="signatures")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    how = models.CharField(max_length=8, choices=How)
    # Of a passkey only; base64url where nothing else is said.
    passkey = models.CharField(max_length=150, blank=True)
    credential_id = models.TextField(blank=True)
    algorithm = models.CharField(max_length=20, blank=True)
    public_key = models.TextField(blank=True)  # PEM
    authenticator_data = models.TextField(blank=True)
    client_data = models.TextField(blank=True)
    signature = models.TextField(blank=True)
    person_verified = models.BooleanField(
        default=False
    )  # the device asked for its PIN, a finger or a face
    received_at = models.DateTimeField()

    venue_path = "sent__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["received_at"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["sent", "credential_id"], name="one_signature_of_a_passkey"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_how_display()} {self.passkey} over {self.sent_id}"
