"""Ask for background work: once, however often it is asked for, and with its line in the log."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from inspections.actions.background_jobs import hand_to_worker
from inspections.models import Job
from venue.actions.log import write_line
from venue.models import Person, Venue

MOST_IN_HAND = {
    Job.Kind.EVIDENCE: 5, Job.Kind.REPORT: 20, Job.Kind.PLAN: 3, Job.Kind.PAPER: 20,
}  # fmt: skip


class TooManyAsked(RuntimeError):
    """Several of the kind are being made for this venue already; nothing was added."""


@dataclass(frozen=True)
class Wish:
    """What is to be made. Two wishes of one key are the same while the first is in hand."""

    kind: Job.Kind
    key: str
    asked: dict[str, Any]
    did: str  # for the log, with what it says
    said: dict[str, Any] = field(default_factory=dict)


def ask_for_job(*, venue: Venue, wish: Wish, by: Person, at: datetime) -> tuple[Job, bool]:
    """The job, and whether it is new: while one of the same key is in hand, whoever asks gets that
    one. Raises TooManyAsked."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        rows = Job.objects.in_venue(venue).unended().filter(kind=wish.kind).defer("asked")
        in_hand = {job.key: job for job in rows}
        if wish.key in in_hand:
            return in_hand[wish.key], False
        if len(in_hand) >= MOST_IN_HAND[wish.kind]:
            raise TooManyAsked(
                f"{len(in_hand)} of them are in hand already for this venue. Wait until one is ready."
            )
        job = Job.objects.create(
            venue=venue, kind=wish.kind, key=wish.key, asked=wish.asked, by=by, at=at
        )
        write_line(venue=venue, by=by, at=at, did=wish.did, subject=job, after=wish.said)
        hand_to_worker(job)
    return job, True
