"""Keeps the background workers alive, and replaces them when they only look alive.

django-q2's cluster can hang for good, without a word, when one of its processes is killed at
the wrong moment. The sign of life taken here is a finished task's row: its monitor writes it, so
a fresh row shows that the pusher, a worker and the monitor all did their part.
"""

import contextlib
import ctypes
import logging
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.db import DatabaseError, close_old_connections
from django.utils import timezone
from django_q.models import OrmQ, Schedule, Task
from django_q.tasks import async_task

from inspections.actions.background_jobs import hand_out_waiting
from venue.queries.background import last_seen

log = logging.getLogger(__name__)

TICK = "inspections.jobs.tick"
TICK_MINUTES = 5
PROBE = "inspections.supervisor.probe"
PROBE_GROUP = "probe"
LONGEST_PAUSE = 60
SET_PARENT_DEATH_SIGNAL = 1  # PR_SET_PDEATHSIG of prctl(2)


@dataclass(frozen=True)
class Patience:
    """How long the supervisor waits, in seconds."""

    probe_every: float = 30
    # Two tasks of full length may lie before a probe, and that is no reason to kill.
    stale_after: float = 300
    stop_within: float = 150
    look_every: float = 1


def probe() -> str:
    """The task that proves a task can be done."""
    return "alive"


def ensure_one_schedule() -> None:
    """Leave exactly one schedule: a single bad one would stop every other."""
    tick = Schedule.objects.filter(func=TICK).order_by("pk").first() or Schedule(func=TICK)
    tick.name = "tick"
    tick.schedule_type = Schedule.MINUTES
    tick.minutes = TICK_MINUTES
    tick.repeats = -1
    tick.args = tick.kwargs = tick.cron = tick.cluster = None
    tick.save()
    others = Schedule.objects.exclude(pk=tick.pk)
    for other in others:
        log.warning("removing schedule %s (%s): only the tick is scheduled", other.pk, other.func)
    others.delete()


def queued_probes() -> list[OrmQ]:
    """Those that no worker has finished yet."""
    return [queued for queued in OrmQ.objects.all()[:50] if queued.group() == PROBE_GROUP]


def forget_queued_probes() -> None:
    """A killed worker holds its probe back for `retry` seconds, in which no other would be sent and
    every new cluster would look silent."""
    for queued in queued_probes():
        queued.delete()


def send_probe() -> None:
    """Queue a probe unless one still waits, and forget all but the newest answers."""
    if not queued_probes():
        async_task(PROBE, group=PROBE_GROUP, task_name=f"probe {time.time_ns()}")
    an_hour_ago = timezone.now() - timedelta(hours=1)
    Task.objects.filter(group=PROBE_GROUP, stopped__lt=an_hour_ago).delete()


def end_with_parent() -> None:
    """In the child: be told to stop should the supervisor be killed, and never work on alone."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(SET_PARENT_DEATH_SIGNAL, signal.SIGTERM)


class Supervisor:
    """One cluster, started, watched, replaced and stopped."""

    def __init__(self, patience: Patience) -> None:
        """Nothing runs yet."""
        self.patience = patience
        self.stopping = False
        self.cluster: subprocess.Popen[bytes] | None = None
        self.started = self.next_probe = 0.0
        self.is_new = True
        self.early_ends = 0

    def run(self) -> None:
        """Keep a working cluster until told to stop."""
        signal.signal(signal.SIGTERM, self.ask_to_stop)
        signal.signal(signal.SIGINT, self.ask_to_stop)
        ensure_one_schedule()
        self.start()
        while not self.stopping:
            self.look()
            time.sleep(self.patience.look_every)
        self.stop()

    def ask_to_stop(self, *_: object) -> None:
        """Remember; the loop ends at its next turn."""
        self.stopping = True

    def start(self) -> None:
        """Start a cluster in a process group of its own, so that all of it can be ended."""
        command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "qcluster"]
        self.cluster = subprocess.Popen(
            command,
            start_new_session=True,
            preexec_fn=end_with_parent,  # noqa: PLW1509 - this process has a single thread
        )
        self.started = time.monotonic()
        self.next_probe = self.started
        self.is_new = True
        log.info("background workers started, process %s", self.cluster.pid)

    def look(self) -> None:
        """One turn: probe when due, and replace a cluster that ended or went silent."""
        if self.cluster is not None and self.cluster.poll() is not None:
            log.error("background workers ended by themselves, code %s", self.cluster.returncode)
            self.pause_before_restart()
            self.replace()
            return
        try:
            self.probe_when_due()
            silent = self.silent_for()
        except DatabaseError:
            # Silence of the database says nothing about the cluster.
            log.exception("could not look at the background workers")
            return
        finally:
            close_old_connections()
        if silent > self.patience.stale_after:
            log.error("background workers silent for %.0f s: replacing them", silent)
            self.replace()

    def probe_when_due(self) -> None:
        """At each interval send a probe, and send again the jobs that a killed worker left."""
        if self.is_new:
            forget_queued_probes()
            self.is_new = False
        if time.monotonic() >= self.next_probe:
            self.next_probe = time.monotonic() + self.patience.probe_every
            send_probe()
            hand_out_waiting(at=timezone.now())

    def silent_for(self) -> float:
        """Seconds since the last sign of life, or since the start if that is later."""
        running = time.monotonic() - self.started
        latest = last_seen()
        if latest is None:
            return running
        return min(running, (timezone.now() - latest).total_seconds())

    def pause_before_restart(self) -> None:
        """Wait longer each time a cluster does not last, but answer a stop at once."""
        lasted = time.monotonic() - self.started
        self.early_ends = 0 if lasted > LONGEST_PAUSE else self.early_ends + 1
        until = time.monotonic() + min(LONGEST_PAUSE, 2**self.early_ends)
        while not self.stopping and time.monotonic() < until:
            time.sleep(0.2)

    def replace(self) -> None:
        """End every process of the old cluster by force, then start a new one."""
        self.kill()
        if not self.stopping:
            self.start()

    def kill(self) -> None:
        """End the whole group; what was in hand is done again, as every job allows."""
        if self.cluster is None:
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.cluster.pid, signal.SIGKILL)
        self.cluster.wait()
        self.cluster = None

    def stop(self) -> None:
        """Ask the cluster to end its tasks in hand, and end it by force when it will not."""
        if self.cluster is None:
            return
        self.cluster.terminate()
        try:
            self.cluster.wait(self.patience.stop_within)
        except subprocess.TimeoutExpired:
            log.error("background workers did not stop in %.0f s", self.patience.stop_within)
        self.kill()
        log.info("background workers stopped")
