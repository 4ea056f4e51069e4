"""Send the signed heads of the log out of the house, so that somebody else holds them."""

from __future__ import annotations

import base64
import logging
from datetime import datetime

from django.db import transaction

from inspections.models import HeadReceiver, HeadSent, SignedHead
from inspections.queries.head_mail import head_mail, new_root_files
from venue.actions.log import write_line
from venue.actions.send_letter import NotTaken, send_letter
from venue.letter import BYTES, Letter
from venue.models import Person, Venue
from venue.person_references import TextAbout

log = logging.getLogger(__name__)


class ReceiverThere(ValueError):
    """The heads go to this address already."""


@transaction.atomic
def add_head_receiver(
    *, venue: Venue, address: str, whose: str, by: Person, at: datetime
) -> HeadReceiver:
    """From now on the address is sent a head each day. Raises ReceiverThere."""
    venue = Venue.objects.select_for_update().get(pk=venue.pk)
    if HeadReceiver.objects.filter(venue=venue, address=address, ended_at=None).exists():
        raise ReceiverThere(f"The heads go to {address} already.")
    receiver = HeadReceiver.objects.create(venue=venue, address=address, whose=whose, since=at)
    after = {"address": TextAbout(address), "whose": TextAbout(whose)}
    write_line(venue=venue, by=by, at=at, did="add_head_receiver", subject=receiver, after=after)
    return receiver


@transaction.atomic
def end_head_receiver(*, receiver: HeadReceiver, by: Person, at: datetime) -> None:
    """Twice changes nothing."""
    if HeadReceiver.objects.filter(pk=receiver.pk, ended_at=None).update(ended_at=at):
        write_line(
            venue=receiver.venue, by=by, at=at, did="end_head_receiver", subject=receiver,
            after={"address": TextAbout(receiver.address)},
        )  # fmt: skip


def mail_heads(*, at: datetime) -> int:
    """Once a local day to each receiver: the newest head. What could not be sent is tried again at the
    next tick. Sent before it is noted: a crash in between sends one head twice, and loses none."""
    sent = 0
    receivers = HeadReceiver.objects.filter(ended_at=None).select_related("venue")
    for receiver in receivers.order_by("pk"):
        head = _head_due(receiver, at)
        if head is None:
            continue
        try:
            _send(head, receiver)
        except NotTaken:
            log.exception("head %s could not be sent to %s", head.number, receiver.address)
            continue
        HeadSent.objects.get_or_create(head=head, receiver=receiver, defaults={"at": at})
        sent += 1
    return sent


def _head_due(receiver: HeadReceiver, at: datetime) -> SignedHead | None:
    """The newest head, unless the receiver has been sent one today or has this one."""
    last = receiver.sendings.order_by("-pk").first()
    zone = receiver.venue.zone
    if last and last.at.astimezone(zone).date() >= at.astimezone(zone).date():
        return None
    head = SignedHead.objects.filter(venue=receiver.venue).order_by("-number").first()
    return None if head is None or (last and last.head_id == head.pk) else head


def _send(head: SignedHead, receiver: HeadReceiver) -> None:
    subject, words = head_mail(head, receiver)
    name = f"head-{head.number}.json"
    files = [(name, head.body.encode()), (f"{name}.p7s", base64.b64decode(head.signature))]
    files += new_root_files(receiver.venue)
    attached = [(named, content, BYTES) for named, content in files]
    send_letter(Letter(receiver.address, subject, words, files=attached))
