from __future__ import annotations

from hashlib import sha256
from typing import ClassVar, Self

from django.db import models

from venue.models import Person

LONGEST_ENDPOINT = 1_000


class OwnDevices(models.QuerySet):
    def visible_to(self, person: Person) -> Self:
        """Nobody else's, whatever their role: a device is no matter of a house."""
        return self.filter(person=person)


class PushDevice(models.Model):
    """A browser on which a person allowed messages: where its maker's service takes them, and the keys
    they are encrypted for. Whoever copies this table can send nothing, since the service wants the
    word of the key that the browser was asked with, which is in no table."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="push_devices")
    endpoint = models.CharField(max_length=LONGEST_ENDPOINT, unique=True)
    p256dh = models.CharField(max_length=100)
    auth = models.CharField(max_length=30)
    asked_with = models.CharField(max_length=100)  # our public key of that day
    label = models.CharField(max_length=60)
    since = models.DateTimeField()

    objects = OwnDevices.as_manager()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(endpoint__startswith="https://"),
                name="a_push_service_is_asked_over_https",
            )
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def mark(self) -> str:
        """By which a browser knows itself in the list, without its address standing on the page."""
        return sha256(self.endpoint.encode()).hexdigest()
