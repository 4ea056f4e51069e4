"""Send each person's daily and weekly message, once, by mail."""

from __future__ import annotations

import logging
from datetime import date, datetime, timedelta

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.actions.mail_attempts import MailServerGone, hand_over, settle
from inspections.actions.message_choices import stop_address
from inspections.actions.message_rows import take_row
from inspections.digest import Digest, Waiting, day_words
from inspections.models import Message
from inspections.queries.digests import digest_for, waiting_in
from inspections.queries.messages import Due, mails_to_try
from venue.actions.send_letter import no_mail_server
from venue.language_now import for_reader, said
from venue.letter import Letter
from venue.models import Venue

log = logging.getLogger(__name__)

MOST_AT_ONCE = 60  # of a tick; the rest goes with the next one
KEPT_FOR = timedelta(days=90)
STOP = {
    Message.Kind.DAILY: gettext_lazy("No more daily messages"),
    Message.Kind.WEEKLY: gettext_lazy("No more weekly messages"),
}


def send_messages(*, at: datetime) -> int:
    """What is due now, in every venue. Twice at once sends once; what was not taken is tried again."""
    if no_mail_server():
        return 0  # no mail server is set up: nothing would reach anybody
    sent = 0
    for venue in Venue.objects.order_by("pk"):
        due = mails_to_try(venue, at)
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
    row = take_row(venue, due, at)
    if row is None:
        return False
    digest = digest_for(venue, due.person, due.role, due.kind, waiting)
    if not digest.counts and due.kind == Message.Kind.DAILY:
        settle(row, Message.State.NOTHING, at)
        return False
    with for_reader(due.person, venue):
        letter = mail_of(venue, due, digest, waiting.day)
    return hand_over(row, letter, connection, at)


def mail_of(venue: Venue, due: Due, digest: Digest, day: date) -> Letter:
    """Plain text, the same as simple HTML, and how to be rid of it (RFC 2369, RFC 8058)."""
    stop = stop_address(venue, due.person, due.kind)
    choose = settings.LOFTBOOK_ADDRESS + reverse("message_choices", args=[venue.slug])
    known = {
        "venue": venue, "person": due.person, "kind": due.kind, "digest": digest, "stop": stop,
        "choose": choose, "day": said(day_words(day)), "stop_words": STOP[Message.Kind(due.kind)],
        "home": settings.LOFTBOOK_ADDRESS + reverse("overview", args=[venue.slug]),
    }  # fmt: skip
    what = _("this week") if due.kind == Message.Kind.WEEKLY else known["day"]
    return Letter(
        to=due.person.email,
        subject=f"{venue.name}, {what}: {said(digest.counts or 'nothing open')}",
        words=render_to_string("inspections/mail/digest.txt", known),
        html=render_to_string("inspections/mail/digest.html", known),
        headers=_headers(stop, settings.LOFTBOOK_ADDRESS),
    )


def _headers(stop: str, address: str) -> dict[str, str]:
    """RFC 8058 wants one tap only over https."""
    told = {"List-Unsubscribe": f"<{stop}>", "Auto-Submitted": "auto-generated"}
    if address.startswith("https:"):
        told["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return told
