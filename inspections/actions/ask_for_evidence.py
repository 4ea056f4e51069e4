"""Ask for an evidence bundle. The worker makes it; the page of the job tells how far it is."""

from __future__ import annotations

from datetime import date, datetime

from inspections.actions.ask_for_job import Wish, ask_for_job
from inspections.models import Job
from venue.models import Person, Venue


def ask_for_evidence(
    *, venue: Venue, start: date, end: date, by: Person, at: datetime, names: bool = False
) -> tuple[Job, bool]:
    """The job that makes the bundle of these days, and whether it is new. Raises TooManyAsked."""
    kind = Job.Kind.EVIDENCE
    days = {"start": start.isoformat(), "end": end.isoformat()}
    key = f"{kind.value}:{venue.pk}:{start}:{end}"
    if names:
        days |= {"names": "given"}
        key += ":names"
    wish = Wish(kind, key, asked=days, did="ask_for_evidence", said=days)
    return ask_for_job(venue=venue, wish=wish, by=by, at=at)
