"""Work that somebody asked for: how far it is, in words that never promise too much."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from inspections.models import Job
from inspections.models.job import JobQuerySet
from venue.models import Person, Venue

WORDS = {
    "waiting": "Waiting for the background worker",
    "behind": "Waiting: another of its kind is made first",
    "working": "Being made",
    "lost": "Interrupted: it is taken up again within some minutes",
    "ready": "Ready",
    "removed": "Removed",
    "failed": "Failed",
}


@dataclass(frozen=True)
class AskedJob:
    job: Job
    now: datetime
    behind: bool = False  # another one is being made

    @property
    def kept_until(self) -> datetime | None:
        """None for what is kept for good."""
        told = self.job.result.get("kept_until")
        return datetime.fromisoformat(told) if told else None

    @property
    def state(self) -> str:
        """One of WORDS. A job that says "running" is only believed while its lease holds."""
        if self.job.state == Job.State.DONE:
            return "removed" if self.kept_until and self.now >= self.kept_until else "ready"
        if self.job.state == Job.State.FAILED:
            return "failed"
        if self.job.held(self.now):
            return "working"
        if self.job.state == Job.State.RUNNING or self.job.attempts:
            return "lost"
        return "behind" if self.behind else "waiting"

    @property
    def words(self) -> str:
        return WORDS[self.state]

    @property
    def ended(self) -> bool:
        return self.state in ("ready", "removed", "failed")


def jobs_of(venue: Venue, person: Person, kind: Job.Kind) -> JobQuerySet:
    rows = Job.objects.visible_to(person).in_venue(venue).filter(kind=kind)
    return rows.select_related("by", "venue").order_by("-pk")


def is_behind(job: Job, now: datetime) -> bool:
    """Whether it waits for another of its kind to be made."""
    others = Job.objects.filter(kind=job.kind, lease_until__gt=now).exclude(pk=job.pk)
    return job.state == Job.State.WAITING and others.exists()
