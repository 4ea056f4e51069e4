"""A report is made in the background: asked for once, told of, taken up again, issued once."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django_q.models import OrmQ, Task
from pytest_django import Settings

from inspections import jobs
from inspections.actions import issue_report as issuing
from inspections.actions import make_asked_report as making
from inspections.actions.ask_for_report import ask_for_draft, ask_for_report
from inspections.actions.background_jobs import LEASE, MOST_ATTEMPTS, hand_out_waiting, take_up
from inspections.actions.issue_report import CannotReport, issue_report
from inspections.actions.made_files import made_folder
from inspections.actions.make_asked_report import make_asked_report
from inspections.models import Job, Record, Report
from inspections.queries.report_content import report_content
from inspections.reports.content_reading import report_from
from inspections.reports.document import Document
from inspections.reports.render import PdfNotMade
from inspections.reports.words import MEANINGS
from tests.inspections.proof_house import AT, House, make_finding, make_proof_house, make_record
from venue.models import KeptFile, LogLine, Person

pytestmark = pytest.mark.django_db
SOON = AT + timedelta(seconds=10)


@pytest.fixture
def house(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> House:
    settings.LOFTBOOK_FILES = tmp_path_factory.mktemp("files")
    return make_proof_house()


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """In place of the printing and the seal, which have tests of their own. Lists what was printed."""
    printed: list[Any] = []

    def document_of(content: Any, *_: object) -> Document:
        printed.append(content)
        return Document(f"%PDF-{len(printed)}".encode(), json.dumps(content.to_dict()), "0" * 64)

    monkeypatch.setattr(issuing, "document_of", document_of)
    monkeypatch.setattr(making, "document_of", document_of)
    monkeypatch.setattr(issuing, "sealed", lambda pdf, *_, **__: pdf)
    return printed


def ask(house: House, record: Record, meaning: str = MEANINGS[0]) -> Job:
    job, _ = ask_for_report(
        venue=house.venue, records=[record], signer=house.tam, meaning=meaning, at=AT
    )
    return job


def made(job: Job, at: Any = SOON) -> bool:
    held = take_up(pk=job.pk, at=at)
    assert held
    return make_asked_report(job=held, at=at)


def page_of(person: Person, job: Job, name: str = "report_job") -> Any:
    client = Client()
    client.force_login(person)
    return client.get(reverse(name, args=["larkspur", job.pk]))


def text_of(person: Person, job: Job) -> str:
    with time_machine.travel(SOON, tick=False):
        return page_of(person, job).content.decode()


def test_what_is_kept_for_the_worker_reads_back_as_the_same_content(house: House) -> None:
    record = make_record(house)
    make_finding(house, record)
    job = ask(house, record)
    kept = report_from(Job.objects.get(pk=job.pk).asked["content"])
    now = report_content(house.venue, [record], AT, signature=kept.signature)
    assert kept == replace(now, log=kept.log), "only the log went on"
    draft = report_content(house.venue, [record], AT)
    assert report_from(json.loads(json.dumps(draft.to_dict()))) == draft
    assert not kept.draft


def test_pressing_twice_makes_one_job_one_line_and_one_report(
    house: House, quick: list[Any]
) -> None:
    record = make_record(house, answers=[])
    first, again = ask(house, record), ask(house, record)
    assert first == again
    assert OrmQ.objects.count() == 1
    assert LogLine.objects.filter(did="ask_for_report").count() == 1
    assert made(first)
    with pytest.raises(CannotReport, match="number 1"):
        ask(house, record)
    assert Report.objects.count() == 1


def test_the_answer_comes_at_once_and_the_page_leads_to_the_report(
    house: House, quick: list[Any]
) -> None:
    job = ask(house, make_record(house, answers=[]))
    assert quick == [], "nothing was printed in the request"
    waiting = text_of(house.tam, job)
    assert "<h1>Waiting for the background worker</h1>" in waiting
    assert '<meta http-equiv="refresh" content="3">' in waiting
    assert made(job)
    with time_machine.travel(SOON):
        assert page_of(house.odile, job).url == reverse("report", args=["larkspur", 1])
        people = (house.odile, house.priya, house.ines, house.stranger)
        assert [page_of(each, job).status_code for each in people] == [302, 403, 403, 404]
        assert page_of(house.tam, job, "report_draft").url.endswith(f"/asked/{job.pk}/")


def test_the_bytes_of_a_report_are_the_same_at_every_download(house: House) -> None:
    assert made(ask(house, make_record(house, answers=[])))
    client = Client()
    client.force_login(house.ines)
    address = reverse("report_pdf", args=["larkspur", 1])
    first, again = (client.get(address).getvalue() for _ in range(2))
    assert first == again
    assert first.startswith(b"%PDF-1.7")


def test_the_report_says_what_stood_when_it_was_signed(house: House, quick: list[Any]) -> None:
    record = make_record(house)
    make_finding(house, record)
    job = ask(house, record)
    make_finding(house, record)
    assert made(job, AT + timedelta(hours=2))
    (content,) = quick
    assert len(content.sheets[0].findings) == 1
    assert content.number == "1"
    report = Report.objects.get()
    assert report.at == AT
    assert LogLine.objects.get(did="issue_report").at == AT + timedelta(hours=2)


def test_the_report_of_a_killed_worker_is_taken_up_again_and_issued_once(
    house: House, quick: list[Any]
) -> None:
    job = ask(house, make_record(house, answers=[]))
    first = take_up(pk=job.pk, at=AT)
    assert first
    OrmQ.objects.all().delete()  # the task went down with its worker
    assert hand_out_waiting(at=AT + LEASE) == 1
    assert made(job, AT + LEASE)
    # The first was not dead after all, and comes to its end as well.
    with pytest.raises(CannotReport, match="number 1"):
        make_asked_report(job=first, at=AT + LEASE)
    assert Report.objects.count() == 1
    assert KeptFile.objects.filter(name="larkspur-report-1.pdf").count() == 1


def test_whoever_lost_the_job_while_printing_keeps_nothing(house: House, quick: list[Any]) -> None:
    job = ask(house, make_record(house, answers=[]))
    first = take_up(pk=job.pk, at=AT)
    assert first
    assert take_up(pk=job.pk, at=AT + LEASE), "the second process has it now"
    assert not make_asked_report(job=first, at=AT + LEASE)
    assert not Report.objects.exists()
    assert not KeptFile.objects.filter(name__contains="report").exists()


def test_a_worker_lost_each_time_is_said_and_nothing_chosen_is_lost(house: House) -> None:
    record = make_record(house, answers=[])
    job, at = ask(house, record, MEANINGS[2]), AT
    for _ in range(MOST_ATTEMPTS):
        assert take_up(pk=job.pk, at=at)
        at += LEASE
        hand_out_waiting(at=at)
    page = text_of(house.tam, job)
    assert "<h1>Failed</h1>" in page
    assert "each time the worker was lost" in page
    assert "No report was issued, and no number was used." in page
    client = Client()
    client.force_login(house.tam)
    again = reverse("report_day", args=["larkspur", "2026-02-10"]) + f"?again={job.pk}"
    assert again in page
    with time_machine.travel(SOON):
        form = client.get(again).context["form"]
    assert form.initial == {"records": [record.pk], "meaning": MEANINGS[2]}


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("fault", "state", "words"),
    [
        (PdfNotMade("The PDF was not ready in time."), "failed", "not ready in time"),
        (OSError(28, "No space left on device"), "waiting", "Interrupted"),
        (ValueError("a bug"), "waiting", "Interrupted"),
        (SystemExit("time is over"), "failed", "longer than half an hour"),
    ],
)
def test_what_goes_wrong_is_said_in_a_sentence_or_tried_again(
    house: House, monkeypatch: pytest.MonkeyPatch, fault: BaseException, state: str, words: str
) -> None:
    def break_down(*_: object) -> None:
        raise fault

    monkeypatch.setattr(issuing, "document_of", break_down)
    job = ask(house, make_record(house, answers=[]))
    with time_machine.travel(SOON):
        if isinstance(fault, SystemExit):
            with pytest.raises(SystemExit):
                jobs.work_on(job.pk)
        else:
            jobs.work_on(job.pk)
    job.refresh_from_db()
    page = text_of(house.tam, job)
    assert job.state == state
    assert words in page
    assert "a bug" not in page
    assert not Report.objects.exists()


def test_a_report_issued_meanwhile_by_another_way_is_not_issued_again(
    house: House, quick: list[Any]
) -> None:
    record = make_record(house, answers=[])
    job = ask(house, record)
    issue_report(venue=house.venue, records=[record], signer=house.tam, meaning=MEANINGS[0], at=AT)
    with pytest.raises(CannotReport, match="number 1"):
        made(job)
    assert Report.objects.count() == 1


def test_a_seal_changed_meanwhile_asks_for_another_signature(
    house: House, quick: list[Any], settings: Settings, tmp_path: Any
) -> None:
    job = ask(house, make_record(house, answers=[]))
    settings.LOFTBOOK_KEYS = tmp_path / "other"
    with pytest.raises(CannotReport, match="Sign it again"):
        made(job)


def test_a_draft_is_kept_for_some_days_and_only_for_those_who_may_sign(
    house: House, quick: list[Any]
) -> None:
    record = make_record(house, answers=[])
    wanted = {"venue": house.venue, "records": [record], "meaning": MEANINGS[0], "at": AT}
    job, new = ask_for_draft(by=house.odile, **wanted)
    assert new
    assert ask_for_draft(by=house.odile, **wanted) == (job, False)
    assert made(job)
    assert "Download the draft" in text_of(house.odile, job)
    with time_machine.travel(SOON):
        people = (house.odile, house.tam, house.priya, house.ines, house.stranger)
        told = [page_of(each, job, "report_draft") for each in people]
        assert [each.status_code for each in told] == [200, 200, 403, 403, 404]
        assert told[0].getvalue().startswith(b"%PDF")
    with time_machine.travel(SOON + timedelta(days=8)):
        assert page_of(house.odile, job, "report_draft").status_code == 302
        assert "<h1>Removed</h1>" in page_of(house.odile, job).content.decode()
    assert not Report.objects.exists()
    assert [path.suffix for path in made_folder().iterdir()] == [".pdf"]


def test_what_is_not_ready_is_listed_under_reports_for_those_who_may_sign(house: House) -> None:
    job = ask(house, make_record(house, answers=[]))
    shown = {}
    for person in (house.odile, house.ines):
        client = Client()
        client.force_login(person)
        with time_machine.travel(SOON):
            shown[person] = client.get(reverse("reports", args=["larkspur"])).content.decode()
    address = reverse("report_job", args=["larkspur", job.pk])
    assert address in shown[house.odile]
    assert "Signed by Tam Achterberg" in shown[house.odile]
    assert address not in shown[house.ines]


def test_a_worker_that_is_not_running_is_said_plainly(house: House) -> None:
    job = ask(house, make_record(house, answers=[]))
    assert "The worker has never been seen." in text_of(house.tam, job)
    seen = {"name": "probe", "func": "x", "started": AT, "success": True}
    last = SOON - timedelta(seconds=100)
    Task.objects.create(id="a" * 32, stopped=last, **seen)
    assert "last seen 100 seconds ago" in text_of(house.tam, job)
    assert "it may not be running" in text_of(house.tam, job)
    Task.objects.create(id="b" * 32, stopped=AT, **seen)
    assert "last seen 10 seconds ago" in text_of(house.tam, job)
    assert "it may not be running" not in text_of(house.tam, job)
    with time_machine.travel(AT + timedelta(hours=3)):
        page = page_of(house.tam, job).content.decode()
    assert "Background work stands still." in page
    assert "no reports or bundles are made" in page


def test_a_job_of_another_venue_is_not_found(house: House) -> None:
    job = ask(house, make_record(house, answers=[]))
    studio = house.stranger.memberships.get().venue
    Job.objects.filter(pk=job.pk).update(venue=studio)
    assert page_of(house.odile, job).status_code == 404
