"""One attempt at a mail whose row is in our hands: handed over, or put back with what went wrong."""

from __future__ import annotations

import logging
from datetime import datetime, timedelta
from smtplib import SMTPRecipientsRefused, SMTPResponseException

from django.core.mail.backends.base import BaseEmailBackend

from inspections.models import DeskMail, Message
from venue.actions.send_letter import NotTaken, send_letter
from venue.letter import Letter

log = logging.getLogger(__name__)

HELD_FOR = timedelta(minutes=10)  # longer than a tick may last
REFUSED_FOR = timedelta(hours=2)
Owed = Message | DeskMail


class MailServerGone(Exception):
    """It takes nothing at all; there is no use in trying the next one."""


def hand_over(row: Owed, letter: Letter, connection: BaseEmailBackend, at: datetime) -> bool:
    """Whether it was taken. Raises MailServerGone; then it is tried again at the next tick, else,
    where it was refused, after two hours."""
    try:
        connection.open()
    except OSError as fault:
        put_back(row, f"The mail server does not answer: {plainly(fault)}.", at, at)
        raise MailServerGone from fault
    try:
        send_letter(letter, connection)
    except NotTaken as refusal:
        said = plainly(refusal.__cause__ or refusal)
        log.error("the %s mail to person %s could not be sent: %s", row.kind, row.person_id, said)
        put_back(row, f"The mail server did not take it: {said}.", at, at + REFUSED_FOR)
        connection.close()  # whatever state it is in, the next one begins anew
        return False
    settle(row, row.State.SENT, at)
    return True


def plainly(fault: BaseException) -> str:
    """Its class and the codes of the server, whose own words may name the address."""
    codes = {fault.smtp_code} if isinstance(fault, SMTPResponseException) else set()
    if isinstance(fault, SMTPRecipientsRefused):
        codes = {code for code, _ in fault.recipients.values()}
    return " ".join([type(fault).__name__, *map(str, sorted(codes))])


def settle(row: Owed, state: str, at: datetime, error: str = "") -> None:
    """At once with what is sealed: no secret outlives its mail."""
    emptied = {"sealed": ""} if isinstance(row, DeskMail) else {}
    rows = type(row)._default_manager.filter(pk=row.pk)
    rows.update(state=state, at=at, error=error[:300], **emptied)


def put_back(row: Owed, error: str, at: datetime, until: datetime) -> None:
    type(row)._default_manager.filter(pk=row.pk).update(
        error=error[:300], at=at, held_until=until, attempts=row.attempts + 1
    )
