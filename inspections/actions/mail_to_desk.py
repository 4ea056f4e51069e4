"""Owe somebody a mail about the auditor's desk, and send what is owed: the house is told that it was
asked, whoever asked that there is an answer, whoever asked for a bundle that it is ready, and an
auditor gets the link. What a mail server does not take is tried again, for seven days."""

from __future__ import annotations

import logging
from datetime import datetime, timedelta

from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.utils import timezone

from inspections.actions.mail_attempts import (
    HELD_FOR,
    REFUSED_FOR,
    MailServerGone,
    hand_over,
    plainly,
    put_back,
    settle,
)
from inspections.models import DeskMail
from inspections.queries.desk_letters import letter_of
from inspections.sealed_text import CannotOpen
from venue.actions.send_letter import no_mail_server
from venue.models import Membership, Person, Role, Venue

log = logging.getLogger(__name__)

TRIED_FOR = timedelta(days=7)
KEPT_FOR = timedelta(days=90)
MOST_AT_ONCE = 60  # of a tick; the rest goes with the next one


def owe_mail(
    *, venue: Venue, kind: str, about: int, person: Person, at: datetime, sealed: str = ""
) -> DeskMail:
    """Inside the transaction of what it tells of. Twice the same is one mail."""
    fields = {"venue": venue, "owed_at": at, "held_until": at, "at": at, "sealed": sealed}
    row, _ = DeskMail.objects.get_or_create(
        kind=kind, about=about, person=person, defaults=fields
    )  # fmt: skip
    return row


def owe_mail_to_managers(*, venue: Venue, kind: str, about: int, at: datetime) -> None:
    managers = Membership.objects.filter(venue=venue, role=Role.MANAGER, ended_on=None)
    for row in managers.select_related("person").order_by("pk"):
        owe_mail(venue=venue, kind=kind, about=about, person=row.person, at=at)


def send_desk_mails(*, at: datetime) -> int:
    """What is owed and in nobody's hands. Twice at once sends once."""
    _give_up(at)
    if no_mail_server():
        return 0  # nothing would reach anybody
    began = timezone.now()
    rows = DeskMail.objects.filter(state=DeskMail.State.WAITING, held_until__lte=at)
    due = list(rows.select_related("venue", "person").order_by("pk")[:MOST_AT_ONCE])
    connection, sent = get_connection(), 0
    try:
        for row in due:
            sent += _send_one(row, connection, at, at + (timezone.now() - began) + HELD_FOR)
    except MailServerGone:
        log.warning("the mail server takes nothing; desk mails are tried again at the next tick")
    finally:
        connection.close()
    return sent


def forget_old_desk_mails(*, at: datetime) -> int:
    """That somebody was sent a mail is no evidence of anything."""
    old = DeskMail.objects.filter(owed_at__lt=at - KEPT_FOR)
    return old.exclude(state=DeskMail.State.WAITING).delete()[0]


def _send_one(row: DeskMail, connection: BaseEmailBackend, at: datetime, until: datetime) -> bool:
    """Whether it was handed over; it is in our hands until then. Raises MailServerGone."""
    free = DeskMail.objects.filter(
        pk=row.pk, state=DeskMail.State.WAITING, held_until=row.held_until
    )
    if not free.update(held_until=until, at=at):
        return False  # another worker has it
    try:
        return _write_and_send(row, connection, at)
    except CannotOpen as refusal:
        settle(row, DeskMail.State.GIVEN_UP, at, str(refusal))
    except (ValueError, KeyError) as fault:
        # Of this mail alone, such as an address that cannot be written. The others go on.
        log.error(
            "the %s mail to person %s could not be written: %s",
            row.kind, row.person_id, plainly(fault),
        )  # fmt: skip
        put_back(row, f"It could not be written: {plainly(fault)}.", at, at + REFUSED_FOR)
        connection.close()
    return False


def _write_and_send(row: DeskMail, connection: BaseEmailBackend, at: datetime) -> bool:
    letter = letter_of(row, at)
    if letter is None:
        settle(row, DeskMail.State.NOBODY, at)
        return False
    return hand_over(row, letter, connection, at)


def _give_up(at: datetime) -> None:
    waiting = DeskMail.objects.filter(state=DeskMail.State.WAITING, owed_at__lte=at - TRIED_FOR)
    waiting.update(state=DeskMail.State.GIVEN_UP, sealed="", at=at)
