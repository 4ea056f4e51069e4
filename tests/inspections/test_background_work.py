"""Whether background work goes on is told to a monitor and, in words, to the manager."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django_q.models import Task

from inspections import jobs
from tests.inspections.proof_house import AT, make_proof_house
from venue.models import Person
from venue.queries.background import STILL_AFTER

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _at_that_time() -> None:
    with time_machine.travel(AT, tick=False):
        yield


def seen(stopped: datetime, success: bool = True, name: str = "probe") -> Task:
    number = f"{Task.objects.count():032x}"
    times = {"started": stopped, "stopped": stopped}
    return Task.objects.create(id=number, name=name, func="x", success=success, **times)


def health() -> dict[str, object]:
    answer = Client().get("/healthz")
    assert answer.status_code == 200
    return answer.json()


def overview(person: Person) -> str:
    client = Client()
    client.force_login(person)
    return client.get(reverse("overview", args=["larkspur"])).content.decode()


def test_health_says_when_the_worker_was_last_seen() -> None:
    seen(AT - timedelta(seconds=40))
    assert health() == {
        "ok": True, "database": "answers", "background_work": "goes on",
        "log": "not checked yet",
        "last_seen": "2026-02-10T09:29:20Z",
        "seconds_ago": 40,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("ago", "ok"), [(STILL_AFTER, True), (STILL_AFTER + timedelta(seconds=1), False)]
)
def test_health_is_not_ok_when_that_is_too_long_ago(ago: timedelta, ok: bool) -> None:
    seen(AT - ago)
    assert health()["ok"] is ok


def test_a_worker_that_was_never_seen_is_not_ok() -> None:
    said = health()
    assert (said["ok"], said["last_seen"], said["background_work"]) == (False, None, "stands still")


def test_the_managers_overview_says_that_work_stands_still_and_asks_one_question_for_it() -> None:
    house = make_proof_house()
    seen(AT - timedelta(hours=2))
    words = "last seen 2\xa0hours ago"
    asked = {}
    for person in (house.odile, house.tam):
        with CaptureQueriesContext(connection) as queries:
            asked[person] = overview(person), len(queries)
    assert words in asked[house.odile][0]
    assert "stands still" not in asked[house.tam][0]
    assert (
        asked[house.odile][1] - asked[house.tam][1] <= 17
    )  # one for the log, two for mails, eight for the section, five for the year
    seen(AT)
    assert "stands still" not in overview(house.odile)


def test_old_notes_of_the_queue_are_forgotten_and_the_sign_of_life_stays() -> None:
    kept = [seen(AT), seen(AT - timedelta(days=20), success=False)]
    seen(AT - timedelta(days=3))
    seen(AT - timedelta(days=31), success=False)
    jobs.tick()
    assert set(Task.objects.all()) == set(kept)
    assert health()["ok"] is True


def test_housekeeping_that_fails_stops_nothing_else(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    house, done = make_proof_house(), []

    def breaks(*, at: datetime) -> int:
        raise OSError("the disk is gone")

    def works(*, at: datetime) -> int:
        done.append(at)
        return 0

    monkeypatch.setattr(jobs, "HOUSEKEEPING", (breaks, works))
    assert jobs.tick() == 2
    assert done == [AT]
    assert "breaks failed" in caplog.text
    assert house.venue.pk
