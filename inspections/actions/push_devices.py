"""Allow messages on a device, and take it back. No line in a log: it is no matter of a house, and that a
person reads messages on a phone is no evidence of anything."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.device_words import device_words
from inspections.models import PushDevice
from inspections.queries.push_devices import push_sender
from venue.models import Membership, Person
from venue.push.encryption import NoReceiver, receiver_of
from venue.push.service import proper_endpoint

MOST_DEVICES = 10  # of one person


class CannotAllow(ValueError):
    """Says why, and what to do."""


def allow_device(
    *, person: Person, endpoint: str, p256dh: str, auth: str, agent: str, at: datetime
) -> PushDevice:
    """The same device again changes its keys; one that another person used before is theirs no more.
    Raises CannotAllow."""
    sender = push_sender()
    if sender is None:
        raise CannotAllow("Messages to phones are not switched on here.")
    try:
        proper_endpoint(endpoint)
        receiver_of(p256dh, auth)
    except (ValueError, NoReceiver) as fault:
        raise CannotAllow("The browser gave no address that a message could be sent to.") from fault
    known = {
        "p256dh": p256dh,
        "auth": auth,
        "asked_with": sender.public,
        "label": device_words(agent),
    }
    with transaction.atomic():
        Person.objects.select_for_update(no_key=True).get(pk=person.pk)  # two at once: one waits
        PushDevice.objects.filter(endpoint=endpoint).exclude(person=person).delete()
        theirs = PushDevice.objects.filter(person=person)
        if theirs.exclude(endpoint=endpoint).count() >= MOST_DEVICES:
            raise CannotAllow(f"You have {MOST_DEVICES} devices already. Remove one first.")
        device, _ = theirs.update_or_create(
            endpoint=endpoint,
            defaults=known,
            create_defaults={**known, "person": person, "since": at},
        )
    return device


def remove_device(*, device: PushDevice) -> None:
    device.delete()


def remove_devices(*, person: Person) -> int:
    return PushDevice.objects.filter(person=person).delete()[0]


def remove_dead_devices(*, at: datetime) -> int:
    """Those that were asked with another key, and of those who hold no role anywhere any more."""
    here = Membership.objects.filter(ended_on=None).values("person")
    rows = PushDevice.objects.all()
    sender = push_sender()
    kept = rows.filter(person__in=here, **({"asked_with": sender.public} if sender else {}))
    return rows.exclude(pk__in=kept.values("pk")).delete()[0]
