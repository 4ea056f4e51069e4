"""Take one message from a phone: kept once, as sent, whatever is made of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, transaction

from inspections.models import KeptAside, Sent
from inspections.phone_message import Unreadable
from venue.actions.log import write_line
from venue.log_hash import sha256_of
from venue.models import Person, Venue


class OtherUnderThisId(ValueError):
    """Other words stand under this id already. Both are kept; the first one counts."""


class OfAnotherPerson(ValueError):
    """A message belongs to whoever made it; nobody else's sign-in may send it."""


def receive(
    *, venue: Venue, pk: UUID, text: str, by: Person, at: datetime, make: Callable[[], Sent]
) -> Sent:
    """What `make` makes of the message, or what was made of it when it came before.

    Raises Unreadable and OtherUnderThisId after the message was kept aside, and whatever `make`
    raises.
    """
    if before := _sent_before(venue, pk, text, by, at):
        return before
    try:
        with transaction.atomic():
            return make()
    except Unreadable as fault:
        keep_aside(venue=venue, pk=pk, text=text, why=str(fault), by=by, at=at)
        raise
    except IntegrityError:
        # The same message came twice at once; the other one was quicker.
        if before := _sent_before(venue, pk, text, by, at):
            return before
        raise


def _sent_before(venue: Venue, pk: UUID, text: str, by: Person, at: datetime) -> Sent | None:
    before = Sent.objects.filter(pk=pk).select_related("record").first()
    if before is None:
        return None
    if before.venue_id == venue.pk and before.by_id == by.pk and before.sha256 == sha256_of(text):
        return before
    why = "Another message stands under this id already; both are kept."
    keep_aside(venue=venue, pk=pk, text=text, why=why, by=by, at=at)
    raise OtherUnderThisId(why)


@transaction.atomic
def keep_aside(
    *, venue: Venue, pk: UUID, text: str, why: str, by: Person, at: datetime
) -> KeptAside:
    """Keep whole what nothing could be made of. The same message twice is kept once."""
    row, made = KeptAside.objects.get_or_create(
        message_id=pk, by=by, sha256=sha256_of(text),
        defaults={"venue": venue, "body": text, "why": why, "received_at": at},
    )  # fmt: skip
    if made:
        after = {"message": str(pk), "why": why, "sha256": row.sha256}
        write_line(venue=venue, by=by, at=at, did="keep_aside", subject=row, after=after)
    return row
