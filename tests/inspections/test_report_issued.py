"""A report is issued: sealed, numbered, logged, and checked by a stranger's tools."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import date, timedelta
from pathlib import Path

import pikepdf
import pytest
from django.conf import settings
from django.core import mail
from pytest_django import Settings

from inspections.actions import issue_report as issuing
from inspections.actions.email_report import NotSent, email_report
from inspections.actions.issue_report import CannotReport, MayNotSign, issue_report
from inspections.actions.venue_seal import venue_seal
from inspections.models import Record, Report
from inspections.queries.report_content import report_content
from inspections.reports import words
from inspections.reports.content import Signature
from inspections.reports.document import document_of
from inspections.reports.render import PdfNotMade
from tests.inspections.outside_tools import said_by, signature_check, tool
from tests.inspections.proof_house import (
    AT,
    House,
    answer_said,
    judgement,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
)
from venue.file_store import path_of
from venue.log_hash import sha256_of
from venue.models import Competence, KeptFile, LogHead, LogLine

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


def test_a_stranger_finds_the_signature_valid_and_trusted(house: House, tmp_path: Path) -> None:
    report = make_report(house, make_record(house))
    said = signature_check(pdf_of(report, tmp_path), venue_seal(house.venue, AT).root_pem, tmp_path)
    assert "Signature is Valid." in said
    assert "Certificate is Trusted." in said
    assert "Total document signed" in said
    assert "ETSI.CAdES.detached" in said
    assert "Feb 10 2026 09:30:00" in said


def test_one_changed_byte_is_a_digest_mismatch(house: House, tmp_path: Path) -> None:
    report = make_report(house, make_record(house))
    pdf = pdf_of(report, tmp_path)
    content = bytearray(pdf.read_bytes())
    content[len(content) // 3] ^= 1
    pdf.write_bytes(content)
    said = signature_check(pdf, venue_seal(house.venue, AT).root_pem, tmp_path)
    assert "Digest Mismatch" in said
    assert "Signature is Valid" not in said


def test_the_file_is_well_formed_and_every_font_is_embedded(house: House, tmp_path: Path) -> None:
    pdf = pdf_of(make_report(house, make_record(house)), tmp_path)
    assert "No syntax or stream encoding errors" in said_by(tool("qpdf", "qpdf"), "--check", pdf)
    lines = said_by(tool("pdffonts", "poppler-utils"), pdf).splitlines()
    fonts = [line.split() for line in lines if "Identity-H" in line]
    assert len(fonts) >= 3
    # Columns from the right: object number and generation, unicode, subset, embedded.
    assert {tuple(font[-5:-2]) for font in fonts} == {("yes", "yes", "yes")}


def test_the_attached_record_has_the_hash_that_is_printed_on_every_page(
    house: House, tmp_path: Path
) -> None:
    report = make_report(house, make_record(house))
    pdf, out = pdf_of(report, tmp_path), tmp_path / "record.json"
    said_by(tool("pdfdetach", "poppler-utils"), "-save", "1", "-o", out, pdf)
    printed = hashlib.sha256(out.read_bytes()).hexdigest()
    assert printed == report.record_sha256
    pages = text_of(pdf).split("\f")[:-1]
    assert len(pages) >= 3
    assert all(printed in page for page in pages)
    assert all(f"Page {number} of {len(pages)}" in page for number, page in enumerate(pages, 1))


def test_the_file_claims_an_archive_profile_and_keeps_to_what_we_can_check(
    house: House, tmp_path: Path
) -> None:
    pdf = pdf_of(make_report(house, make_record(house)), tmp_path)
    with pikepdf.open(pdf) as opened:
        root = opened.Root
        metadata = root.Metadata.read_bytes().decode()
        heads = [each.A.Scope for each in opened.objects if _is(each, "/TH")]
        figures = [each.Alt for each in opened.objects if _is(each, "/Figure")]
        assert root.MarkInfo.Marked
        assert str(root.Lang) == "en-GB"
        assert root.ViewerPreferences.DisplayDocTitle
        assert root.OutputIntents[0].S == "/GTS_PDFA1"
        assert [str(each.AFRelationship) for each in root.AF] == ["/Data"]
    assert metadata.count("</rdf:RDF>") == 1
    assert 'pdfaid:part="3"' in metadata
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata
    assert {str(scope) for scope in heads} == {"/Column", "/Row"}
    code, photograph = sorted(map(str, figures))
    assert code.startswith("Code of the address http")
    assert photograph.startswith("Photograph 1, taken for")


def _is(thing: pikepdf.Object, kind: str) -> bool:
    return isinstance(thing, pikepdf.Dictionary) and thing.get("/S") == kind


def test_the_page_says_who_what_when_and_what_was_not_decided(house: House, tmp_path: Path) -> None:
    make_task(house, 2, date(2026, 3, 10))
    record = make_record(house)
    make_finding(house, record)
    text = joined(text_of(pdf_of(make_report(house, record), tmp_path)))
    for words_on_page in (
        "Inspection report 1", "Larkspur Trust", "Tern Harbour", "CW-01 Canopy winch",
        "Serial number Not known", "Made unknown", "moving: 250 kg", "Stage house, Gridiron",
        "Tam Achterberg, Competent person", "Wire rope inspection TH-118", "10 March 2026",
        "2.5 mm", "Limit kept", "3/8\"", "Caliper 4, uncertain by 0.05 mm", "at 12.5 m",
        "Broken wires in one lay, in all zones (the most in any one strand, in any one lay: 3) 4",
        "Could not be looked at: A set stands below the drum",
        "missing nominal diameter", "None of these is a pass.", "Not used until cured",
        "Out of service from 10 February 2026", "Line 3 next to the muling block is worn.",
        "When in doubt, take the equipment out of service.", MEANING,
        "neither an “advanced” nor a “qualified” electronic signature",
    ):  # fmt: skip
        assert words_on_page in text, words_on_page
    assert "Retire" in text


def test_no_finding_and_nothing_left_out_are_said_in_words(house: House, tmp_path: Path) -> None:
    text = joined(text_of(pdf_of(make_report(house, make_record(house, answers=[])), tmp_path)))
    assert "Findings and orders None found." in text
    assert "every check could be looked at" in text
    assert "No further date is planned in the book" in text


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


def test_findings_and_what_was_not_decided_come_before_the_long_list_of_checks(
    house: House, tmp_path: Path
) -> None:
    record = make_record(house)
    make_finding(house, record)
    text = joined(text_of(pdf_of(make_report(house, record), tmp_path)))
    places = [text.index(head) for head in (
        "Who and when", "Findings and orders", "Not looked at", "What was checked", "Rope: line 3"
    )]  # fmt: skip
    assert places == sorted(places)


def test_the_record_json_carries_the_frozen_body_and_witnesses_the_log(house: House) -> None:
    record = make_record(house)
    venue_seal(house.venue, AT)  # made and noted before
    head = LogHead.objects.get(venue=house.venue)
    report = make_report(house, record)
    said = json.loads(report.record_json)
    assert sha256_of(said["sheets"][0]["record_body"]) == record.sha256
    assert said["log"] == {"size": str(head.size), "root": head.root}
    assert said["signature"]["name"] == "Tam Achterberg"
    assert "\U0001f44d" in said["sheets"][0]["answers"][3]["reason"]


def test_photographs_are_in_the_file_byte_for_byte_with_their_hash(
    house: House, tmp_path: Path
) -> None:
    pdf = pdf_of(make_report(house, make_record(house)), tmp_path)
    said_by(tool("pdfimages", "poppler-utils"), "-all", pdf, tmp_path / "picture")
    hashes = {hashlib.sha256(path.read_bytes()).hexdigest() for path in tmp_path.glob("picture*")}
    shown = KeptFile.objects.get(what="photograph").shown_sha256
    assert shown in hashes
    # The caption may be broken over two lines.
    assert shown in re.sub(r"\s", "", text_of(pdf))


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


def test_the_log_line_carries_the_hash_of_the_file(house: House) -> None:
    record = make_record(house)
    report = make_report(house, record)
    line = json.loads(LogLine.objects.get(did="issue_report").body)
    assert line["after"]["pdf_sha256"] == report.kept_file.sha256
    assert line["after"]["record_sha256"] == report.record_sha256
    assert line["after"]["records"] == [str(record.pk)]
    assert line["by"] == "Tam Achterberg"


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


def test_a_report_is_mailed_with_its_hash_and_logged(house: House) -> None:
    report = make_report(house, make_record(house))
    email_report(report=report, to="ines@insurer.example", note="As asked.", by=house.odile, at=AT)
    sent = mail.outbox[0]
    name, content, kind = sent.attachments[0]
    assert sent.to == ["ines@insurer.example"]
    assert hashlib.sha256(content).hexdigest() == report.kept_file.sha256
    assert (name, kind) == ("larkspur-report-1.pdf", "application/pdf")
    assert report.kept_file.sha256 in sent.body
    assert json.loads(LogLine.objects.get(did="email_report").body)["after"]["to"] == sent.to[0]


def test_role_and_competence_of_the_signer_are_told_and_neither_twice(house: House) -> None:
    report = make_report(house, make_record(house))
    assert report.signer_role.startswith("Competent person")
    assert report.signer_role.count("Competent person") == 1
    stagehand = signature_of(role="Stagehand", competence="Trained user until 2027-01-01")
    assert stagehand.standing == "Stagehand; Trained user until 2027-01-01"


def signature_of(*, role: str, competence: str) -> Signature:
    return Signature("Jonas", role, competence, "", "", "", "")


def test_a_mail_that_was_not_sent_is_not_logged_as_sent(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(message: object) -> None:
        raise ConnectionRefusedError("nobody listens")

    report = make_report(house, make_record(house))
    monkeypatch.setattr("django.core.mail.EmailMessage.send", refuse)
    with pytest.raises(NotSent, match="nobody listens"):
        email_report(report=report, to="ines@insurer.example", note="", by=house.odile, at=AT)
    assert not LogLine.objects.filter(did="email_report").exists()


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
