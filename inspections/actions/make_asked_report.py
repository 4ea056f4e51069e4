"""Make the PDF that a job asks for: a signed report, kept for good, or a draft, kept for some days."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from inspections.actions.background_jobs import end_job
from inspections.actions.issue_report import Signing, write_report
from inspections.actions.made_files import KEPT_FOR, made_folder, write_whole
from inspections.models import Job, Record
from inspections.reports.content import Report
from inspections.reports.content_reading import report_from
from inspections.reports.document import document_of


class TakenOver(Exception):
    """Another process has the job now, and makes the report."""


def make_asked_report(*, job: Job, at: datetime) -> bool:
    """False when the job was somebody else's in the end: then nothing is kept. Raises CannotReport,
    PdfNotMade, KeysUnreadable, SealExpired."""
    content = report_from(job.asked["content"])
    if content.draft:
        return _draft(job, content, at)
    records = Record.objects.in_bulk([UUID(name) for name in job.asked["records"]])
    signing = Signing(job.venue, list(records.values()), job.by, job.at, content)

    def hand_over(number: int) -> None:
        if not end_job(job=job, result={"number": number}):
            raise TakenOver

    try:
        write_report(signing=signing, at=at, with_it=hand_over)
    except TakenOver:
        return False
    return True


def _draft(job: Job, content: Report, at: datetime) -> bool:
    path = made_folder() / f"{job.pk}-{job.attempts}.pdf"
    write_whole(path, document_of(content, job.venue.paper, job.at).pdf)
    told = {"file": path.name, "kept_until": (at + KEPT_FOR).isoformat()}
    ended = False
    try:
        with transaction.atomic():
            ended = end_job(job=job, result=told)
    finally:
        if not ended:
            path.unlink(missing_ok=True)
    return ended
