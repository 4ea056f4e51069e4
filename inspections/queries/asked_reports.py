"""Reports and drafts that were asked for and are not there yet, or could not be made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from inspections.models import Job
from inspections.models.job import JobQuerySet
from inspections.queries.asked_jobs import AskedJob, is_behind, jobs_of
from venue.models import Person, Venue

FAILURE_SHOWN_FOR = timedelta(days=7)


@dataclass(frozen=True)
class AskedReport(AskedJob):
    @property
    def title(self) -> str:
        return str(self.job.asked["title"])

    @property
    def day(self) -> date:
        return date.fromisoformat(self.job.asked["day"])

    @property
    def draft(self) -> bool:
        return self.job.asked["content"]["signature"] is None

    @property
    def number(self) -> int | None:
        """Of the signed report, once it is made."""
        return self.job.result.get("number")

    @property
    def kind(self) -> str:
        """The slug of the kind's file; empty for a report of checks."""
        return str(self.job.asked.get("kind", ""))

    @property
    def query(self) -> str:
        """What was chosen, as it stood in the address of the page."""
        return str(self.job.asked.get("query", ""))

    @property
    def file_name(self) -> str:
        return f"{self.job.venue.slug}-draft.pdf"


def report_jobs(venue: Venue, person: Person) -> JobQuerySet:
    return jobs_of(venue, person, Job.Kind.REPORT)


def asked_report(job: Job, now: datetime) -> AskedReport:
    return AskedReport(job, now, is_behind(job, now))


def reports_to_come(venue: Venue, person: Person, now: datetime) -> list[AskedReport]:
    """The newest of those in hand, and of those that failed lately."""
    in_hand = Q(state__in=(Job.State.WAITING, Job.State.RUNNING))
    failed = Q(state=Job.State.FAILED, at__gt=now - FAILURE_SHOWN_FOR)
    rows = report_jobs(venue, person).filter(in_hand | failed)
    return [AskedReport(job, now) for job in rows[:10]]
