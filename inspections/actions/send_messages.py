"""Send each person's daily and weekly message, once, by mail."""

from __future__ import annotations

import logging
from datetime import date, datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import IntegrityError, transaction
from django.template.loader import render_to_string
from django.urls import reverse

from inspections.actions.mail_desk_link import CONSOLE
from inspections.actions.message_choices import stop_address
from inspections.digest import Digest, Reader, Waiting, daily, day_words, weekly
from inspections.models import Message
from inspections.queries.digests import waiting_in, ways_of
from inspections.queries.messages import Due, choices_to_try
from venue.models import Venue
from venue.roles import may

log = logging.getLogger(__name__)

HELD_FOR = timedelta(minutes=10)  # longer than a tick may last
REFUSED_FOR = timedelta(hours=2)
MOST_AT_ONCE = 60  # of a tick; the rest goes with the next one
KEPT_FOR = timedelta(days=90)


class MailServerGone(Exception):
    """It takes nothing at all; there is no use in trying the next message."""


def send_messages(*, at: datetime) -> int:
    """What is due now, in every venue. Twice at once sends once; what was not taken is tried again."""
    if settings.EMAIL_BACKEND == CONSOLE:
        return 0  # no mail server is set up: nothing would reach anybody
    sent = 0
    for venue in Venue.objects.order_by("pk"):
        due = choices_to_try(venue, at)
        if due:
            sent += _send_due(venue, due[:MOST_AT_ONCE], at)
    return sent


def forget_old_messages(*, at: datetime) -> int:
    """That somebody was sent a message is no evidence of anything."""
    return Message.objects.filter(day__lt=(at - KEPT_FOR).date()).delete()[0]


def _send_due(venue: Venue, due: list[Due], at: datetime) -> int:
    today = at.astimezone(venue.zone).date()
    for_manager = any(one.kind == Message.Kind.WEEKLY for one in due)
    waiting = waiting_in(venue, today, for_manager=for_manager)
    connection, sent = get_connection(), 0
    try:
        for one in due:
            sent += _send_one(venue, one, waiting, connection, at)
    except MailServerGone:
        log.warning("the mail server takes nothing; messages are tried again at the next tick")
    finally:
        connection.close()
    return sent


def _send_one(
    venue: Venue, due: Due, waiting: Waiting, connection: BaseEmailBackend, at: datetime
) -> bool:
    """Whether it was handed over. Raises MailServerGone."""
    row = _take(venue, due, at)
    if row is None:
        return False
    digest = _digest(venue, due, waiting)
    if not digest.counts and due.kind == Message.Kind.DAILY:
        _settle(row, Message.State.NOTHING, at)
        return False
    try:
        connection.open()
    except OSError as fault:
        _put_back(row, f"The mail server does not answer: {fault}.", at, at)
        raise MailServerGone from fault
    try:
        mail_of(venue, due, digest, waiting.day, connection).send()
    except OSError as fault:
        log.exception("the %s message to person %s could not be sent", due.kind, due.person.pk)
        _put_back(row, f"The mail server did not take it: {fault}.", at, at + REFUSED_FOR)
        connection.close()  # whatever state it is in, the next one begins anew
        return False
    _settle(row, Message.State.SENT, at)
    return True


def _take(venue: Venue, due: Due, at: datetime) -> Message | None:
    """The row of this message, in our hands for ten minutes; none: another worker has it."""
    known = {"venue": venue, "person": due.person, "kind": due.kind, "day": due.day}
    try:
        with transaction.atomic():
            return Message.objects.create(**known, held_until=at + HELD_FOR, at=at, attempts=1)
    except IntegrityError:
        rows = Message.objects.filter(**known, state=Message.State.WAITING, held_until__lte=at)
    taken = rows.update(held_until=at + HELD_FOR, at=at)
    return Message.objects.get(**known) if taken else None


def _settle(row: Message, state: str, at: datetime) -> None:
    Message.objects.filter(pk=row.pk).update(state=state, at=at, error="")


def _put_back(row: Message, error: str, at: datetime, until: datetime) -> None:
    Message.objects.filter(pk=row.pk).update(
        error=error[:300], at=at, held_until=until, attempts=row.attempts + 1
    )


def _digest(venue: Venue, due: Due, waiting: Waiting) -> Digest:
    if due.kind == Message.Kind.WEEKLY:
        return weekly(waiting, ways_of(venue))
    reader = Reader(
        due.person.pk,
        leads=due.role in ("manager", "competent"),
        returns=may(due.role, "return to service"),
        answers=may(due.role, "answer questions"),
    )
    return daily(waiting, reader, ways_of(venue))


def mail_of(
    venue: Venue, due: Due, digest: Digest, day: date, connection: BaseEmailBackend
) -> EmailMultiAlternatives:
    """Plain text, the same as simple HTML, and how to be rid of it (RFC 2369, RFC 8058)."""
    stop = stop_address(venue, due.person, due.kind)
    choose = settings.LOFTBOOK_ADDRESS + reverse("message_choices", args=[venue.slug])
    known = {
        "venue": venue, "person": due.person, "kind": due.kind, "digest": digest, "stop": stop,
        "choose": choose, "day": day_words(day),
        "home": settings.LOFTBOOK_ADDRESS + reverse("overview", args=[venue.slug]),
    }  # fmt: skip
    what = "this week" if due.kind == Message.Kind.WEEKLY else day_words(day)
    subject = " ".join(f"{venue.name}, {what}: {digest.counts or 'nothing open'}".split())
    mail = EmailMultiAlternatives(
        subject, render_to_string("inspections/mail/digest.txt", known), to=[due.person.email],
        connection=connection, headers=_headers(stop, settings.LOFTBOOK_ADDRESS),
    )  # fmt: skip
    mail.attach_alternative(render_to_string("inspections/mail/digest.html", known), "text/html")
    return mail


def _headers(stop: str, address: str) -> dict[str, str]:
    """RFC 8058 wants one tap only over https."""
    told = {"List-Unsubscribe": f"<{stop}>", "Auto-Submitted": "auto-generated"}
    if address.startswith("https:"):
        told["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return told
