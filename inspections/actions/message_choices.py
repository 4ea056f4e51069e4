"""Choose one's messages, on the page or by the link in each of them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.db import transaction
from django.urls import reverse

from inspections.models import Message, MessageChoice
from venue.actions.log import write_line
from venue.models import Membership, Person, Venue

SIGNER = Signer(salt="inspections.stop_messages")


def choose_messages(
    *, venue: Venue, person: Person, fields: Mapping[str, Any], by: Person | None, at: datetime
) -> MessageChoice:
    """The same choice again changes nothing."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        row = MessageChoice.objects.filter(venue=venue, person=person).first()
        row = row or MessageChoice(venue=venue, person=person)
        before = {name: getattr(row, name) for name in fields}
        if row.pk and before == dict(fields):
            return row
        MessageChoice.objects.update_or_create(venue=venue, person=person, defaults=dict(fields))
        row = MessageChoice.objects.get(venue=venue, person=person)
        write_line(
            venue=venue, by=by, at=at, did="choose_messages", subject=row, before=before, after=dict(fields)
        )  # fmt: skip
    return row


def stop_messages(*, member: Membership, kind: str, at: datetime) -> None:
    """By the link in a message, which works without signing in: so the log names nobody as its doer."""
    choose_messages(venue=member.venue, person=member.person, fields={kind: False}, by=None, at=at)


def stop_address(venue: Venue, person: Person, kind: str) -> str:
    """Good for as long as the installation's own key is; it stops this kind and does nothing else."""
    return settings.LOFTBOOK_ADDRESS + stop_path(venue, person, kind)


def stop_path(venue: Venue, person: Person, kind: str) -> str:
    return reverse("stop_messages", args=[SIGNER.sign_object([venue.pk, person.pk, kind])])


def read_stop(token: str) -> tuple[Membership, str] | None:
    """Whose messages of which kind the link stops; none: not our link, or they left the house."""
    try:
        venue, person, kind = SIGNER.unsign_object(token)
    except (BadSignature, ValueError):
        return None
    rows = Membership.objects.filter(venue=venue, person=person, ended_on=None)
    member = rows.select_related("venue", "person").first()
    return (member, kind) if member and kind in Message.Kind.values else None
