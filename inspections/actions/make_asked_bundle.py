"""Make the bundle that a job asks for, and keep it for some days."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.background_jobs import end_job
from inspections.actions.export_evidence import Asked, Export, log_export, write_bundle
from inspections.actions.made_files import KEPT_FOR, made_folder
from inspections.actions.mail_to_desk import owe_mail
from inspections.evidence.progress import Progress
from inspections.models import DeskMail, Job


def make_asked_bundle(*, job: Job, at: datetime, progress: Progress) -> bool:
    """Write the file, then log it and end the job together. False when the job was somebody else's
    in the end: then no file is left. Raises ExportFailed."""
    start, end = (date.fromisoformat(job.asked[name]) for name in ("start", "end"))
    asked = Asked(job.venue, start, end, job.by, at, bool(job.asked.get("names")))
    out = made_folder() / f"{job.pk}-{job.attempts}.zip"
    made = write_bundle(asked=asked, out=out, progress=progress)
    ended = False
    try:
        ended = _hand_over(job, asked, made, at)
    finally:
        if not ended:
            made.path.unlink(missing_ok=True)
    return ended


def _hand_over(job: Job, asked: Asked, made: Export, at: datetime) -> bool:
    told = {
        "file": made.path.name,
        "sha256": made.sha256,
        "size": made.path.stat().st_size,
        "kept_until": (at + KEPT_FOR).isoformat(),
        "missing": len(made.missing),
    }
    with transaction.atomic():
        if not end_job(job=job, result=told):
            return False
        log_export(asked=asked, made=made, at=at)
        owe_mail(venue=job.venue, kind=DeskMail.Kind.BUNDLE, about=job.pk, person=job.by, at=at)
    return True
