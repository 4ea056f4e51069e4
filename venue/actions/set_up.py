"""Say that a step of the first hour is done or left for later; end the set-up."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from venue.actions.log import write_line
from venue.models import Person, SetUpStep, Venue


def say_of_step(*, venue: Venue, step: str, said: str, by: Person, at: datetime) -> SetUpStep:
    """The last word counts; the same word twice is one."""
    with transaction.atomic():
        fresh = {"said": said, "by": by, "at": at}
        row, new = SetUpStep.objects.get_or_create(venue=venue, step=step, defaults=fresh)
        if not new and row.said == said:
            return row
        SetUpStep.objects.filter(pk=row.pk).update(**fresh)
        after = {"step": step, "said": said}
        write_line(venue=venue, by=by, at=at, did="say_of_step", subject=row, after=after)
    return row


def end_set_up(*, venue: Venue, by: Person, at: datetime) -> None:
    """The steps are no longer shown on every page; each can still be reached from the house."""
    with transaction.atomic():
        ended = Venue.objects.filter(pk=venue.pk, set_up_since__isnull=False).update(
            set_up_since=None
        )
        if ended:
            write_line(venue=venue, by=by, at=at, did="end_set_up", subject=venue)
