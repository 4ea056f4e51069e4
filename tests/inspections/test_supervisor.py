"""What the supervisor of the background workers asks of them."""

import subprocess
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from django_q.models import OrmQ

from inspections.supervisor import Patience, Supervisor, send_probe

pytestmark = pytest.mark.django_db


class StillRunning:
    """A cluster that was started and says nothing."""

    pid, returncode = 0, None

    def __init__(self, *_: object, **__: object) -> None:
        """Whatever it was started with."""

    def poll(self) -> None:
        """It has not ended."""


def test_a_probe_that_a_killed_worker_took_along_keeps_no_other_from_being_sent(
    monkeypatch: Any,
) -> None:
    monkeypatch.setattr(subprocess, "Popen", StillRunning)
    send_probe()
    taken = OrmQ.objects.get()
    OrmQ.objects.update(lock=timezone.now() + timedelta(minutes=10))
    supervisor = Supervisor(Patience())
    supervisor.start()
    supervisor.probe_when_due()
    sent = OrmQ.objects.get()
    assert sent.pk != taken.pk
    assert sent.lock <= timezone.now()

    supervisor.next_probe = 0.0
    supervisor.probe_when_due()
    assert OrmQ.objects.get() == sent, "one at a time while it waits for a worker"
