"""Evidence bundles that were asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from inspections.models import Job
from inspections.models.job import JobQuerySet
from inspections.queries.asked_jobs import AskedJob, is_behind, jobs_of
from venue.models import Person, Venue


@dataclass(frozen=True)
class AskedBundle(AskedJob):
    @property
    def start(self) -> date:
        return date.fromisoformat(self.job.asked["start"])

    @property
    def end(self) -> date:
        return date.fromisoformat(self.job.asked["end"])

    @property
    def file_name(self) -> str:
        return f"evidence-{self.job.venue.slug}-{self.start}-{self.end}.zip"


def bundle_jobs(venue: Venue, person: Person) -> JobQuerySet:
    return jobs_of(venue, person, Job.Kind.EVIDENCE)


def asked_bundle(job: Job, now: datetime) -> AskedBundle:
    return AskedBundle(job, now, is_behind(job, now))


def newest_bundles(venue: Venue, person: Person, now: datetime) -> list[AskedBundle]:
    return [AskedBundle(job, now) for job in bundle_jobs(venue, person)[:10]]
