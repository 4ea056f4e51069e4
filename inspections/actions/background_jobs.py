"""The life of a job: handed to the worker, taken up, kept alive, ended.

The queue may lose a task, bring it twice, or bring it to a process that is killed; so each of these
may happen again without harm, and the job's own row is the only truth. Whoever takes a job up holds
it by a lease that must be renewed. A lease that ran out means that the process is gone.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django_q.models import OrmQ
from django_q.tasks import async_task

from inspections.models import Job
from inspections.models.job import JobQuerySet

WORK = "inspections.jobs.work_on"
GROUP = "job"
LEASE = timedelta(seconds=60)
LONGEST_SECONDS = 1800
MOST_ATTEMPTS = 3
AGAIN = (
    "Ask again; if it fails again, tell the person who runs Loftbook: the worker's log says more."
)
LOST = f"It was begun {MOST_ATTEMPTS} times, and each time the worker was lost. {AGAIN}"
FAILED = f"It was begun {MOST_ATTEMPTS} times, and each time something went wrong. {AGAIN}"


def hand_to_worker(job: Job) -> None:
    """The task lies in the same database: in a transaction it is sent with the rest or not at all."""
    async_task(WORK, job.pk, group=GROUP, task_name=f"job {job.pk}", timeout=LONGEST_SECONDS)


def take_up(*, pk: int, at: datetime) -> Job | None:
    """The job, now held by the caller; None when there is nothing to do: it has ended, somebody
    holds it, or another of its kind is being worked on (one worker must stay free for the rest)."""
    with transaction.atomic():
        kind = Job.objects.filter(pk=pk).values("kind")
        rows = Job.objects.unended().filter(kind__in=kind).order_by("pk").select_for_update()
        unended = {job.pk: job for job in rows}
        job = unended.get(pk)
        if job is None or any(other.held(at) for other in unended.values()):
            return None
        if job.attempts >= MOST_ATTEMPTS:
            fail_job(job=job, error=LOST)
            return None
        job.state, job.lease_until, job.attempts = Job.State.RUNNING, at + LEASE, job.attempts + 1
        job.result = {}
        job.save(update_fields=["state", "lease_until", "attempts", "result"])
    return job


def renew(*, job: Job, at: datetime, told: dict[str, Any]) -> bool:
    """Keep the lease and tell how far the work is. False: the caller no longer holds the job."""
    return bool(_held(job).update(lease_until=at + LEASE, result=told))


def end_job(*, job: Job, result: dict[str, Any]) -> bool:
    """Done. False, and nothing changed, when somebody else has taken the job up since."""
    return _end(Job.objects.unended(), job, Job.State.DONE, result=result)


def fail_job(*, job: Job, error: str) -> bool:
    """It cannot be done, and the sentence says why."""
    return _end(Job.objects.unended(), job, Job.State.FAILED, error=error)


def put_back(*, job: Job) -> None:
    """Something went wrong that may pass: it is tried again, but not for ever."""
    if job.attempts >= MOST_ATTEMPTS:
        fail_job(job=job, error=FAILED)
    else:
        _held(job).update(state=Job.State.WAITING, lease_until=None, result={})


def hand_out_waiting(*, at: datetime) -> int:
    """Let go of jobs whose process is gone, then send the oldest waiting one of each kind to the
    worker, unless one of its kind is held or it is on its way already. Returns how many were sent."""
    let_go_of_lost(at=at)
    sent, on_the_way = 0, _on_the_way(at)
    unended = list(Job.objects.unended().order_by("pk"))
    busy = {job.kind for job in unended if job.state == Job.State.RUNNING}
    for job in unended:
        if job.kind in busy:
            continue
        busy.add(job.kind)
        if f"job {job.pk}" not in on_the_way:
            hand_to_worker(job)
            sent += 1
    return sent


def let_go_of_lost(*, at: datetime) -> None:
    """A job whose lease ran out waits again, or has failed once it was begun often enough."""
    lost = Job.objects.filter(state=Job.State.RUNNING, lease_until__lte=at)
    for job in lost.filter(attempts__gte=MOST_ATTEMPTS):
        _end(lost, job, Job.State.FAILED, error=LOST)
    lost.update(state=Job.State.WAITING, lease_until=None, result={})


def _on_the_way(at: datetime) -> set[str]:
    """The names of tasks no worker has taken yet; a taken one is answered for by its lease."""
    return {queued.name() for queued in OrmQ.objects.filter(lock__lte=at)[:200]}


def _held(job: Job) -> JobQuerySet:
    """The row, if it is still at the attempt the caller knows."""
    return Job.objects.filter(pk=job.pk, state=Job.State.RUNNING, attempts=job.attempts)


def _end(rows: JobQuerySet, job: Job, state: Job.State, **fields: Any) -> bool:
    row = rows.filter(pk=job.pk, attempts=job.attempts)
    return bool(row.update(state=state, lease_until=None, key=f"{job.key}:{job.pk}", **fields))
