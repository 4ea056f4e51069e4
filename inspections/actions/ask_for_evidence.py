"""Ask for an evidence bundle. The worker makes it; the page of the job tells how far it is."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.background_jobs import hand_to_worker
from inspections.models import Job
from venue.actions.log import write_line
from venue.models import Person, Venue

MOST_IN_HAND = 5


class TooManyAsked(RuntimeError):
    """Several bundles of this venue are being made already; nothing was added."""


def ask_for_evidence(
    *, venue: Venue, start: date, end: date, by: Person, at: datetime
) -> tuple[Job, bool]:
    """The job that makes the bundle of these days, and whether it is new: while one for the same
    days is in hand, whoever asks gets that one. Raises TooManyAsked."""
    kind = Job.Kind.EVIDENCE
    key = f"{kind.value}:{venue.pk}:{start}:{end}"
    days = {"start": start.isoformat(), "end": end.isoformat()}
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        in_hand = {job.key: job for job in Job.objects.in_venue(venue).unended().filter(kind=kind)}
        if key in in_hand:
            return in_hand[key], False
        if len(in_hand) >= MOST_IN_HAND:
            raise TooManyAsked(
                f"{len(in_hand)} bundles of this venue are in hand already. Wait until one is ready."
            )
        job = Job.objects.create(venue=venue, kind=kind, key=key, asked=days, by=by, at=at)
        write_line(venue=venue, by=by, at=at, did="ask_for_evidence", subject=job, after=days)
        hand_to_worker(job)
    return job, True
