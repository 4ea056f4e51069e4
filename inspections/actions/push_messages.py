"""Send each person's daily and weekly message, once, to the devices that they allowed it on."""

from __future__ import annotations

import logging
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import sha256
from time import monotonic
from urllib.parse import urlsplit

from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _

from inspections.actions.mail_attempts import REFUSED_FOR, put_back, settle
from inspections.actions.message_choices import stop_path
from inspections.actions.message_rows import take_row
from inspections.digest import Digest, Waiting
from inspections.models import Message, PushDevice
from inspections.push_note import Note
from inspections.queries.digests import digest_for, waiting_in
from inspections.queries.messages import Due, pushes_to_try
from inspections.queries.push_devices import push_sender
from venue.language_now import for_reader, language_for, said
from venue.models import Venue
from venue.push.encryption import encrypted, receiver_of
from venue.push.letters import written
from venue.push.sender import Sender
from venue.push.service import Gone, NotNow, Refused, hand_to_service

log = logging.getLogger(__name__)

MOST_AT_ONCE = 60  # attempts for a venue in a tick; the rest goes with the next one
SECONDS_OF_A_TICK = 40.0
NOT_SENT = "The message could not be sent; the log of the server says why."
BY_NOW = timedelta(hours=12)  # a daily message that reached no phone by then is of no use


@dataclass
class Tick:
    """What one tick sends with, how often it asked a service, and which of them did not answer in it,
    with what is said of that: those are asked no more."""

    sender: Sender
    at: datetime
    ends: float = field(default_factory=lambda: monotonic() + SECONDS_OF_A_TICK)
    asked: int = 0
    silent: dict[str, NotNow] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        return monotonic() > self.ends


def push_messages(*, at: datetime) -> int:
    """What is due now, in every venue. Twice at once sends once; what was not taken is tried again."""
    sender = push_sender()
    if sender is None:
        return 0
    tick, sent = Tick(sender, at), 0
    for venue in Venue.objects.order_by("pk"):
        due = pushes_to_try(venue, at)
        if due and not tick.over:
            sent += _push_due(venue, due, tick)
    return sent


def _push_due(venue: Venue, due: list[Due], tick: Tick) -> int:
    today = tick.at.astimezone(venue.zone).date()
    for_manager = any(one.kind == Message.Kind.WEEKLY for one in due)
    waiting, sent = waiting_in(venue, today, for_manager=for_manager), 0
    most = tick.asked + MOST_AT_ONCE
    for one in due:
        if tick.over or tick.asked >= most:
            break
        if one.device and one.device.pk:  # none: it went with the message before
            sent += _push_one(venue, one, one.device, waiting, tick)
    return sent


def _push_one(venue: Venue, due: Due, device: PushDevice, waiting: Waiting, tick: Tick) -> bool:
    """Whether it was handed over."""
    row = take_row(venue, due, tick.at)
    if row is None:
        return False
    name = device.pk
    try:
        digest = digest_for(venue, due.person, due.role, due.kind, waiting)
        if not digest.counted and due.kind == Message.Kind.DAILY:
            settle(row, Message.State.NOTHING, tick.at)
            return False
        note = note_of(venue, due, digest)
        return _hand_over(row, device, note, _headers(venue, due, device, tick), tick)
    except Exception:  # of this device alone: the next ones are not its fault
        log.exception("a message to device %s could not be sent", name)
        put_back(row, NOT_SENT, tick.at, tick.at + REFUSED_FOR)
        return False


def _hand_over(
    row: Message, device: PushDevice, note: Note, headers: dict[str, str], tick: Tick
) -> bool:
    try:
        _ask(device, note, headers, tick)
    except Gone:
        device.delete()  # and the row with it
        return False
    except NotNow as fault:
        if fault.silent:
            tick.silent[_service(device)] = fault
        put_back(row, _told(device, fault), tick.at, tick.at + (fault.wait or timedelta()))
        return False
    except Refused as fault:
        log.error("a message to device %s could not be sent: %s", device.pk, fault)
        put_back(row, _told(device, fault), tick.at, tick.at + REFUSED_FOR)
        return False
    settle(row, Message.State.SENT, tick.at)
    return True


def _ask(device: PushDevice, note: Note, headers: dict[str, str], tick: Tick) -> None:
    """Raises what `hand_to_service` does; of a service that was silent just now, the same again."""
    if silent := tick.silent.get(_service(device)):
        raise silent
    body = encrypted(note.as_sent(), receiver_of(device.p256dh, device.auth))
    tick.asked += 1
    hand_to_service(device.endpoint, body, headers, tick.at)


def _service(device: PushDevice) -> str:
    return urlsplit(device.endpoint).hostname or ""


def _told(device: PushDevice, fault: Exception) -> str:
    """The service by its name alone: the rest of the address is a secret of that device."""
    return f"The push service {_service(device)} did not take it. {fault}"


def note_of(venue: Venue, due: Due, digest: Digest) -> Note:
    """In the language of whoever reads it."""
    with for_reader(due.person, venue):
        begun = _("The house this week") if due.kind == Message.Kind.WEEKLY else _("What is yours")
        counted = ", ".join(map(said, digest.counted)) or said("nothing open")
        stop_words = _("No more of these")
    return Note(
        title=venue.name,
        body=f"{begun}: {counted}",
        url=reverse("message_now", args=[venue.slug, due.kind]),
        stop=stop_path(venue, due.person, due.kind),
        stop_words=stop_words,
        tag=f"{due.kind} {venue.slug}",
        icon=static("img/icon-192.png"),
        language=language_for(due.person, venue).partition("-")[0],
    )


def _headers(venue: Venue, due: Due, device: PushDevice, tick: Tick) -> dict[str, str]:
    """RFC 8030, section 5: how long the service keeps it for a phone that is off, and that a later one
    takes the place of an earlier one that it still keeps. Quiet hours end it: none comes at night."""
    good_for = due.good_for if due.kind == Message.Kind.WEEKLY else min(due.good_for, BY_NOW)
    topic = sha256(f"{venue.pk} {due.kind}".encode()).digest()[:18]
    return {
        "TTL": str(int(good_for.total_seconds())),
        "Topic": written(topic),
        "Urgency": "normal",
        "Content-Encoding": "aes128gcm",
        "Content-Type": "application/octet-stream",
        "Authorization": tick.sender.word_for(device.endpoint, tick.at),
    }
