from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.db import models

from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet


class DeskMail(models.Model):
    """A mail that the house owes somebody about the auditor's desk. Its row is made with the deed it
    tells of, taken before the mail goes out and settled after: as a `Message`."""

    class Kind(models.TextChoices):
        QUESTION = "question", "Question of an auditor"
        ANSWER = "answer", "Answer to an auditor"
        BUNDLE = "bundle", "Bundle that is ready"
        LINK = "link", "Link to the audit desk"

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        SENT = "sent", "Handed to the mail server"
        NOBODY = "nobody", "Nobody to tell any more"
        GIVEN_UP = "given up", "Tried for seven days and given up"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="desk_mails")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="desk_mails")
    kind = models.CharField(max_length=8, choices=Kind)
    about = models.PositiveBigIntegerField()  # the number of the question, answer, job or link
    # The secret of a link, encrypted by the server's own, until its mail is settled.
    sealed = models.TextField(blank=True)
    owed_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    held_until = models.DateTimeField()
    at = models.DateTimeField()  # of the last attempt
    attempts = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-owed_at", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["kind", "about", "person"], name="a_desk_mail_is_owed_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.about}"

    @property
    def day(self) -> date:
        return self.owed_at.astimezone(self.venue.zone).date()
