"""A bundle is made in the background: asked for, told of, taken up again, kept a week, removed."""

from __future__ import annotations

import os
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django_q.models import OrmQ, Task
from pytest_django import Settings

from inspections import jobs
from inspections.actions import background_jobs, make_asked_bundle
from inspections.actions.ask_for_evidence import ask_for_evidence
from inspections.actions.ask_for_job import MOST_IN_HAND, TooManyAsked
from inspections.actions.background_jobs import (
    LEASE,
    MOST_ATTEMPTS,
    hand_out_waiting,
    renew,
    take_up,
)
from inspections.actions.export_evidence import ExportFailed
from inspections.actions.made_files import KEPT_FOR, made_folder, remove_old_made_files
from inspections.evidence.progress import Progress
from inspections.lease_thread import LeaseLost, LeaseThread
from inspections.models import Job
from tests.inspections.proof_house import AT, DAY, House, make_proof_house, make_record
from venue.models import LogLine, Person

pytestmark = pytest.mark.django_db
# The lease is renewed from a thread, which sees only what is committed.
committed = pytest.mark.django_db(transaction=True)
SOON = AT + timedelta(seconds=10)


@pytest.fixture
def house(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> House:
    settings.LOFTBOOK_FILES = tmp_path_factory.mktemp("files")
    return make_proof_house()


def ask(house: House, day: date = DAY, by: Person | None = None) -> Job:
    job, _ = ask_for_evidence(venue=house.venue, start=day, end=day, by=by or house.ines, at=AT)
    return job


def client_of(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def job_page(person: Person, job: Job, name: str = "evidence_job") -> Any:
    return client_of(person).get(reverse(name, args=["larkspur", job.pk]))


def sent() -> list[int]:
    return [queued.args()[0] for queued in OrmQ.objects.order_by("pk")]


def no_files_but(*names: str) -> bool:
    folder = made_folder()
    return sorted(path.name for path in folder.glob("*")) == sorted(names)


def test_asking_twice_for_the_same_days_gives_the_same_job_once_in_the_queue_and_in_the_log(
    house: House,
) -> None:
    first, again = ask(house), ask(house, by=house.odile)
    assert first == again
    assert sent() == [first.pk]
    assert LogLine.objects.filter(did="ask_for_evidence").count() == 1
    assert ask(house, DAY + timedelta(days=1)) != first


@committed
def test_once_it_is_made_the_same_days_may_be_asked_for_again(house: House) -> None:
    first = ask(house)
    with time_machine.travel(SOON):
        assert jobs.work_on(first.pk) == "done"
    assert ask(house) != first


def test_a_venue_has_only_so_many_bundles_in_hand(house: House) -> None:
    for number in range(MOST_IN_HAND[Job.Kind.EVIDENCE]):
        ask(house, DAY + timedelta(days=number))
    with pytest.raises(TooManyAsked, match="in hand already"):
        ask(house, DAY - timedelta(days=1))
    assert Job.objects.count() == MOST_IN_HAND[Job.Kind.EVIDENCE]


@committed
def test_the_page_tells_of_waiting_then_of_ready_and_the_file_is_only_for_those_who_may(
    house: House,
) -> None:
    make_record(house)
    job = ask(house)
    with time_machine.travel(SOON):
        waiting = job_page(house.ines, job).content.decode()
        assert "<h1>Waiting for the background worker</h1>" in waiting
        assert '<meta http-equiv="refresh" content="5">' in waiting
        assert job_page(house.ines, job, "evidence_download").status_code == 302
        jobs.work_on(job.pk)
        ready = job_page(house.odile, job).content.decode()
        assert "<h1>Ready</h1>" in ready
        assert "http-equiv" not in ready
        people = (house.odile, house.ines, house.tam, house.priya, house.stranger)
        asked = [job_page(person, job, "evidence_download") for person in people]
        assert [each.status_code for each in asked] == [200, 200, 403, 403, 404]
        assert b"".join(asked[0].streaming_content)[:2] == b"PK"
        assert [job_page(person, job).status_code for person in people] == [
            200, 200, 403, 403, 404,
        ]  # fmt: skip
        assert Client().get(reverse("evidence_job", args=["larkspur", job.pk])).status_code == 302
    assert LogLine.objects.get(did="export_evidence").by == house.ines


def test_the_page_says_how_far_it_is(house: House) -> None:
    job = take_up(pk=ask(house).pk, at=AT)
    progress = Progress(done=7, of=40, now="the records")
    assert job
    assert renew(job=job, at=AT, told=progress.told())
    with time_machine.travel(SOON):
        page = job_page(house.ines, job).content.decode()
    assert "<h1>Being made</h1>" in page
    assert "Files written: 7 of about 40; now the records." in page


def test_every_file_of_the_bundle_moves_the_progress_to_its_end(
    house: House, tmp_path: Any
) -> None:
    from inspections.actions.export_evidence import Asked, write_bundle

    make_record(house)
    progress = Progress()
    asked = Asked(house.venue, DAY, DAY, house.ines, AT)
    write_bundle(asked=asked, out=tmp_path / "a.zip", progress=progress)
    assert progress.now == "the counts and the seal"
    assert progress.of >= 15
    assert abs(progress.done - progress.of) <= 4


def test_nobody_else_may_take_up_a_job_that_is_held_nor_a_second_of_its_kind(house: House) -> None:
    first, second = ask(house), ask(house, DAY + timedelta(days=1))
    assert take_up(pk=first.pk, at=AT)
    assert take_up(pk=first.pk, at=AT) is None
    assert take_up(pk=second.pk, at=AT) is None
    with time_machine.travel(SOON):
        page = job_page(house.ines, second).content.decode()
    assert "Waiting: another of its kind is made first" in page


def test_a_job_whose_worker_was_killed_is_sent_again_when_its_lease_has_run_out(
    house: House,
) -> None:
    job = take_up(pk=ask(house).pk, at=AT)
    assert job
    OrmQ.objects.all().delete()  # the task went down with its worker
    assert hand_out_waiting(at=AT + LEASE - timedelta(seconds=1)) == 0
    later = AT + LEASE
    with time_machine.travel(later):
        page = job_page(house.ines, job).content.decode()
        assert "<h1>Interrupted: it is taken up again within some minutes</h1>" in page
        assert "It was begun 1 of 3 times" in page
        assert hand_out_waiting(at=later) == 1
        assert sent() == [job.pk]
    with time_machine.travel(later + timedelta(seconds=30)):
        assert hand_out_waiting(at=later + timedelta(seconds=30)) == 0, "it is on its way already"
    again = take_up(pk=job.pk, at=later)
    assert again
    assert again.attempts == 2


def test_a_job_that_kills_its_worker_each_time_has_failed_and_says_so(house: House) -> None:
    job, at = ask(house), AT
    for _ in range(MOST_ATTEMPTS):
        assert take_up(pk=job.pk, at=at)
        at += LEASE
        hand_out_waiting(at=at)
    job.refresh_from_db()
    assert job.state == "failed"
    assert take_up(pk=job.pk, at=at) is None
    page = job_page(house.ines, job).content.decode()
    assert "<h1>Failed</h1>" in page
    assert "each time the worker was lost" in page
    assert ask(house) != job


@committed
def test_whoever_lost_the_lease_leaves_off_and_leaves_no_file(house: House) -> None:
    job = take_up(pk=ask(house).pk, at=AT)
    assert job
    assert take_up(pk=job.pk, at=AT + LEASE), "the second process has it now"
    assert not renew(job=job, at=AT + LEASE, told={})
    with LeaseThread(job, every=0.01) as lease:
        lease._thread.join(20)
        with pytest.raises(LeaseLost):
            lease.progress.file("tasks.csv")
    # Even one that never looked cannot hand anything over.
    assert not make_asked_bundle.make_asked_bundle(job=job, at=AT, progress=Progress())
    assert no_files_but()
    assert not LogLine.objects.filter(did="export_evidence").exists()


@committed
def test_the_lease_is_renewed_and_the_progress_told_while_the_work_goes_on(house: House) -> None:
    job = take_up(pk=ask(house).pk, at=AT)
    assert job
    with time_machine.travel(SOON, tick=False), LeaseThread(job, every=0.01) as lease:
        lease.progress.done, lease.progress.of = 3, 9
        for _ in range(3000):
            job.refresh_from_db()
            if job.result:
                break
            lease._ended.wait(0.02)
    assert job.result == {"done": 3, "of": 9, "now": ""}
    assert job.lease_until == SOON + LEASE


@committed
@pytest.mark.parametrize(
    ("fault", "state", "words"),
    [
        (ExportFailed("9 readings were written but 8 counted."), "failed", "9 readings"),
        (OSError(28, "No space left on device"), "failed", "No space left on device"),
        (ValueError("a bug"), "waiting", ""),
        (SystemExit("time is over"), "failed", "longer than half an hour"),
    ],
)
def test_what_goes_wrong_is_said_in_a_sentence_or_tried_again(
    house: House, monkeypatch: pytest.MonkeyPatch, fault: BaseException, state: str, words: str
) -> None:
    from inspections.actions import export_evidence

    def break_down(*_: object) -> None:
        raise fault

    monkeypatch.setattr(export_evidence, "pack", break_down)
    job = ask(house)
    with time_machine.travel(SOON):
        if isinstance(fault, SystemExit):
            with pytest.raises(SystemExit):
                jobs.work_on(job.pk)
        else:
            jobs.work_on(job.pk)
        job.refresh_from_db()
        page = job_page(house.ines, job).content.decode()
    assert job.state == state
    assert words in page
    assert "a bug" not in page
    assert no_files_but()


@committed
def test_a_fault_that_stays_is_not_tried_for_ever(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "make_asked_bundle", lambda **_: 1 / 0)
    job = ask(house)
    states = [jobs.work_on(job.pk) for _ in range(MOST_ATTEMPTS)]
    job.refresh_from_db()
    assert states[0] == "waiting"
    assert (job.state, job.attempts) == ("failed", MOST_ATTEMPTS)
    assert "each time something went wrong" in job.error


@committed
def test_the_file_is_removed_after_a_week_and_the_page_says_so(house: House) -> None:
    job = ask(house)
    with time_machine.travel(AT, tick=False):
        jobs.work_on(job.pk)
        name = f"{job.pk}-1.zip"
        assert no_files_but(name)
        os.utime(made_folder() / name, (AT.timestamp(), AT.timestamp()))
    assert remove_old_made_files(at=AT + KEPT_FOR) == 0
    over = AT + KEPT_FOR + timedelta(seconds=1)
    with time_machine.travel(over, tick=False):
        # Nobody gets it after its time, even before it is removed.
        assert job_page(house.ines, job, "evidence_download").status_code == 302
        jobs.tick()
        page = job_page(house.ines, job).content.decode()
    assert no_files_but()
    assert "<h1>Removed</h1>" in page
    assert "kept for 7 days" in page


def test_removing_old_bundles_never_touches_the_kept_files(house: House) -> None:
    make_record(house)
    store = made_folder().parent
    before = {path for path in store.rglob("*") if path.is_file()}
    assert len(before) >= 2
    for path in before:
        os.utime(path, (0, 0))
    (made_folder() / ".evidence-half").write_bytes(b"half")
    os.utime(made_folder() / ".evidence-half", (0, 0))
    with time_machine.travel(AT):
        jobs.tick()
    assert {path for path in store.rglob("*") if path.is_file()} == before


def test_the_worker_not_seen_is_said_on_the_pages_of_evidence(house: House) -> None:
    job = ask(house)
    with time_machine.travel(SOON):
        never = job_page(house.ines, job).content.decode()
        assert "Background work stands still." in never
        assert "The worker has never been seen." in never
        Task.objects.create(
            id="a" * 32, name="probe", func="x", started=AT, stopped=AT, success=True
        )
        assert "seen 10 seconds ago" in job_page(house.ines, job).content.decode()
    with time_machine.travel(AT + timedelta(hours=3)):
        for page in (job_page(house.ines, job), client_of(house.ines).get(
            reverse("evidence", args=["larkspur"])
        )):  # fmt: skip
            assert "last seen 3\xa0hours ago" in page.content.decode()


def test_the_page_costs_the_same_at_three_bundles_and_at_nine(house: House) -> None:
    client, asked = client_of(house.ines), []
    for number in range(9):
        key = {"key": f"k{number}", "asked": {"start": str(DAY), "end": str(DAY)}}
        Job.objects.create(venue=house.venue, kind="evidence", by=house.ines, at=AT, **key)
        if number in (2, 8):
            with CaptureQueriesContext(connection) as queries:
                page = client.get(reverse("evidence", args=["larkspur"]))
            asked.append(len(queries))
    assert asked[0] == asked[1]
    assert page.content.decode().count("Asked for by Ines Halloran") == 9


def test_a_job_of_another_venue_is_not_found(house: House) -> None:
    studio = house.stranger.memberships.get().venue
    theirs, _ = ask_for_evidence(venue=studio, start=DAY, end=DAY, by=house.stranger, at=AT)
    assert job_page(house.odile, theirs).status_code == 404
    assert job_page(house.odile, theirs, "evidence_download").status_code == 404


def test_a_task_that_was_lost_before_any_worker_took_it_is_sent_again(house: House) -> None:
    job = ask(house)
    OrmQ.objects.all().delete()
    assert hand_out_waiting(at=AT) == 1
    assert sent() == [job.pk]
    assert f"{jobs.work_on.__module__}.{jobs.work_on.__name__}" == background_jobs.WORK
