"""Files go after their time, one record or report at a time; rows, hashes and the log stay."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from inspections.actions.countersign_report import CannotCountersign, countersign_report
from inspections.actions.dispose import (
    CannotDispose,
    dispose_of_record_files,
    dispose_of_report_files,
)
from inspections.actions.issue_report import issue_report
from inspections.actions.retention import lift_hold
from inspections.models import CheckFile, Disposal, Record, Report
from inspections.queries.disposal import files_of_record, records_that_may_go, reports_that_may_go
from inspections.queries.log_check import check_log
from inspections.queries.retention import kept_record
from inspections.reports.words import COUNTER_MEANINGS, MEANINGS
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    answer_said,
    make_photograph,
    make_record,
)
from tests.inspections.season import completeness, make_bundle, run
from tests.inspections.test_retention import after_three_years, another_manager, follow, hold, house
from tests.inspections.test_spoken_and_drawn import OGG, drawing
from venue.actions.keep_file import keep_drawn_signature, keep_report, keep_voice_note
from venue.file_store import path_of
from venue.models import EquipmentFile, KeptFile, LogLine, Person

__all__ = ["house"]  # the fixture
MONTHS = timedelta(days=200)


@pytest.fixture
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.LOFTBOOK_FILES = tmp_path / "files"
    return tmp_path / "files"


def old_record(house: House, *photographs: KeptFile) -> Record:
    """A record with photographs, and the next of its kind a month later."""
    answer = answer_said("Is the rope sound?", "fit")
    answer["photographs"] = [each.sha256 for each in photographs]
    record = make_record(house, answers=[answer])
    make_record(house, answers=[], done_on=DAY + timedelta(days=30))
    return record


def dispose(house: House, record: Record, **changed: Any) -> int:
    said = {"why": "Its time is over.", "at": AT + timedelta(days=365 * 5)} | changed
    return dispose_of_record_files(record=record, by=house.odile, **said)


@pytest.mark.django_db(transaction=True)
def test_photographs_go_after_their_time_and_hash_record_and_log_stay(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    paths = {path_of(store, each) for each in (photo.sha256, photo.shown_sha256)}
    assert all(path.is_file() for path in paths)
    assert dispose(house, record) == 1
    assert not any(path.exists() for path in paths)
    told = json.loads(LogLine.objects.get(did="dispose_of_files").body)["after"]
    assert told["files"] == sorted({photo.sha256, photo.shown_sha256})
    assert told["kept_until"] == str(after_three_years(DAY))
    assert "Limitation Act" in told["rule"]
    assert check_log(house.venue).faults == []
    assert KeptFile.objects.get(pk=photo.pk).sha256 == photo.sha256
    assert Record.objects.get(pk=record.pk).body == record.body
    with pytest.raises(CannotDispose, match="no file that only it leads to"):
        dispose(house, record)
    client = Client()
    client.force_login(house.odile)
    assert client.get(reverse("kept_file", args=["larkspur", photo.pk])).status_code == 404
    assert photo.sha256[:12] in client.get(reverse("retention", args=["larkspur"])).content.decode()
    bundle = make_bundle(house, store.parent, DAY, DAY)
    missing = completeness(bundle)["files that could not be included"]
    assert {each["why"].split(",")[0] for each in missing} == {"disposed of on 2031-02-09"}
    for script in ("verify_log.py", "verify_complete.py", "verify_tables.py"):
        assert run(f"python3 -I {script}", bundle).returncode == 0
    said = bundle / "data" / "completeness.json"
    said.write_text(said.read_text().replace(photo.shown_sha256, "0" * 64))
    done = run("python3 -I verify_complete.py", bundle)
    assert "does not tell that it was disposed of" in done.stdout


@pytest.mark.django_db
def test_disposal_is_refused_in_words_before_the_day_under_hold_and_where_nothing_is_known(
    house: House, store: Path
) -> None:
    record = old_record(house, make_photograph(house, "line 3.jpg"))
    with pytest.raises(CannotDispose, match="No rule"):
        dispose(house, record)
    follow(house)
    with pytest.raises(CannotDispose, match="kept until 10 February 2029"):
        dispose(house, record, at=AT)
    with pytest.raises(CannotDispose, match="Say why"):
        dispose(house, record, why=" ")
    held = hold(house)
    with pytest.raises(CannotDispose, match="A hold"):
        dispose(house, record)
    lift_hold(hold=held, why="Settled", by=another_manager(house), at=AT)
    newest = make_record(house, answers=[], done_on=DAY + timedelta(days=60))
    with pytest.raises(CannotDispose, match="next record of the same kind"):
        dispose(house, newest)
    follow(house, "ca-on")
    with pytest.raises(CannotDispose, match="for ever"):
        dispose(house, record)
    client = Client()
    client.force_login(house.odile)
    where = reverse("dispose_record_files", args=["larkspur", record.pk])
    assert "kept for ever" in client.post(where, {"why": "Over"}).content.decode()
    assert not Disposal.objects.exists()
    assert not LogLine.objects.filter(did="dispose_of_files").exists()


@pytest.mark.django_db(transaction=True)
def test_a_photograph_that_something_else_shows_stays(house: House, store: Path) -> None:
    alone, shared = (
        make_photograph(house, "a.jpg", shade=40),
        make_photograph(house, "b.jpg", shade=90),
    )
    record = old_record(house, alone, shared)
    EquipmentFile.objects.create(equipment=house.winch, kept_file=shared, at=AT)
    follow(house)
    assert dispose(house, record) == 1
    assert path_of(store, shared.sha256).is_file()
    assert not path_of(store, alone.sha256).exists()


@pytest.mark.django_db
def test_the_page_says_what_goes_and_what_stays_or_why_nothing_goes(
    house: House, store: Path
) -> None:
    recent = old_record(house, make_photograph(house, "a.jpg", shade=40))
    photo = make_photograph(house, "b.jpg", shade=90)
    answers = [answer_said("Is it dry?", "fit", photographs=[photo.sha256])]
    old = make_record(house, answers=answers, done_on=date(2019, 1, 7))
    follow(house)
    client = Client()
    client.force_login(house.odile)

    def page(record: Record) -> str:
        answer = client.get(reverse("dispose_record_files", args=["larkspur", record.pk]))
        return " ".join(answer.content.decode().split())

    assert "They stay" in page(recent)
    assert "Dispose of them" not in page(recent)
    assert "Photograph, as sent and as shown" in page(old)
    until = kept_record(old).kept.until
    assert until
    assert f"had to be kept until {until:%-d %B %Y}" in page(old)
    assert "Copies in backups" in page(old)


def spoken_and_drawn(house: House, record: Record, by: Person | None = None) -> list[CheckFile]:
    by = by or house.tam
    note = keep_voice_note(venue=house.venue, content=OGG, name="note", by=by, at=AT)
    drawn = keep_drawn_signature(venue=house.venue, content=drawing(), by=by, at=AT)
    return [
        CheckFile.objects.create(
            check_id=record.pk, venue=house.venue, by=by, what=what, sha256=kept.sha256,
            kept_file=kept, received_at=AT,
        )
        for what, kept in (("voice", note), ("drawn", drawn))
    ]  # fmt: skip


@pytest.mark.django_db
def test_a_record_that_shares_each_photograph_with_another_is_not_listed_as_one_that_may_go(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    alone = old_record(house, make_photograph(house, "a.jpg", shade=40), photo)
    old_record(house, photo)
    follow(house)
    later = (AT + timedelta(days=365 * 5)).date()
    assert records_that_may_go(house.venue, later) == [alone]


@pytest.mark.django_db(transaction=True)
def test_voice_notes_and_the_drawn_signature_go_with_the_photographs_and_the_record_says_so(
    house: House, store: Path
) -> None:
    record = old_record(house)
    files = [row.kept_file for row in spoken_and_drawn(house, record)]
    follow(house)
    later = (AT + timedelta(days=365 * 5)).date()
    assert records_that_may_go(house.venue, later) == [record]
    assert dispose(house, record) == 2
    assert not any(path_of(store, each.sha256).exists() for each in files)
    assert records_that_may_go(house.venue, later) == []
    assert CheckFile.objects.count() == 2
    client = Client()
    client.force_login(house.odile)
    html = client.get(reverse("record", args=["larkspur", record.pk])).content.decode()
    assert html.count("Disposed of after its time") == 2
    assert "<audio" not in html
    bundle = make_bundle(house, store.parent, DAY, DAY)
    missing = completeness(bundle)["files that could not be included"]
    assert len(missing) == 2
    assert all(each["why"].startswith("disposed of on 2031-02-09") for each in missing)
    for script in ("verify_complete.py", "verify_tables.py"):
        done = run(f"python3 -I {script}", bundle)
        assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.django_db
def test_what_somebody_else_sent_under_the_number_of_a_check_is_not_of_its_record(
    house: House, store: Path
) -> None:
    record = old_record(house)
    spoken_and_drawn(house, record, by=house.priya)
    assert files_of_record(record) == []


def signed_report(house: House) -> Report:
    """Printed and sealed, of an old record, and countersigned some months later."""
    report = issue_report(
        venue=house.venue, records=[old_record(house)], signer=house.tam, meaning=MEANINGS[0], at=AT
    )
    with time_machine.travel(AT + MONTHS, tick=False):
        countersign_report(
            report=report, signer=house.odile, meaning=COUNTER_MEANINGS[1], at=AT + MONTHS
        )
    return report


def report_of(house: House, *records: Record, what: str = "one_record", number: int = 1) -> Report:
    """As it is in the book; the bytes stand for a PDF."""
    pdf = keep_report(
        venue=house.venue,
        name=f"{number}.pdf",
        content=f"%PDF-{number}".encode(),
        by=house.tam,
        at=AT,
    )
    report = Report.objects.create(
        venue=house.venue, number=number, what=what, title="A report", examined_on=DAY,
        signer=house.tam, signer_name="Tam", signer_role="x", meaning="x", at=AT, record_json="{}",
        record_sha256="0" * 64, kept_file=pdf,
    )  # fmt: skip
    for record in records:
        report.report_records.create(record=record)
    return report


def dispose_report(house: House, report: Report, **changed: Any) -> int:
    said = {"why": "Its time is over.", "at": AT + timedelta(days=365 * 5)} | changed
    return dispose_of_report_files(report=report, by=house.odile, **said)


@pytest.mark.django_db(transaction=True)
def test_the_pdf_of_a_report_goes_after_its_records_time_counted_from_the_last_signature(
    house: House, store: Path, settings: Settings, tmp_path: Path
) -> None:
    settings.LOFTBOOK_KEYS = tmp_path / "keys"
    report = signed_report(house)
    follow(house)
    last = (AT + MONTHS).date()
    until = after_three_years(last)
    assert until > after_three_years(DAY)
    with pytest.raises(CannotDispose, match=f"kept until {until:%-d %B %Y}"):
        dispose_report(house, report, at=AT + timedelta(days=365 * 3 + 30))
    later = (AT + timedelta(days=365 * 5)).date()
    assert reports_that_may_go(house.venue, until) == []
    assert reports_that_may_go(house.venue, later) == [report]
    paths = [path_of(store, each.sha256) for each in KeptFile.objects.filter(what="report")]
    assert [path.is_file() for path in paths] == [True, True]
    assert dispose_report(house, report) == 2
    assert not any(path.exists() for path in paths)
    assert reports_that_may_go(house.venue, later) == []
    told = json.loads(LogLine.objects.get(did="dispose_of_files").body)
    assert told["subject"] == f"inspections.report {report.pk}"
    assert told["after"]["kept_until"] == str(until)
    assert Report.objects.get().record_json == report.record_json
    assert check_log(house.venue).faults == []
    _nobody_is_handed_what_is_gone(house, report)
    _a_bundle_says_that_it_is_gone(house, report, store)


def _nobody_is_handed_what_is_gone(house: House, report: Report) -> None:
    client = Client()
    client.force_login(house.odile)
    page = reverse("report", args=["larkspur", report.number])
    html = client.get(page).content.decode()
    assert "Its PDF was disposed of on 9 February 2031" in html
    assert "Download the signed PDF" not in html
    assert client.get(reverse("report_pdf", args=["larkspur", report.number])).url == page
    sent = client.post(
        reverse("report_email", args=["larkspur", report.number]), {"to": "a@larkspur.example"}
    )
    assert "Its PDF was disposed of" in sent.content.decode()
    assert mail.outbox == []
    with pytest.raises(CannotCountersign, match="disposed of on 9 February 2031"):
        countersign_report(report=report, signer=house.priya, meaning=COUNTER_MEANINGS[1], at=AT)


def _a_bundle_says_that_it_is_gone(house: House, report: Report, store: Path) -> None:
    bundle = make_bundle(house, store.parent, DAY, DAY)
    missing = completeness(bundle)["files that could not be included"]
    assert [each["file"] for each in missing] == [
        "reports/report-1.pdf", "reports/report-1-countersigned-1.pdf"
    ]  # fmt: skip
    for script in ("verify_log.py", "verify_complete.py", "verify_tables.py"):
        done = run(f"python3 -I {script}", bundle)
        assert done.returncode == 0, done.stdout + done.stderr
    papers = bundle / "data" / "reports.csv"
    papers.write_text(papers.read_text().replace(report.kept_file.sha256, "0" * 64))
    done = run("python3 -I verify_complete.py", bundle)
    assert "report-1.pdf: the log does not tell that it was disposed of" in done.stdout


@pytest.mark.django_db
def test_a_report_stays_while_one_of_its_records_must_or_nothing_tells_of_it(
    house: House, store: Path
) -> None:
    record = old_record(house)
    report = report_of(house, record)
    with pytest.raises(CannotDispose, match="No rule"):
        dispose_report(house, report)
    follow(house)
    newest = make_record(house, answers=[], done_on=DAY + timedelta(days=60))
    both = report_of(house, record, newest, number=2)
    with pytest.raises(CannotDispose, match="next record of the same kind"):
        dispose_report(house, both)
    alone = report_of(house, number=3, what="rope_certificate")
    with pytest.raises(CannotDispose, match="No record hangs on it"):
        dispose_report(house, alone)
    hold(house)
    with pytest.raises(CannotDispose, match="A hold stands over it"):
        dispose_report(house, report)
    client = Client()
    client.force_login(house.odile)
    where = reverse("dispose_report_files", args=["larkspur", report.number])
    assert "A hold stands over it" in client.post(where, {"why": "Over"}).content.decode()
    assert not Disposal.objects.exists()


@pytest.mark.django_db
def test_a_hold_on_any_equipment_keeps_every_report_that_may_tell_of_more_than_its_records(
    house: House, store: Path
) -> None:
    record = old_record(house)
    annual, one = (
        report_of(house, record, what="annual_rigging"),
        report_of(house, record, number=2),
    )
    follow(house)
    other = house.venue.equipment.create(
        place=house.winch.place,
        tag="CW-02",
        name="Other",
        kind="multi_line_winch",
        kind_hash="0" * 64,
    )
    held = hold(house, equipment=other)
    with pytest.raises(CannotDispose, match="may tell of more than its records"):
        dispose_report(house, annual)
    assert dispose_report(house, one) == 1
    lift_hold(hold=held, why="Settled", by=another_manager(house), at=AT)
    assert dispose_report(house, annual) == 1


@pytest.mark.django_db
@pytest.mark.both_databases
def test_a_disposal_is_of_a_record_or_of_a_report_and_never_of_both_or_neither(
    house: House, store: Path
) -> None:
    record = old_record(house)
    report = report_of(house, record)
    said = {
        "venue": house.venue, "kept_file": report.kept_file, "kept_until": DAY, "rule": "x",
        "why": "x", "by": house.odile, "at": AT,
    }  # fmt: skip
    for of in ({}, {"record": record, "report": report}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Disposal.objects.create(**said, **of)
    row = Disposal.objects.create(**said, report=report)
    with pytest.raises(IntegrityError), transaction.atomic():
        Disposal.objects.filter(pk=row.pk).update(why="y")
