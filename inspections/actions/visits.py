"""Keep how far a person has seen what changed. It is no evidence, so the log says nothing of it."""

from __future__ import annotations

from datetime import datetime

from django.forms.models import model_to_dict

from inspections.models import LastVisit
from inspections.visits import Visit, looked
from venue.models import LogHead, Person, Venue

FIELDS = ("seen_line", "seen_at", "here_line", "here_at")


def note_visit(*, venue: Venue, person: Person, at: datetime) -> Visit:
    """Whoever looks at the front page; written at most every ten minutes."""
    row = LastVisit.objects.filter(venue=venue, person=person).first()
    before = Visit(**model_to_dict(row, FIELDS)) if row else None
    now = looked(before, _last_line(venue), at)
    if now != before:
        _keep(venue, person, now)
    return now


def say_seen(*, venue: Venue, person: Person, at: datetime) -> None:
    """All of it up to this moment."""
    line = _last_line(venue)
    _keep(venue, person, Visit(line, at, line, at))


def _last_line(venue: Venue) -> int:
    return LogHead.objects.filter(venue=venue).values_list("size", flat=True).first() or 0


def _keep(venue: Venue, person: Person, visit: Visit) -> None:
    known = {name: getattr(visit, name) for name in FIELDS}
    LastVisit.objects.update_or_create(venue=venue, person=person, defaults=known)
