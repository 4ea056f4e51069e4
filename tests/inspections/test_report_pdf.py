"""The usual report of a check, as whoever gets it finds it: signed, whole, and with its record in it.

It is made once; every test looks at the same one. What differs from it is in test_report_issued.py.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.core import mail
from django.test import override_settings
from pytest_django import Settings

from inspections.actions.email_report import NotSent, email_report
from inspections.actions.venue_seal import venue_seal
from inspections.models import Record, Report
from inspections.reports.content import Signature
from tests.inspections.archive_profiles import breaches
from tests.inspections.outside_tools import said_by, signature_check, tool
from tests.inspections.proof_house import (
    AT,
    House,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
)
from tests.inspections.test_report_issued import MEANING, joined, make_report, pdf_of, text_of
from tests.shared_rows import rows_of_a_file
from venue.log_hash import sha256_of
from venue.models import KeptFile, KeptName, LogHead, LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@dataclass(frozen=True)
class Usual:
    """The report of one check with a finding, the next one planned for March; `head`: the log before it."""

    house: House
    record: Record
    report: Report
    head: LogHead


@pytest.fixture(scope="module")
def rows(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Path, Usual]]:
    files = tmp_path_factory.mktemp("files")
    with rows_of_a_file(django_db_blocker):
        with django_db_blocker.unblock(), override_settings(LOFTBOOK_FILES=files):
            made = make_usual()
        yield files, made


def make_usual() -> Usual:
    house = make_proof_house()
    make_task(house, 2, date(2026, 3, 10))
    record = make_record(house)
    make_finding(house, record)
    venue_seal(house.venue, AT)  # made and noted before
    head = LogHead.objects.get(venue=house.venue)
    return Usual(house, record, make_report(house, record), head)


@pytest.fixture
def usual(rows: tuple[Path, Usual], db: None, settings: Settings) -> Usual:
    """Nothing in its folder of files is changed here."""
    settings.LOFTBOOK_FILES = rows[0]
    return deepcopy(rows[1])


def test_a_stranger_finds_the_signature_valid_and_trusted(usual: Usual, tmp_path: Path) -> None:
    said = signature_check(
        pdf_of(usual.report, tmp_path), venue_seal(usual.house.venue, AT).root_pem, tmp_path
    )
    assert "Signature is Valid." in said
    assert "Certificate is Trusted." in said
    assert "Total document signed" in said
    assert "ETSI.CAdES.detached" in said
    assert "Feb 10 2026 09:30:00" in said


def test_one_changed_byte_is_a_digest_mismatch(usual: Usual, tmp_path: Path) -> None:
    pdf = pdf_of(usual.report, tmp_path)
    content = bytearray(pdf.read_bytes())
    content[len(content) // 3] ^= 1
    pdf.write_bytes(content)
    said = signature_check(pdf, venue_seal(usual.house.venue, AT).root_pem, tmp_path)
    assert "Digest Mismatch" in said
    assert "Signature is Valid" not in said


def test_the_file_is_well_formed_and_every_font_is_embedded(usual: Usual, tmp_path: Path) -> None:
    pdf = pdf_of(usual.report, tmp_path)
    assert "No syntax or stream encoding errors" in said_by(tool("qpdf", "qpdf"), "--check", pdf)
    lines = said_by(tool("pdffonts", "poppler-utils"), pdf).splitlines()
    fonts = [line.split() for line in lines if "Identity-H" in line]
    assert len(fonts) >= 3
    # Columns from the right: object number and generation, unicode, subset, embedded.
    assert {tuple(font[-5:-2]) for font in fonts} == {("yes", "yes", "yes")}


def test_the_attached_record_has_the_hash_that_is_printed_on_every_page(
    usual: Usual, tmp_path: Path
) -> None:
    pdf, out = pdf_of(usual.report, tmp_path), tmp_path / "record.json"
    said_by(tool("pdfdetach", "poppler-utils"), "-save", "1", "-o", out, pdf)
    printed = hashlib.sha256(out.read_bytes()).hexdigest()
    assert printed == usual.report.record_sha256
    pages = text_of(pdf).split("\f")[:-1]
    assert len(pages) >= 3
    assert all(printed in page for page in pages)
    assert all(f"Page {number} of {len(pages)}" in page for number, page in enumerate(pages, 1))


def test_a_validator_finds_the_file_to_be_the_archive_and_the_accessible_file_it_claims_to_be(
    usual: Usual, tmp_path: Path
) -> None:
    pdf = pdf_of(usual.report, tmp_path)
    assert breaches(pdf) == []
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


def test_the_page_says_who_what_when_and_what_was_not_decided(usual: Usual, tmp_path: Path) -> None:
    text = joined(text_of(pdf_of(usual.report, tmp_path)))
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


def test_findings_and_what_was_not_decided_come_before_the_long_list_of_checks(
    usual: Usual, tmp_path: Path
) -> None:
    text = joined(text_of(pdf_of(usual.report, tmp_path)))
    places = [text.index(head) for head in (
        "Who and when", "Findings and orders", "Not looked at", "What was checked", "Rope: line 3"
    )]  # fmt: skip
    assert places == sorted(places)


def test_the_record_json_carries_the_frozen_body_and_witnesses_the_log(usual: Usual) -> None:
    said = json.loads(usual.report.record_json)
    assert sha256_of(said["sheets"][0]["record_body"]) == usual.record.sha256
    assert said["log"] == {"size": str(usual.head.size), "root": usual.head.root}
    assert said["signature"]["name"] == "Tam Achterberg"
    assert "\U0001f44d" in said["sheets"][0]["answers"][3]["reason"]


def test_photographs_are_in_the_file_byte_for_byte_with_their_hash(
    usual: Usual, tmp_path: Path
) -> None:
    pdf = pdf_of(usual.report, tmp_path)
    said_by(tool("pdfimages", "poppler-utils"), "-all", pdf, tmp_path / "picture")
    hashes = {hashlib.sha256(path.read_bytes()).hexdigest() for path in tmp_path.glob("picture*")}
    shown = KeptFile.objects.get(what="photograph").shown_sha256
    assert shown in hashes
    # The caption may be broken over two lines.
    assert shown in re.sub(r"\s", "", text_of(pdf))


def test_the_log_line_carries_the_hash_of_the_file(usual: Usual) -> None:
    kept = LogLine.objects.get(did="issue_report")
    line = json.loads(kept.body)
    assert line["after"]["pdf_sha256"] == usual.report.kept_file.sha256
    assert line["after"]["record_sha256"] == usual.report.record_sha256
    assert line["after"]["records"] == [str(usual.record.pk)]
    assert line["by"] == KeptName.objects.get(person=kept.by).reference
    assert kept.by.name == "Tam Achterberg"


def test_a_report_is_mailed_with_its_hash_and_logged(usual: Usual) -> None:
    email_report(
        report=usual.report,
        to="ines@insurer.example",
        note="As asked.",
        by=usual.house.odile,
        at=AT,
    )
    sent = mail.outbox[0]
    name, content, kind = sent.attachments[0]
    assert sent.to == ["ines@insurer.example"]
    assert hashlib.sha256(content).hexdigest() == usual.report.kept_file.sha256
    assert (name, kind) == ("larkspur-report-1.pdf", "application/pdf")
    assert usual.report.kept_file.sha256 in sent.body
    to = json.loads(LogLine.objects.get(did="email_report").body)["after"]["to"]
    assert KeptName.objects.get(reference=to).said == sent.to[0]


def test_role_and_competence_of_the_signer_are_told_and_neither_twice(usual: Usual) -> None:
    assert usual.report.signer_role.startswith("Competent person")
    assert usual.report.signer_role.count("Competent person") == 1
    stagehand = signature_of(role="Stagehand", competence="Trained user until 2027-01-01")
    assert stagehand.standing == "Stagehand; Trained user until 2027-01-01"


def signature_of(*, role: str, competence: str) -> Signature:
    return Signature("Jonas", role, competence, "", "", "", "")


def test_a_mail_that_was_not_sent_is_not_logged_as_sent(
    usual: Usual, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(message: object) -> None:
        raise ConnectionRefusedError("nobody listens")

    monkeypatch.setattr("django.core.mail.EmailMessage.send", refuse)
    with pytest.raises(NotSent, match="nobody listens"):
        email_report(
            report=usual.report, to="ines@insurer.example", note="", by=usual.house.odile, at=AT
        )
    assert not LogLine.objects.filter(did="email_report").exists()
