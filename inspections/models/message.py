from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.db import models

from inspections.models.push_device import PushDevice
from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet


class MessageChoice(models.Model):
    """Which messages of a venue a person wants, how and when. Without a row the defaults hold."""

    class By(models.TextChoices):
        MAIL = "mail", "By mail"
        PHONE = "phone", "On my devices"
        BOTH = "both", "By mail and on my devices"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="message_choices")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="message_choices")
    daily = models.BooleanField(default=True)
    weekly = models.BooleanField(default=True)
    daily_by = models.CharField(max_length=5, choices=By, default=By.MAIL)
    weekly_by = models.CharField(max_length=5, choices=By, default=By.MAIL)
    hour = models.PositiveSmallIntegerField(default=7)  # of the venue's clock
    weekday = models.PositiveSmallIntegerField(default=0)  # of the weekly one; Monday is 0
    quiet_from = models.PositiveSmallIntegerField(default=22)  # both the same: no quiet hours
    quiet_until = models.PositiveSmallIntegerField(default=6)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "person"], name="one_choice_of_messages_per_person"
            ),
            models.CheckConstraint(
                condition=models.Q(
                    hour__lt=24, weekday__lt=7, quiet_from__lt=24, quiet_until__lt=24
                ),
                name="messages_go_at_an_hour_of_the_day",
            ),
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return f"{name(self.person)}: messages"


class Message(models.Model):
    """A person's message of one day, as a mail or to one device. Its row is taken before it goes out
    and settled after, so two workers send it once; whoever took it and crashed has it taken away when
    `held_until` is past."""

    class Kind(models.TextChoices):
        DAILY = "daily", "Daily message"
        WEEKLY = "weekly", "Weekly message"

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        SENT = "sent", "Handed over"
        NOTHING = "nothing", "Nothing to say"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="messages")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="messages")
    kind = models.CharField(max_length=8, choices=Kind)
    # None: it is a mail. That a device was sent something is forgotten with it.
    device = models.ForeignKey(PushDevice, on_delete=models.CASCADE, null=True, related_name="+")
    day = models.DateField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    held_until = models.DateTimeField()
    at = models.DateTimeField()  # of the last attempt
    attempts = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-day", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "person", "kind", "day"],
                condition=models.Q(device=None),
                name="a_message_once_a_day",
            ),
            models.UniqueConstraint(
                fields=["venue", "device", "kind", "day"],
                condition=models.Q(device__isnull=False),
                name="a_message_once_a_day_to_a_device",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.day}"
