"""The way of an outside auditor to the desk: a link that is good until a day."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any, ClassVar

from django.db import models

from venue.models import Membership, Person, Venue
from venue.models.visibility import VisibleQuerySet


class DeskLink(models.Model):
    """Whoever opens it is signed in, until its end, as the auditor it was made for. The secret in it
    is kept nowhere: the row has its SHA-256 alone. The auditor has no password and an address at
    which nobody gets mail, so there is no other way in; `address` is where they do get it."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="desk_links")
    membership = models.OneToOneField(
        Membership, on_delete=models.PROTECT, related_name="desk_link"
    )
    address = models.EmailField(blank=True)
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    last_day = models.DateField()
    ends_at = models.DateTimeField()  # the end of that day where the house stands
    revoked_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    revoked_at = models.DateTimeField(null=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-made_at", "-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(ends_at__gte=models.F("made_at")),
                name="a_desk_link_ends_no_sooner_than_it_is_made",
            ),
            models.CheckConstraint(
                condition=models.Q(revoked_by=None, revoked_at=None)
                | models.Q(revoked_by__isnull=False, revoked_at__isnull=False),
                name="a_desk_link_is_revoked_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return f"{name(self.person)}: audit desk until {self.last_day}"

    @property
    def person(self) -> Person:
        return self.membership.person

    def standing(self, at: datetime) -> str:
        """`running`, `revoked` (by whoever, or because the role was ended), or `ended`."""
        if self.revoked_at:
            return "revoked"
        if at >= self.ends_at:
            return "ended"
        return "revoked" if self.membership.ended_on else "running"
