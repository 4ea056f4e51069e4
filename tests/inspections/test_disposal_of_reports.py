"""The PDF of a report goes once every record it tells of may; what it said, and the log, stay."""

from __future__ import annotations

import json
from datetime import timedelta
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
    dispose_of_report_files,
)
from inspections.actions.issue_report import issue_report
from inspections.actions.retention import lift_hold
from inspections.models import Disposal, Record, Report
from inspections.queries.disposal import reports_that_may_go
from inspections.queries.log_check import check_log
from inspections.reports.words import COUNTER_MEANINGS, MEANINGS
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    make_record,
)
from tests.inspections.season import completeness, make_bundle, run
from tests.inspections.test_disposal import old_record, store
from tests.inspections.test_retention import after_three_years, another_manager, follow, hold, house
from venue.actions.keep_file import keep_report
from venue.file_store import path_of
from venue.models import KeptFile, LogLine

__all__ = ["house", "store"]  # the fixtures
MONTHS = timedelta(days=200)


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
    with pytest.raises(CannotDispose, match="next record of the same kind"):
        dispose_report(house, report)  # the one that came next was made before that signature
    make_record(house, answers=[], done_on=last + timedelta(days=30))
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
