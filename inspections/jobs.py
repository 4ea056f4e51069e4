"""Work in the background. Each job may run twice without harm; nothing here decides what is due:
that is computed when it is read."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django_q.models import Task

from inspections.actions.ask_for_plan import CannotPlan
from inspections.actions.background_jobs import fail_job, hand_out_waiting, put_back, take_up
from inspections.actions.export_evidence import ExportFailed
from inspections.actions.generate_tasks import generate_tasks
from inspections.actions.issue_report import CannotReport
from inspections.actions.made_files import remove_old_made_files
from inspections.actions.make_asked_bundle import make_asked_bundle
from inspections.actions.make_asked_paper import NoSuchPaper, make_asked_paper
from inspections.actions.make_asked_plan import make_asked_plan
from inspections.actions.make_asked_report import make_asked_report
from inspections.actions.task_feeds import note_changed_tasks
from inspections.lease_thread import LeaseLost, LeaseThread
from inspections.models import Job, JobRun
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.reports.render import PdfNotMade
from inspections.reports.time_stamps import NotStamped
from inspections.year_progress import PlanProgress
from venue.actions.fetch_calendars import fetch_due_calendars
from venue.actions.tried_files import remove_old_tried_files
from venue.models import Venue

log = logging.getLogger(__name__)

TOO_LONG = "It took longer than half an hour. Ask for less at a time."
# What another attempt would not mend, with the sentence that says why.
REFUSALS = (
    ExportFailed, CannotPlan, CannotReport, NoSuchPaper, PdfNotMade, KeysUnreadable, SealExpired,
    NotStamped,
)  # fmt: skip
DONE_TASKS_KEPT = timedelta(days=2)
FAILED_TASKS_KEPT = timedelta(days=30)


def work_on(pk: int) -> str:
    """Work on one job that a person asked for, then send the next one on its way."""
    job = take_up(pk=pk, at=timezone.now())
    if job is None:
        return "nothing to do"
    try:
        with LeaseThread(job) as lease:
            _make(job, timezone.now(), lease)
    except REFUSALS as refusal:
        fail_job(job=job, error=str(refusal))
    except LeaseLost:
        log.warning("job %s is worked on by another process", pk)
    except SystemExit:  # how the worker says that the time is over
        fail_job(job=job, error=TOO_LONG)
        raise
    except Exception:
        log.exception("job %s failed at attempt %s", pk, job.attempts)
        put_back(job=job)
        return Job.State.WAITING  # the supervisor sends it again in a while, not at once
    hand_out_waiting(at=timezone.now())
    return Job.objects.get(pk=pk).state


def _make(job: Job, at: datetime, lease: LeaseThread) -> None:
    if job.kind == Job.Kind.EVIDENCE:
        make_asked_bundle(job=job, at=at, progress=lease.progress)
    elif job.kind == Job.Kind.PLAN:
        lease.telling = progress = PlanProgress(job.asked["seconds"])
        make_asked_plan(job=job, at=at, progress=progress)
    elif job.kind == Job.Kind.PAPER:
        make_asked_paper(job=job, at=at)
    else:
        make_asked_report(job=job, at=at)


def tick() -> int:
    """Every five minutes: the daily work of each venue whose local day has begun, and what was lost
    or is no longer needed. Returns how many venues were served. What fails never stops the rest."""
    now, served = timezone.now(), 0
    for venue in Venue.objects.all():
        try:
            served += _daily(venue, now)
        except Exception:
            log.exception("daily work of %s failed; it is tried again at the next tick", venue.slug)
    for work in HOUSEKEEPING:
        try:
            work(at=now)
        except Exception:
            log.exception("%s failed; it is tried again at the next tick", work.__name__)
    return served


def forget_old_tasks(*, at: datetime) -> int:
    """The queue's own notes of what it did. They are no evidence: jobs and the log are."""
    old = Task.objects.filter(success=True, stopped__lt=at - DONE_TASKS_KEPT)
    failed = Task.objects.filter(success=False, stopped__lt=at - FAILED_TASKS_KEPT)
    return old.delete()[0] + failed.delete()[0]


HOUSEKEEPING: tuple[Callable[..., int], ...] = (
    hand_out_waiting,
    remove_old_made_files,
    remove_old_tried_files,
    fetch_due_calendars,
    note_changed_tasks,
    forget_old_tasks,
)


def _daily(venue: Venue, now: datetime) -> int:
    day = now.astimezone(venue.zone).date()
    if JobRun.objects.filter(kind="daily", venue=venue, local_date=day).exists():
        return 0
    try:
        with transaction.atomic():
            JobRun.objects.create(kind="daily", venue=venue, local_date=day, at=now)
            generate_tasks(venue=venue, by=None, at=now)
    except IntegrityError:
        return 0  # another worker was quicker
    return 1
