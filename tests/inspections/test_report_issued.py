"""A report is issued: sealed, numbered, logged, and checked by a stranger's tools."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from django.conf import settings
from pytest_django import Settings

from inspections.actions import issue_report as issuing
from inspections.actions.issue_report import CannotReport, MayNotSign, issue_report
from inspections.models import Record, Report
from inspections.queries.report_content import report_content
from inspections.reports import words
from inspections.reports.document import document_of
from inspections.reports.render import PdfNotMade
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.proof_house import (
    AT,
    House,
    answer_said,
    judgement,
    make_proof_house,
    make_record,
    make_task,
)
from venue.file_store import path_of
from venue.models import Competence, KeptFile

MEANING = words.MEANINGS[0]


def _meaning(records, signer) -> str:
    """Own checks are signed as carried out, others' as reviewed."""
    return MEANING if all(record.by == signer for record in records) else words.MEANINGS[1]


pytestmark = pytest.mark.django_db


@pytest.fixture
def house(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> House:
    settings.LOFTBOOK_FILES = tmp_path_factory.mktemp("files")
    return make_proof_house()


def make_report(house: House, *records: Record) -> Report:
    return issue_report(
        venue=house.venue,
        records=records,
        signer=house.tam,
        meaning=_meaning(records, house.tam),
        at=AT,
    )


def pdf_of(report: Report, folder: Path) -> Path:
    path = folder / f"{report.number}.pdf"
    kept = path_of(Path(settings.LOFTBOOK_FILES), report.kept_file.sha256)
    path.write_bytes(kept.read_bytes())
    return path


def text_of(pdf: Path) -> str:
    return said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-")


def joined(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.one_database
def test_no_finding_and_nothing_left_out_are_said_in_words(house: House, tmp_path: Path) -> None:
    text = joined(text_of(pdf_of(make_report(house, make_record(house, answers=[])), tmp_path)))
    assert "Findings and orders None found." in text
    assert "every check could be looked at" in text
    assert "No further date is planned in the book" in text


@pytest.mark.one_database
def test_what_a_criterion_asks_for_is_printed_only_where_it_is_met(
    house: House, tmp_path: Path
) -> None:
    calm = judgement("fit", verdict="not met", action="Retire at once.")
    met = judgement("retire", action="Cut it away.")
    answers = [
        answer_said("Look at line 1.", "fit", judgements=[calm]),
        answer_said("Look at line 2.", "retire", judgements=[met]),
    ]
    record = make_record(house, answers=answers)
    text = joined(text_of(pdf_of(make_report(house, record), tmp_path)))
    assert "No criterion to act is met" in text
    assert "Cut it away." in text
    assert "Retire at once." not in text


@pytest.mark.one_database
@pytest.mark.parametrize("harm", ["lost", "damaged"])
def test_a_photograph_lost_or_damaged_in_the_store_is_printed_as_that(
    house: House, tmp_path: Path, harm: str
) -> None:
    record = make_record(house)
    path = path_of(
        Path(settings.LOFTBOOK_FILES), KeptFile.objects.get(what="photograph").shown_sha256
    )
    path.unlink()
    if harm == "damaged":
        path.write_bytes(b"rotten")
    text = joined(text_of(pdf_of(make_report(house, record), tmp_path)))
    assert "Photograph 1 is lost or damaged in the file store." in text


@pytest.mark.one_database
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_a_draft_says_so_on_every_page_and_is_not_signed(
    house: House, tmp_path: Path, paper: str
) -> None:
    content = report_content(house.venue, [make_record(house)], AT)
    pdf = tmp_path / "draft.pdf"
    pdf.write_bytes(document_of(content, paper, AT).pdf)
    pages = text_of(pdf).split("\f")[:-1]
    assert len(pages) >= 3
    assert all("DRAFT" in page for page in pages)
    assert "does not contain any signatures" in said_by(tool("pdfsig", "poppler-utils"), pdf)
    sizes = {"A4": "595.276 x 841.89", "letter": "612 x 792"}
    assert sizes[paper] in said_by(tool("pdfinfo", "poppler-utils"), pdf)


def test_who_has_no_competence_may_not_sign_and_nothing_is_kept(house: House) -> None:
    record = make_record(house)
    with pytest.raises(MayNotSign, match="No competence as a competent person on file"):
        issue_report(
            venue=house.venue, records=[record], signer=house.odile, meaning=MEANING, at=AT
        )
    assert not Report.objects.exists()
    assert not KeptFile.objects.filter(what="report").exists()


@pytest.mark.parametrize(("days", "signs"), [(0, True), (1, False)])
def test_a_competence_covers_its_last_day_and_not_the_next(
    house: House, days: int, signs: bool
) -> None:
    record = make_record(house)
    last = Competence.objects.get(person=house.tam).expires_on
    at = AT.replace(year=last.year, month=last.month, day=last.day) + timedelta(days=days)
    if signs:
        issuing.may_sign(venue=house.venue, records=[record], signer=house.tam, at=at)
        return
    with pytest.raises(MayNotSign, match="lapsed on 2027-01-01"):
        issuing.may_sign(venue=house.venue, records=[record], signer=house.tam, at=at)


def test_own_work_done_without_competence_cannot_be_signed_later(house: House) -> None:
    record = make_record(house, may_sign=False, by_competence="lapsed on 2025-12-31")
    with pytest.raises(MayNotSign, match="must examine again"):
        make_report(house, record)


def test_a_report_needs_records_of_one_day_and_one_venue_and_a_meaning(house: House) -> None:
    record = make_record(house)
    later = make_record(house, done_on=date(2026, 2, 11))
    for records, meaning, said in (
        ([], MEANING, "at least one"),
        ([record, later], MEANING, "one day"),
        ([record], "  ", "means"),
    ):
        with pytest.raises(CannotReport, match=said):
            issue_report(
                venue=house.venue, records=records, signer=house.tam, meaning=meaning, at=AT
            )


def test_the_same_records_are_not_signed_twice_by_the_same_person(house: House) -> None:
    record, other = make_record(house), make_record(house)
    first = make_report(house, record)
    with pytest.raises(CannotReport, match=f"number {first.number}"):
        make_report(house, record)
    assert make_report(house, record, other).number == 2
    assert Report.objects.count() == 2


def test_a_number_taken_meanwhile_is_printed_anew(
    house: House, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    first, second = make_record(house), make_record(house)
    make = issuing.document_of
    rivals = [second]

    def make_slowly(*known: object) -> object:
        if rivals:
            rivals.clear()
            make_report(house, second)
        return make(*known)

    monkeypatch.setattr(issuing, "document_of", make_slowly)
    report = make_report(house, first)
    assert report.number == 2
    assert "Inspection report 2" in text_of(pdf_of(report, tmp_path))
    assert sorted(Report.objects.values_list("number", flat=True)) == [1, 2]
    assert KeptFile.objects.filter(what="report").count() == 2


def test_when_the_pdf_cannot_be_made_no_number_is_used(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*known: object) -> None:
        raise PdfNotMade("no paper")

    record = make_record(house)
    monkeypatch.setattr(issuing, "document_of", fail)
    with pytest.raises(PdfNotMade):
        make_report(house, record)
    monkeypatch.undo()
    assert make_report(house, record).number == 1


@pytest.mark.one_database
def test_the_dates_stay_apart_and_the_next_one_is_the_earliest_open_task(house: House) -> None:
    make_task(house, 2, date(2026, 4, 10))
    make_task(house, 3, date(2026, 3, 10))
    make_task(house, 4, date(2026, 3, 1), state="cancelled")
    report = issue_report(
        venue=house.venue, records=[make_record(house)], signer=house.tam, meaning=MEANING,
        at=AT + timedelta(days=2),
    )  # fmt: skip
    assert report.examined_on == date(2026, 2, 10)
    assert report.at.date() == date(2026, 2, 12)
    assert report.next_due_on == date(2026, 3, 10)


@pytest.mark.one_database
def test_a_day_of_two_checks_has_a_summary_and_numbers_its_photographs_through(
    house: House, tmp_path: Path
) -> None:
    late = make_record(house, by=house.priya, may_sign=False, state="watch")
    report = make_report(house, make_record(house), late)
    text = joined(text_of(pdf_of(report, tmp_path)))
    assert "Inspection day 10 February 2026, 2 checks" in text
    assert "Summary" in text
    assert "Photograph 2, line 3, Wire rope" in text
    assert "This person could record the check, but not sign it" in text


def test_nobody_signs_as_their_own_what_another_person_examined(house: House) -> None:
    with pytest.raises(CannotReport, match="Someone else carried out"):
        issue_report(
            venue=house.venue,
            records=[make_record(house, by=house.odile)],
            signer=house.tam,
            meaning=MEANING,
            at=AT,
        )
    assert Report.objects.count() == 0
