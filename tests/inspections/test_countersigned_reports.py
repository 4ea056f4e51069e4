"""A second and a third person sign an issued report; every byte that was there stays."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from inspections.actions import countersign_report as acting
from inspections.actions.change_seal import Revoking, revoke_seal
from inspections.actions.countersign_report import CannotCountersign, countersign_report
from inspections.actions.issue_report import MayNotSign, issue_report
from inspections.actions.venue_seal import venue_seal
from inspections.evidence.checking.checked import all_hold
from inspections.evidence.checking.papers import check_paper
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.trust import Trust
from inspections.evidence.checking.whole import check_evidence
from inspections.models import Countersignature, Report, SealCertificate
from inspections.queries.issued_reports import newest_file
from inspections.reports.content import Report as Content
from inspections.reports.document import Document
from inspections.reports.words import AGREES, COUNTER_MEANINGS, MEANINGS
from tests.inspections.archive_profiles import breaches
from tests.inspections.outside_tools import said_by, signature_check, tool
from tests.inspections.proof_house import AT, House, make_proof_house, make_record
from tests.inspections.sealed_papers import pdf_with_places, plain_pdf
from tests.inspections.season import tell_competences
from tests.inspections.test_bundle import make_bundle, run, table
from tests.inspections.test_verify_evidence import known_of, packed, wrong
from venue.file_store import path_of
from venue.log_hash import canonical, sha256_of
from venue.models import Competence, KeptFile, LogLine, Person

pytestmark = pytest.mark.django_db
SEEN = COUNTER_MEANINGS[1]


@pytest.fixture
def house(settings: Settings, tmp_path: Path) -> House:
    settings.LOFTBOOK_FILES, settings.LOFTBOOK_KEYS = tmp_path / "files", tmp_path / "keys"
    return make_proof_house()


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reports of one empty page with places: what is signed, not what is printed, counts here."""

    def made(content: Content, *_: object) -> Document:
        record = canonical(content.to_dict())
        return Document(pdf_with_places(), record, sha256_of(record))

    monkeypatch.setattr("inspections.actions.issue_report.document_of", made)


def make_report(house: House) -> Report:
    record = make_record(house, answers=[])
    return issue_report(
        venue=house.venue, records=[record], signer=house.tam, meaning=MEANINGS[0], at=AT
    )


def countersign(report: Report, person: Person, meaning: str = SEEN) -> Countersignature:
    return countersign_report(report=report, signer=person, meaning=meaning, at=AT)


def bytes_of(kept: KeptFile) -> bytes:
    return path_of(Path(settings.LOFTBOOK_FILES), kept.sha256).read_bytes()


def test_both_signatures_hold_on_the_printed_report_and_it_keeps_its_archive_profile(
    house: House, tmp_path: Path
) -> None:
    report = make_report(house)
    row = countersign(report, house.odile)
    before, after = bytes_of(report.kept_file), bytes_of(row.kept_file)
    assert after.startswith(before)
    pdf, seal = tmp_path / "report.pdf", venue_seal(house.venue, AT)
    pdf.write_bytes(after)
    assert breaches(pdf) == []
    said = signature_check(pdf, seal.root_pem, tmp_path)
    assert said.count("Signature is Valid.") == said.count("Certificate is Trusted.") == 2
    assert said.count(" Total document signed") == 1
    assert f"Common Name: {house.odile.name}, for The Larkspur" in said
    assert len(list((tmp_path / "keys").rglob("*.key"))) == 2  # the root's and the seal's, no more
    found = check_paper("The report", after, Trust(certificate_in(seal.root_pem)))
    assert found.faults == ()
    assert f"Countersignature1: {house.odile.name}" in found.words
    shown = said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-")
    assert f"Countersigned by {house.odile.name}" in shown
    assert "Role: Facilities manager" in shown
    assert f"Meaning: {SEEN}" in shown
    assert "Time: 2026-02-10 09:30:00 +0000 (Europe/London)" in shown
    fonts = said_by(tool("pdffonts", "poppler-utils"), pdf).splitlines()[2:-1]
    assert all(" yes yes yes " in line for line in fonts if line.strip()), fonts
    assert "No syntax or stream encoding errors" in said_by(tool("qpdf", "qpdf"), "--check", pdf)


def test_whoever_agrees_needs_the_competence_and_nobody_signs_twice(
    house: House, small: None
) -> None:
    report = make_report(house)
    for person, meaning, refusal, words in (
        (house.tam, SEEN, CannotCountersign, "You signed this report yourself"),
        (house.odile, AGREES, MayNotSign, "You cannot sign this report"),
        (house.odile, " ", CannotCountersign, "Say what"),
        (house.stranger, SEEN, CannotCountersign, "no role"),
    ):
        with pytest.raises(refusal, match=words):
            countersign(report, person, meaning)
    assert not Countersignature.objects.exists()
    Competence.objects.create(
        person=house.odile, venue=house.venue, level="competent_person", certificate="Card 7",
        issued_by="College", valid_from=date(2025, 1, 1), expires_on=date(2027, 1, 1),
    )  # fmt: skip
    row = countersign(report, house.odile, AGREES)
    assert row.signer_role == "Facilities manager; Competent person, Card 7, valid until 2027-01-01"
    with pytest.raises(CannotCountersign, match="already"):
        countersign(report, house.odile)
    line = LogLine.objects.get(did="countersign_report")
    assert line.by == house.odile
    assert house.odile.name not in line.body  # by reference only
    assert row.kept_file.sha256 in line.body
    assert report.kept_file.sha256 in line.body


def test_three_fit_and_an_old_report_without_places_takes_none(
    house: House, small: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    report = make_report(house)
    for person in (house.odile, house.priya, house.ines):
        countersign(report, person)
    last = newest_file(report)
    found = check_paper(
        "The report", bytes_of(last), Trust(certificate_in(venue_seal(house.venue, AT).root_pem))
    )
    assert found.faults == ()
    assert found.words.startswith("Signatures: 4;")
    monkeypatch.setattr(acting, "free_places", lambda _: ["ReportSeal"])
    other = Person.objects.create_user("x@larkspur.example", "Extra", "x")
    house.venue.memberships.create(person=other, role="competent", since=date(2024, 1, 1))
    with pytest.raises(CannotCountersign, match="no place left"):
        countersign(report, other)


def test_a_file_that_is_not_the_one_that_was_logged_is_not_signed(
    house: House, small: None
) -> None:
    report = make_report(house)
    path = path_of(Path(settings.LOFTBOOK_FILES), report.kept_file.sha256)
    path.chmod(0o600)
    path.write_bytes(plain_pdf())
    with pytest.raises(CannotCountersign, match="not the one that was issued"):
        countersign(report, house.odile)
    assert not Countersignature.objects.exists()


def test_of_two_at_the_same_moment_one_is_asked_to_try_again(
    house: House, small: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    report = make_report(house)
    signed = acting._signed

    def meanwhile(*known: object) -> bytes:
        monkeypatch.setattr(acting, "_signed", signed)
        countersign(report, house.priya)
        return signed(*known)  # type: ignore[arg-type]

    monkeypatch.setattr(acting, "_signed", meanwhile)
    with pytest.raises(CannotCountersign, match="same moment"):
        countersign(report, house.odile)
    assert Countersignature.objects.get().signer == house.priya


def test_pages_download_and_the_public_page_tell_of_both(house: House, small: None) -> None:
    report = make_report(house)
    page = reverse("countersign_report", args=["larkspur", report.number])
    ines, odile = Client(), Client()
    ines.force_login(house.ines)
    odile.force_login(house.odile)
    assert ines.post(page, {"meaning": SEEN}).status_code == 403
    text = odile.get(page).content.decode()
    assert "What each way to sign means in law" in text
    refused = odile.post(page, {"meaning": AGREES})
    assert "You cannot sign this report" in refused.content.decode()
    assert odile.post(page, {"meaning": SEEN}).status_code == 302
    row = Countersignature.objects.get()
    shown = odile.get(reverse("report", args=["larkspur", report.number])).content.decode()
    public = Client().get(f"/verify/{report.record_sha256}/").content.decode()
    for each in (shown, public):
        assert row.kept_file.sha256 in each
        assert report.kept_file.sha256 in each
        assert house.odile.name in each
        assert SEEN in each
    assert "The seal of this report is revoked" not in shown + public
    venue_seal(house.venue, AT)
    revoking = Revoking("key_compromise", "A stolen backup.", AT)
    revoke_seal(seal=SealCertificate.objects.get(), revoking=revoking, by=house.odile, at=AT)
    shown = odile.get(reverse("report", args=["larkspur", report.number])).content.decode()
    assert "The seal of this report is revoked" in shown
    pdf = odile.get(reverse("report_pdf", args=["larkspur", report.number]))
    assert pdf.getvalue() == bytes_of(row.kept_file)


def test_a_bundle_holds_every_stage_and_misses_a_countersignature_that_is_left_out(
    house: House, small: None, tmp_path: Path
) -> None:
    report = make_report(house)
    row = countersign(report, house.odile)
    tell_competences(house)
    bag = make_bundle(house, tmp_path)
    (told,) = table(bag, "countersignatures")
    assert told["signer"] == house.odile.name
    assert (bag / "data" / told["file"]).read_bytes() == bytes_of(row.kept_file)
    for script in ("verify_log.py", "verify_complete.py", "verify_tables.py"):
        assert run(f"python3 -I {script}", bag).returncode == 0
    assert all_hold(check_evidence(packed(bag), known_of(house)))
    path = bag / "data" / told["file"]
    whole = path.read_bytes()
    path.write_bytes(bytes_of(report.kept_file))  # rolled back to the first signature
    assert "The log" in wrong(check_evidence(packed(bag), known_of(house)))
    path.unlink()
    assert "is not here" in run("python3 -I verify_log.py", bag).stdout
    path.write_bytes(whole)
    rows = bag / "data" / "countersignatures.csv"
    rows.write_bytes(rows.read_bytes().splitlines(keepends=True)[0])
    assert "in the log" in run("python3 -I verify_complete.py", bag).stdout
    rows.unlink()
    assert "in the log" in run("python3 -I verify_complete.py", bag).stdout
