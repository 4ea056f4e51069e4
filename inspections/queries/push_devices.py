"""Messages to phones: whether they are offered here, and where they go."""

from __future__ import annotations

from collections.abc import Collection

from django.conf import settings

from inspections.models import PushDevice
from venue.models import Person
from venue.push.sender import Sender


def push_sender() -> Sender | None:
    """Who sends; none where messages to phones are not switched on, or there is no key."""
    if not (settings.LOFTBOOK_PUSH and settings.LOFTBOOK_PUSH_KEY):
        return None
    return Sender(settings.LOFTBOOK_PUSH_KEY, settings.LOFTBOOK_PUSH_CONTACT)


def devices_of(person: Person) -> list[PushDevice]:
    return list(PushDevice.objects.visible_to(person))


def devices_of_all(people: Collection[int]) -> dict[int, list[PushDevice]]:
    """By the number of their person. A browser takes nothing from another key than it was asked with."""
    sender, found = push_sender(), dict[int, list[PushDevice]]()
    if sender is None or not people:
        return found
    for row in PushDevice.objects.filter(person__in=people, asked_with=sender.public):
        found.setdefault(row.person_id, []).append(row)
    return found
