"""Marisol Dunne's signed report, and what Ines Halloran makes of the bundle at her own desk."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from django.db import connections
from django_q.models import OrmQ

from inspections.jobs import work_on
from inspections.models import Record, Report
from inspections.reports.words import MEANINGS
from tests.browser.hands import Person
from tests.browser.insurers_desk import counted, everything_is_right, table, unpacked
from tests.browser.walk_house import CLAUSE, House, V
from tests.inspections.outside_tools import said_by, signature_check, tool
from venue.models import LogLine


def marisol_signs_the_report_of_the_day(house: House, tmp_path: Path) -> None:
    marisol = house.marisol
    marisol.go(V + "reports/")
    marisol.looks("reports")
    marisol.follow("Report today’s checks")
    for record in Record.objects.exclude(by_name="Marisol Dunne"):
        marisol.tick("records", str(record.pk))
    marisol.tick("meaning", MEANINGS[1])
    assert "You sign as: Outside examiner, Card 118" in marisol.looks("sign")
    marisol.press("Sign and issue")
    assert "Waiting for the background worker" in marisol.looks("report-waiting")
    let_the_worker_work()
    marisol.page.wait_for_url("**/reports/1/")  # the waiting page asks again by itself
    assert "Report 1 is signed and kept." in marisol.looks("report")
    pdf = marisol.take_away("Download the signed PDF", tmp_path)
    root = marisol.take_away("root certificate", tmp_path).read_bytes()
    assert hashlib.sha256(pdf.read_bytes()).hexdigest() in marisol.reads()
    said = signature_check(pdf, root, tmp_path)
    assert "Signature is Valid." in said, said
    assert "Certificate is Trusted." in said
    assert "Total document signed" in said
    printed = " ".join(said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-").split())
    for words in (
        "Marisol Dunne",
        "Priya Kestrel",
        "W4",
        "C1",
        CLAUSE,
        "3/8",
        "9.5 mm",
        MEANINGS[1],
    ):
        assert words in printed, words
    assert Report.objects.get().report_records.count() == 3


def ines_takes_the_bundle_home(house: House, tmp_path: Path) -> None:
    ines = house.ines
    ines.sign_in(V)
    ines.looks("auditor")
    assert ines.page.get_by_role("link", name="Take out of service").count() == 0
    ines.go(V + "t/W4/")
    assert ines.page.locator("main button").count() == 0
    packed = hand_out_bundle(ines, tmp_path)
    bundle = unpacked(packed, tmp_path / "home")
    lines = LogLine.objects.exclude(did="export_evidence").count()
    everything_is_right(bundle, lines=lines, records=3, reports=1, folder=tmp_path)
    assert counted(bundle) == {
        "competences": 4, "tasks": 2, "records": 3, "answers": 6, "readings": 5, "judgements": 5, "findings": 1,
        "countersignatures": 0,
        "orders": 1, "remedies": 1, "returns": 1, "reports": 1, "photographs_and_documents": 2,
        "signatures": 0, "voice_notes_and_drawn_signatures": 0, "messages_kept_aside": 0,
        "auditors_questions": 0, "answers_to_auditors": 0, "isolations": 0, "retired_parts": 1,
    }  # fmt: skip
    outcomes = [row["outcome"] for row in table(bundle, "tasks")]
    assert outcomes.count("done in time") == 2
    typed = [row["as typed"] for row in table(bundle, "readings")]
    assert {"3/8", '3/8"', "9.5 mm"} <= set(typed)
    retired = [row for row in table(bundle, "judgements") if row["state"] == "retire"]
    assert [(row["rule set"], row["clause"]) for row in retired] == [("us-osha-1926-1413", CLAUSE)]


def let_the_worker_work() -> None:
    """What the worker beside the web server does. In a thread of its own: signing needs an event
    loop, and the browser's driver keeps one in this thread."""

    def work() -> str:
        try:
            (waiting,) = OrmQ.objects.all()
            OrmQ.objects.all().delete()
            return work_on(*waiting.args())
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as thread:
        assert thread.submit(work).result() == "done"


def hand_out_bundle(person: Person, folder: Path) -> Path:
    """Ask for the bundle of the past year, wait for the worker, take it away."""
    person.go(V + "evidence/")
    person.looks("evidence")
    person.press("Make the bundle")
    person.follow("Look again now")
    assert "Waiting" in person.looks("evidence-waiting")
    let_the_worker_work()
    person.page.get_by_text("Can be downloaded until").wait_for()  # the page asks again by itself
    assert "Can be downloaded until" in person.looks("evidence-ready")
    packed = person.take_away("Download the bundle", folder)
    assert hashlib.sha256(packed.read_bytes()).hexdigest() in person.reads()
    return packed
