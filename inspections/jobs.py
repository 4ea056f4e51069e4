"""Work in the background. Each job may run twice without harm; nothing here decides what is due:
that is computed when it is read."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django_q.models import Task
from django_q.tasks import async_task

from inspections.actions.ask_for_plan import CannotPlan
from inspections.actions.background_jobs import (
    LONGEST_SECONDS,
    fail_job,
    hand_out_waiting,
    put_back,
    take_up,
)
from inspections.actions.desk_links import end_past_desk_links
from inspections.actions.export_evidence import ExportFailed
from inspections.actions.generate_tasks import generate_tasks
from inspections.actions.issue_report import CannotReport
from inspections.actions.made_files import remove_old_made_files
from inspections.actions.mail_heads import mail_heads
from inspections.actions.mail_to_desk import forget_old_desk_mails, send_desk_mails
from inspections.actions.make_asked_bundle import make_asked_bundle
from inspections.actions.make_asked_paper import NoSuchPaper, make_asked_paper
from inspections.actions.make_asked_plan import make_asked_plan
from inspections.actions.make_asked_report import make_asked_report
from inspections.actions.push_devices import remove_dead_devices
from inspections.actions.push_messages import push_messages
from inspections.actions.remove_bytes import remove_disposed_bytes
from inspections.actions.send_messages import forget_old_messages, send_messages
from inspections.actions.sign_head import sign_head
from inspections.actions.task_feeds import note_changed_tasks
from inspections.actions.venue_seal import make_missing_seals, venue_seal
from inspections.actions.verify_log import verify_log
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

CHECK = "inspections.jobs.check_log_of"

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
        if make_asked_bundle(job=job, at=at, progress=lease.progress):
            send_owed_mails()
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
        for kind, daily in DAILY.items():
            try:
                served += _once_a_day(kind, daily, venue, now) and kind == "daily"
            except Exception:
                words = "daily work (%s) of %s failed; it is tried again at the next tick"
                log.exception(words, kind, venue.slug)
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


def make_seals() -> None:
    """Signing keys are there from the start on, not from the first report on."""
    try:
        make_missing_seals(at=timezone.now())
    except Exception:
        log.exception("signing keys could not be made; it is tried again at the next tick")


HOUSEKEEPING: tuple[Callable[..., int], ...] = (
    hand_out_waiting,
    make_missing_seals,
    remove_old_made_files,
    remove_disposed_bytes,
    remove_old_tried_files,
    fetch_due_calendars,
    note_changed_tasks,
    forget_old_tasks,
    end_past_desk_links,
    forget_old_messages,
    forget_old_desk_mails,
    remove_dead_devices,
    mail_heads,  # these four last: a slow mail server or push service keeps nothing else waiting
    send_desk_mails,
    send_messages,
    push_messages,
)


def _once_a_day(
    kind: str, work: Callable[[Venue, datetime], None], venue: Venue, now: datetime
) -> bool:
    day = now.astimezone(venue.zone).date()
    if JobRun.objects.filter(kind=kind, venue=venue, local_date=day).exists():
        return False
    try:
        with transaction.atomic():
            JobRun.objects.create(kind=kind, venue=venue, local_date=day, at=now)
            work(venue, now)
    except IntegrityError:
        return False  # another worker was quicker
    return True


def _generate(venue: Venue, now: datetime) -> None:
    generate_tasks(venue=venue, by=None, at=now)


def _sign_head(venue: Venue, now: datetime) -> None:
    sign_head(venue=venue, seal=venue_seal(venue, now), at=now)


def _ask_for_check(venue: Venue, now: datetime) -> None:
    """A task of its own: a long log takes longer than a tick may."""
    async_task(CHECK, venue.pk, task_name=f"log check {venue.slug}", timeout=LONGEST_SECONDS)


def check_log_of(pk: int) -> str:
    """Verify the log of one venue. What is wrong is told by mail, on every page and by /healthz."""
    check = verify_log(venue=Venue.objects.get(pk=pk), at=timezone.now())
    return "does not hold" if check.faults else "holds"


def send_owed_mails() -> int:
    """At once; what is not taken goes with a later tick."""
    return send_desk_mails(at=timezone.now())


DAILY: dict[str, Callable[[Venue, datetime], None]] = {
    "daily": _generate,
    "signed head": _sign_head,
    "log check": _ask_for_check,
}
