"""Take the row of one message before it goes, so that two workers send it once."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from inspections.actions.mail_attempts import HELD_FOR
from inspections.models import Message
from inspections.queries.messages import Due
from venue.models import Venue


def take_row(venue: Venue, due: Due, at: datetime) -> Message | None:
    """The row of this message, in our hands for ten minutes; none: another worker has it."""
    known = {
        "venue": venue, "person": due.person, "kind": due.kind, "day": due.day, "device": due.device
    }  # fmt: skip
    try:
        with transaction.atomic():
            return Message.objects.create(**known, held_until=at + HELD_FOR, at=at, attempts=1)
    except IntegrityError:
        rows = Message.objects.filter(**known, state=Message.State.WAITING, held_until__lte=at)
    taken = rows.update(held_until=at + HELD_FOR, at=at)
    return Message.objects.get(**known) if taken else None
