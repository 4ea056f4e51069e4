from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.sent import Sent
from venue.models import Person
from venue.models.visibility import VisibleQuerySet


class PhoneSignature(models.Model):
    """A passkey's signature over the SHA-256 of a message as sent. Written once and never changed.
    With the public key beside it, it can be verified after the passkey was removed."""

    sent = models.ForeignKey(Sent, on_delete=models.PROTECT, related_name="signatures")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    passkey = models.CharField(max_length=150)
    credential_id = models.TextField()  # this and what follows: base64url
    public_key = models.TextField()  # COSE, as CBOR
    authenticator_data = models.TextField()
    client_data = models.TextField()
    signature = models.TextField()
    person_verified = models.BooleanField()  # the device asked for its PIN, a finger or a face
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
        return f"{self.passkey} over {self.sent_id}"
