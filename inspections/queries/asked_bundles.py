"""Evidence bundles that were asked for: how far each is, in words that never promise too much."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from inspections.models import Job
from inspections.models.job import JobQuerySet
from venue.models import Person, Venue

WORDS = {
    "waiting": "Waiting for the background worker",
    "behind": "Waiting: another bundle is made first",
    "working": "Being made",
    "lost": "Interrupted: it is taken up again within some minutes",
    "ready": "Ready",
    "removed": "Removed",
    "failed": "Failed",
}


@dataclass(frozen=True)
class AskedBundle:
    job: Job
    now: datetime
    behind: bool = False  # another one is being made

    @property
    def start(self) -> date:
        return date.fromisoformat(self.job.asked["start"])

    @property
    def end(self) -> date:
        return date.fromisoformat(self.job.asked["end"])

    @property
    def kept_until(self) -> datetime | None:
        told = self.job.result.get("kept_until")
        return datetime.fromisoformat(told) if told else None

    @property
    def state(self) -> str:
        """One of WORDS. A job that says "running" is only believed while its lease holds."""
        if self.job.state == Job.State.DONE:
            return "ready" if self.kept_until and self.now < self.kept_until else "removed"
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

    @property
    def file_name(self) -> str:
        return f"evidence-{self.job.venue.slug}-{self.start}-{self.end}.zip"


def bundle_jobs(venue: Venue, person: Person) -> JobQuerySet:
    rows = Job.objects.visible_to(person).in_venue(venue).filter(kind=Job.Kind.EVIDENCE)
    return rows.select_related("by", "venue").order_by("-pk")


def asked_bundle(job: Job, now: datetime) -> AskedBundle:
    others = Job.objects.filter(kind=Job.Kind.EVIDENCE, lease_until__gt=now).exclude(pk=job.pk)
    return AskedBundle(job, now, behind=job.state == Job.State.WAITING and others.exists())


def newest_bundles(venue: Venue, person: Person, now: datetime) -> list[AskedBundle]:
    return [AskedBundle(job, now) for job in bundle_jobs(venue, person)[:10]]
