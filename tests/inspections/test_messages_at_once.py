"""Two workers at the same moment: each message goes once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime
from threading import Barrier

import pytest
from django.db import connections
from pytest_django import Settings

from inspections.actions.send_messages import send_messages
from inspections.models import Message
from tests.inspections.proof_house import make_proof_house, make_task
from tests.mail_server import mail_server

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]

AT = datetime(2026, 2, 12, 7, 5, tzinfo=UTC)
WORKERS = 3


def test_of_workers_at_the_same_moment_one_sends_each_message(settings: Settings) -> None:
    house = make_proof_house()
    for number, person in enumerate((house.tam, house.priya, house.odile), start=1):
        make_task(house, number, date(2026, 2, 1), person=person)
    ready = Barrier(WORKERS)

    def work(_: int) -> int:
        ready.wait(timeout=30)
        try:
            return send_messages(at=AT)
        finally:
            connections.close_all()

    with mail_server() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        with ThreadPoolExecutor(WORKERS) as pool:
            sent = list(pool.map(work, range(WORKERS)))
    assert sum(sent) == 3
    assert sorted(to for to, _ in server.taken) == [
        ["odile@larkspur.example"], ["priya@larkspur.example"], ["tam@larkspur.example"],
    ]  # fmt: skip
    assert Message.objects.filter(state=Message.State.SENT).count() == 3
