"""Papers of a year plan that were asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from inspections.models import Job, YearPlan
from inspections.models.job import JobQuerySet
from inspections.queries.asked_jobs import AskedJob, is_behind, jobs_of
from venue.models import Person, Venue


@dataclass(frozen=True)
class AskedPaper(AskedJob):
    @property
    def title(self) -> str:
        return str(self.job.asked["title"])

    @property
    def plan(self) -> int:
        return int(self.job.asked["plan"])

    @property
    def file_name(self) -> str:
        asked = self.job.asked
        return f"{self.job.venue.slug}-{asked['what'].replace('_', '-')}-{asked['day']}.pdf"


def paper_jobs(venue: Venue, person: Person) -> JobQuerySet:
    return jobs_of(venue, person, Job.Kind.PAPER)


def asked_paper(job: Job, now: datetime) -> AskedPaper:
    return AskedPaper(job, now, is_behind(job, now))


def newest_papers(plan: YearPlan, person: Person, now: datetime) -> list[AskedPaper]:
    """Of this plan, the newest first."""
    rows = paper_jobs(plan.venue, person).filter(asked__plan=plan.pk)
    return [AskedPaper(job, now) for job in rows[:12]]
