"""Keeps a job's lease alive from a thread of its own while the work is done.

The work itself cannot: it reads long tables, and on SQLite a connection that is in the middle of a
read may not write. If the process is killed the thread dies with it, and the lease runs out.
"""

from __future__ import annotations

import logging
from threading import Event, Thread
from types import TracebackType
from typing import Any, Protocol

from django.db import DatabaseError, connection
from django.utils import timezone

from inspections.actions.background_jobs import renew
from inspections.evidence.progress import Progress
from inspections.models import Job

log = logging.getLogger(__name__)
EVERY_SECONDS = 3.0


class Telling(Protocol):
    """Whatever can say how far the work is."""

    def told(self) -> dict[str, Any]: ...


class LeaseLost(RuntimeError):
    """Another process has taken the job up; this one must leave off."""


class LeaseThread:
    """Renews until the `with` block ends; `check` raises when the lease is somebody else's."""

    def __init__(self, job: Job, every: float = EVERY_SECONDS) -> None:
        self.progress = Progress(on=self.check)
        self.telling: Telling = self.progress  # work of another kind tells in its own way
        self._job, self._every = job, every
        self._ended, self._lost = Event(), Event()
        self._thread = Thread(target=self._renew, daemon=True, name=f"lease of job {job.pk}")

    def check(self) -> None:
        if self._lost.is_set():
            raise LeaseLost

    def __enter__(self) -> LeaseThread:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._ended.set()
        self._thread.join()

    def _renew(self) -> None:
        while not self._ended.wait(self._every):
            try:
                if not renew(job=self._job, at=timezone.now(), told=self.telling.told()):
                    self._lost.set()
                    break
            except DatabaseError:
                log.exception(
                    "could not renew the lease of job %s; it is tried again", self._job.pk
                )
                connection.close()
        connection.close()
