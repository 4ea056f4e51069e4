"""The pages of reports and evidence, asked by everyone: manager, competent person, stagehand,
auditor, and a manager of another venue."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import Settings

from inspections.actions.background_jobs import take_up
from inspections.actions.make_asked_report import make_asked_report
from inspections.jobs import work_on
from inspections.models import Job, Record, Report
from inspections.reports.words import MEANINGS
from tests.guards import unguarded
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.proof_house import (
    AT,
    House,
    answer_said,
    make_finding,
    make_proof_house,
    make_record,
)
from venue.models import LogLine, Person

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> House:
    settings.LOFTBOOK_FILES = tmp_path_factory.mktemp("files")
    return make_proof_house()


@pytest.fixture(autouse=True)
def _on_that_day() -> None:
    with time_machine.travel(AT, tick=False):
        yield


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def address(name: str, *args: object) -> str:
    return reverse(name, args=["larkspur", *args])


def sign(house: House, record: Record, person: Person, **extra: str) -> object:
    posted = {"records": [str(record.pk)], "meaning": MEANINGS[0], **extra}
    response = signed_in(person).post(address("report_record", record.pk), posted)
    make_what_was_asked()
    return response


def make_what_was_asked() -> None:
    """What the worker does, without its thread, which sees only what is committed."""
    for waiting in Job.objects.filter(kind="report", state="waiting"):
        job = take_up(pk=waiting.pk, at=AT)
        assert job
        assert make_asked_report(job=job, at=AT)


def draft_of(house: House, record: Record) -> bytes:
    page = sign(house, record, house.odile, draft="1")
    job = Job.objects.get()
    assert page.url == address("report_job", job.pk)
    draft = signed_in(house.odile).get(address("report_draft", job.pk))
    assert draft.headers["Content-Type"] == "application/pdf"
    return content_of(draft)


def content_of(response: object) -> bytes:
    return b"".join(response.streaming_content)


def test_who_may_open_which_page(house: House) -> None:
    record = make_record(house, answers=[])
    sign(house, record, house.tam)
    people = (house.odile, house.tam, house.priya, house.ines, house.stranger)
    clients = [signed_in(person) for person in people]
    expected = {
        ("reports",): (200, 200, 200, 200, 404),
        ("report_root",): (200, 200, 200, 200, 404),
        ("report", 1): (200, 200, 200, 200, 404),
        ("report_pdf", 1): (200, 200, 200, 200, 404),
        ("report_email", 1): (200, 200, 403, 403, 404),
        ("report_record", record.pk): (200, 200, 403, 403, 404),
        ("report_day", "2026-02-10"): (200, 200, 403, 403, 404),
        ("evidence",): (200, 403, 403, 200, 404),
    }
    seen = {
        page: tuple(client.get(address(*page)).status_code for client in clients)
        for page in expected
    }
    assert seen == expected


def test_what_does_not_exist_is_not_found(house: House) -> None:
    client = signed_in(house.odile)
    pages = [("report", 7), ("report_pdf", 7), ("report_day", "2026-02-30"), ("report_day", "x")]
    pages += [("report_record", "00000000-0000-4000-8000-000000000000")]
    assert [client.get(address(*page)).status_code for page in pages] == [404] * 5


def test_a_competent_person_signs_from_the_records_page_and_gets_the_pdf(house: House) -> None:
    record = make_record(house)
    page = signed_in(house.tam).get(address("report_record", record.pk)).content.decode()
    assert "You sign as: Competent person, Wire rope inspection TH-118" in page
    done = sign(house, record, house.tam)
    assert done.status_code == 302
    ready = signed_in(house.tam).get(done.url)
    assert ready.url == address("report", 1)
    pdf = signed_in(house.ines).get(address("report_pdf", 1))
    assert content_of(pdf).startswith(b"%PDF-1.7")
    assert "larkspur-report-1.pdf" in pdf.headers["Content-Disposition"]
    shown = signed_in(house.ines).get(address("report", 1)).content.decode()
    assert Report.objects.get().kept_file.sha256 in shown


def test_without_competence_the_page_says_why_and_signs_nothing(house: House) -> None:
    record = make_record(house, answers=[])
    page = signed_in(house.odile).get(address("report_record", record.pk)).content.decode()
    assert "You cannot sign this report." in page
    refused = sign(house, record, house.odile)
    assert refused.status_code == 200
    assert "No competence as a competent person on file" in refused.content.decode()
    assert not Report.objects.exists()


@pytest.mark.one_database
def test_a_draft_can_be_seen_before_signing_and_keeps_nothing(house: House, tmp_path: Path) -> None:
    pdf = tmp_path / "draft.pdf"
    pdf.write_bytes(draft_of(house, make_record(house, answers=[])))
    assert "DRAFT" in said_by(tool("pdftotext", "poppler-utils"), pdf, "-")
    assert not Report.objects.exists()
    assert not LogLine.objects.filter(did="issue_report").exists()


def test_a_double_tap_on_sign_makes_one_report(house: House) -> None:
    record = make_record(house, answers=[])
    sign(house, record, house.tam)
    again = sign(house, record, house.tam)
    assert "number 1" in again.content.decode()
    assert Report.objects.count() == 1


@pytest.mark.one_database
def test_a_day_ticks_the_signers_own_records_or_those_of_the_chosen_equipment(
    house: House,
) -> None:
    mine, other = make_record(house, answers=[]), make_record(house, answers=[], by=house.priya)
    client, page = signed_in(house.tam), address("report_day", "2026-02-10")
    assert client.get(page).context["form"].initial["records"] == [mine.pk]
    both = client.get(page, {"equipment": house.winch.pk}).context["form"].initial["records"]
    assert set(both) == {mine.pk, other.pk}
    posted = {"records": [str(mine.pk), str(other.pk)], "meaning": MEANINGS[1]}
    assert client.post(page, posted).status_code == 302
    make_what_was_asked()
    assert Report.objects.get().what == "day"
    empty = client.get(address("report_day", "2026-02-09")).content.decode()
    assert "No checks on this day" in empty


def test_a_record_of_another_venue_cannot_be_slipped_in(house: House) -> None:
    record = make_record(house, answers=[])
    foreign = make_record(house, answers=[])
    with unguarded():
        Record.objects.filter(pk=foreign.pk).update(venue=house.stranger.memberships.get().venue)
    posted = {"records": [str(foreign.pk)], "meaning": MEANINGS[0]}
    refused = signed_in(house.tam).post(address("report_record", record.pk), posted)
    assert refused.status_code == 200
    assert not Report.objects.exists()


@pytest.mark.one_database
def test_a_report_is_mailed_from_its_page(house: House) -> None:
    sign(house, make_record(house, answers=[]), house.tam)
    client = signed_in(house.odile)
    bad = client.post(address("report_email", 1), {"to": "not an address\nBcc: all@x.example"})
    assert bad.status_code == 200
    assert mail.outbox == []
    client.post(address("report_email", 1), {"to": "ines@insurer.example", "note": ""})
    assert [message.to for message in mail.outbox] == [["ines@insurer.example"]]


@pytest.mark.django_db(transaction=True)
def test_the_insurers_engineer_takes_a_bundle_home(house: House, tmp_path: Path) -> None:
    make_finding(house, make_record(house))
    days = {"start": "2026-02-10", "end": "2026-02-10"}
    client = signed_in(house.ines)
    job_page = client.post(address("evidence"), days)
    assert work_on(Job.objects.get().pk) == "done"
    assert "Ready" in client.get(job_page.url).content.decode()
    bundle = client.get(address("evidence_download", Job.objects.get().pk))
    assert "evidence-larkspur-2026-02-10-2026-02-10.zip" in bundle.headers["Content-Disposition"]
    with zipfile.ZipFile(io.BytesIO(content_of(bundle))) as packed:
        names = packed.namelist()
        packed.extractall(tmp_path)
    folder = tmp_path / "bundle-larkspur-2026-02-10-2026-02-10"
    assert f"{folder.name}/README-VERIFY.txt" in names
    checked = subprocess.run(
        [sys.executable, "-I", folder / "verify_log.py"], capture_output=True, check=False
    )
    assert b"LOG OK" in checked.stdout
    assert LogLine.objects.get(did="export_evidence").by == house.ines
    assert "Ines Halloran" in client.get(address("evidence")).content.decode()


def test_days_the_wrong_way_round_are_asked_again(house: House) -> None:
    days = {"start": "2026-02-11", "end": "2026-02-10"}
    page = signed_in(house.odile).post(address("evidence"), days)
    assert page.status_code == 200
    assert "before the first" in page.content.decode()
    assert not Job.objects.exists()


def test_a_record_names_the_rule_by_its_title_and_edition_and_never_by_its_file(
    house: House,
) -> None:
    record = make_record(house)
    page = signed_in(house.ines).get(address("record", record.pk)).content.decode()
    assert "Ropes of overhead cranes (2023), (m)(1)" in page
    assert "crane_ropes" not in page


@pytest.mark.one_database
def test_the_root_certificate_is_the_one_the_reports_name(house: House, tmp_path: Path) -> None:
    sign(house, make_record(house, answers=[]), house.tam)
    root = tmp_path / "root.pem"
    root.write_bytes(signed_in(house.ines).get(address("report_root")).content)
    said = said_by(
        tool("openssl", "openssl"), "x509", "-in", root, "-noout", "-fingerprint", "-sha256"
    )
    named = json.loads(Report.objects.get().record_json)["signature"]["root_sha256"]
    assert named.upper() in said.replace(":", "")


def test_the_list_costs_the_same_at_three_reports_and_at_nine(house: House) -> None:
    for number in range(3):
        _issued(house, number)
    client, asked = signed_in(house.odile), []
    for more in (range(3, 3), range(3, 9)):
        for number in more:
            _issued(house, number)
        with CaptureQueriesContext(connection) as queries:
            page = client.get(address("reports"))
        asked.append(len(queries))
    assert asked[0] == asked[1]
    assert page.content.decode().count("Canopy winch, check") == 9


def _issued(house: House, number: int) -> None:
    """A row as an issued report leaves it; the PDF itself is tested elsewhere."""
    from venue.actions.keep_file import keep_report

    kept = keep_report(
        venue=house.venue, name=f"{number}.pdf", content=b"%PDF-", by=house.tam, at=AT
    )
    Report.objects.create(
        venue=house.venue, number=number + 1, what="one_record", examined_on=AT.date(),
        title=f"CW-01 Canopy winch, check {number}", signer=house.tam, at=AT + timedelta(number),
        signer_name="Tam Achterberg", signer_role="Competent person", meaning=MEANINGS[0],
        record_json="{}", record_sha256="0" * 64, kept_file=kept,
    )  # fmt: skip


@pytest.mark.one_database
def test_every_answer_of_a_record_is_escaped_on_the_printed_page(
    house: House, tmp_path: Path
) -> None:
    nasty = "<script>x</script><img src='http://127.0.0.1/x.jpg'>"
    record = make_record(house, answers=[answer_said(nasty, "fit", text=nasty)], remark=nasty)
    pdf = tmp_path / "draft.pdf"
    pdf.write_bytes(draft_of(house, record))
    # A narrow column breaks the words where it likes.
    text = "".join(said_by(tool("pdftotext", "poppler-utils"), pdf, "-").split())
    assert text.count("<script>x</script>") == 3
