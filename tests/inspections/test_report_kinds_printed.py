"""A report of a kind as it leaves the house, read with a stranger's tools; a draft of another."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.conf import settings
from django.db import transaction

from inspections.actions.countersign_report import countersign_report
from inspections.actions.export_evidence import export_evidence
from inspections.actions.issue_report import CannotReport, MayNotSign, write_report
from inspections.actions.sign_kind import Wanted, sign_kind
from inspections.actions.venue_seal import venue_seal
from inspections.evidence import packing, verify_tables
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.whole import Known, check_evidence
from inspections.models import Report
from inspections.queries.evidence import Span
from inspections.queries.evidence_rows import TABLES, TALLIES
from inspections.reports.document import Document, document_of
from inspections.reports.words import AGREES
from tests.inspections.archive_profiles import breaches
from tests.inspections.kinds_house import (
    AT,
    EXAMINER_STATES,
    KINDS,
    LAST,
    chosen,
    drafted,
    make_hoist,
    make_kinds_house,
    signed,
    wanted,
)
from tests.inspections.outside_tools import said_by, signature_check, tool
from tests.inspections.season import unpacked_bundle
from venue.file_store import path_of
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any) -> Iterator[Any]:
    """Made once, and one report of it issued: these tests only look."""
    with django_db_blocker.unblock(), transaction.atomic():
        made = make_kinds_house()
        made.report = write_report(signing=signed(made, "annual_rigging", "competent"), at=AT)
        yield made
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def draft(house: Any, django_db_blocker: Any) -> Document:
    with django_db_blocker.unblock():
        return document_of(drafted(house, "thorough_exam"), "Letter", AT)


def pdf_of(report: Report, folder: Path) -> Path:
    path = folder / "report.pdf"
    path.write_bytes(path_of(Path(settings.LOFTBOOK_FILES), report.kept_file.sha256).read_bytes())
    return path


def text_of(pdf: Path) -> str:
    return said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-")


def joined(text: str) -> str:
    return " ".join(text.split())


def test_the_issued_report_is_sealed_and_a_stranger_finds_it_valid(
    house: Any, tmp_path: Path
) -> None:
    pdf = pdf_of(house.report, tmp_path)
    assert breaches(pdf) == []
    said = signature_check(pdf, venue_seal(house.venue, AT).root_pem, tmp_path)
    assert "Signature is Valid." in said
    assert "Certificate is Trusted." in said
    out = tmp_path / "record.json"
    said_by(tool("pdfdetach", "poppler-utils"), "-save", "1", "-o", out, pdf)
    assert hashlib.sha256(out.read_bytes()).hexdigest() == house.report.record_sha256
    told = json.loads(out.read_bytes())
    assert told["matter"]["kind"] == "annual_rigging"
    assert told["matter"]["kind_sha256"] == KINDS["annual_rigging"].hash
    assert told["matter"]["pieces"][0]["ropes"][0]["points"][2]["least_mm"] == "6.286"


def test_its_pages_show_dates_apart_and_no_word_of_a_draft(house: Any, tmp_path: Path) -> None:
    text = joined(text_of(pdf_of(house.report, tmp_path)))
    for words in (
        "Annual rigging inspection 1", "Examined Last on 3 July 2026", "Reported 3 July 2026, 19:00",
        "Signed 3 July 2026, 19:00", "by Competent",
        "Received Day, name and signature of whoever receives it:", "Next due",
        "None found of: imminent risk of serious injury", "Never measured in this position. That is not a pass.",
        "Not done; lawful until", "30 CFR 56.19024", "limit 6.208", "Records it rests on",
        "When in doubt, take the equipment out of service.",
    ):  # fmt: skip
        assert words in text, words
    assert "DRAFT" not in text


def test_curves_have_words_for_whoever_cannot_see_them_and_tables_have_heads(
    house: Any, tmp_path: Path
) -> None:
    with pikepdf.open(pdf_of(house.report, tmp_path)) as opened:
        things = [each for each in opened.objects if isinstance(each, pikepdf.Dictionary)]
        alts = [str(each.Alt) for each in things if each.get("/S") == "/Figure"]
        heads = [str(each.A.Scope) for each in things if each.get("/S") == "/TH"]
        fonts = [each for each in things if each.get("/Type") == "/FontDescriptor"]
        assert fonts
        assert all("/FontFile2" in each or "/FontFile3" in each for each in fonts)
    curves = [alt for alt in alts if "over time" in alt]
    assert len(curves) == 2
    assert curves[0].startswith("Least diameter of one rope over time")
    assert "from 6.477 mm on 4 May 2026 to 6.286 mm on 3 July 2026" in curves[0]
    assert "The limit that is drawn is 6.208 mm, for 30 CFR 56.19024, (g)." in curves[0]
    assert len(heads) > 30
    assert set(heads) == {"/Column", "/Row"}


def test_a_draft_says_so_on_every_page_and_names_each_item_that_nobody_stated(
    draft: Document, tmp_path: Path
) -> None:
    path = tmp_path / "draft.pdf"
    path.write_bytes(draft.pdf)
    assert breaches(path) == []
    pages = text_of(path).split("\f")[:-1]
    assert len(pages) >= 3
    assert all("DRAFT: not signed, not issued, not evidence" in page for page in pages)
    text = joined("".join(pages))
    told = json.loads(draft.record_json)["matter"]["items"]
    silent = [item["key"] for item in told if not item["said"]]
    assert set(silent) == {*EXAMINER_STATES, "signer", "reported_on"}
    # The signer and the day of the report are filled in by the signature.
    assert text.count("NOT STATED: must be completed by the competent") == len(silent) - 2 == 5
    assert text.count("Filled in by the signature") == 2
    assert len(told) == 20


def test_the_same_report_is_signed_once_a_day(house: Any) -> None:
    with pytest.raises(CannotReport, match="exactly this today: number 1"):
        signed(house, "annual_rigging", "competent")
    later = sign_kind(
        wanted=wanted(house, "annual_rigging"), signer=house.people["competent"],
        meaning=KINDS["annual_rigging"].meanings[0], at=AT + timedelta(days=1),
    )  # fmt: skip
    assert later.what == "annual_rigging"


def test_the_bundle_and_the_log_know_it_with_its_records(house: Any) -> None:
    (row,) = TABLES["reports"].rows(Span(house.venue, LAST, LAST), LAST)
    cells = dict(zip(TABLES["reports"].heading, row, strict=True))
    assert (cells["number"], cells["kind"], cells["signer"]) == (1, "annual_rigging", "Competent")
    records = {
        str(record.pk)
        for record in (
            *house.measured,
            house.unseen,
            house.locked,
            house.earlier,
            house.thorough,
        )
    }
    assert set(cells["records"].split()) == records
    line = LogLine.objects.get(did="issue_report")
    assert set(json.loads(line.body)["after"]["records"]) == records


def test_a_bundle_of_it_holds_in_every_point_and_has_the_file_of_its_kind(
    house: Any, tmp_path: Path
) -> None:
    with transaction.atomic():
        out = tmp_path / "evidence.zip"
        export_evidence(
            venue=house.venue, start=LAST - timedelta(days=90), end=LAST, out=out,
            by=house.people["manager"], at=AT, names=True,
        )  # fmt: skip
        bag = unpacked_bundle(out, tmp_path)
        root = certificate_in(venue_seal(house.venue, AT).root_pem)
        points = check_evidence(out, Known(root=root, tallies=TALLIES))
        transaction.set_rollback(True)
    assert [point for point in points if point.faults] == []
    assert "Competence of who signed" in {point.name for point in points}
    (kind,) = (bag / "data" / "rules" / "report-kinds").iterdir()
    assert hashlib.sha256(kind.read_bytes()).hexdigest() == KINDS["annual_rigging"].hash
    assert kind.name == f"annual_rigging-{KINDS['annual_rigging'].hash[:12]}.toml"
    kind.write_text(kind.read_text().replace("required = true", "required = false") + "\n")
    assert verify_tables.check(bag / "data")[0] == [
        f"rules/report-kinds/{kind.name}: not the file of that name"
    ]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_certification_record_is_one_page_with_all_that_was_asked_for(
    house: Any, tmp_path: Path, paper: str
) -> None:
    """Also one of a hoist with a hook that could not be seen, its signature and its place for another."""
    kind = KINDS["us_hook_record"]
    with transaction.atomic():
        asked = Wanted(kind, replace(chosen(house, kind.slug), record=make_hoist(house)))
        signer = house.people["competent"]
        content = sign_kind(wanted=asked, signer=signer, meaning=kind.own, at=AT).content
        transaction.set_rollback(True)
    path = tmp_path / "record.pdf"
    path.write_bytes(document_of(content, paper, AT).pdf)
    (page, _) = text_of(path).split("\f")
    for words in (
        "Examined", "Reported", "Signed", "Next due", "Received", "H-41 (CH-1, top hook)",
        "LC-7 (CH-1, chain Load chain)", "It was flown out.", "None of these is a pass.",
        "When in doubt, take the equipment out of service.", "I performed this inspection",
        "Countersignatures", "29 CFR 1910.179", "Page 1 of 1",
    ):  # fmt: skip
        assert words in joined(page), words
    sizes = hash_sizes(path)
    assert (
        len(sizes) == 6
    )  # record.json and again in the foot, the record, both certificates, the log
    assert min(sizes) >= 6.5, sizes


def hash_sizes(path: Path) -> list[float]:
    """In points, of each SHA-256 that stands in one piece. The report's fonts are 1.362 high."""
    said = said_by(tool("pdftotext", "poppler-utils"), "-bbox", path, "-")
    words = re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">[0-9a-f]{64}<', said)
    return [(float(bottom) - float(top)) / 1.362 for top, bottom in words]


def test_a_kind_that_has_another_edition_now_is_said_to_be_missing(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = replace(KINDS["annual_rigging"], hash="0" * 64)
    monkeypatch.setattr(packing, "report_kinds", lambda: {"annual_rigging": newer})
    packed = packing.Packed()
    packing._report_kinds(None, Span(house.venue, LAST, LAST), packed)  # type: ignore[arg-type]
    (gap,) = packed.missing
    assert gap["file"].startswith("rules/report-kinds/annual_rigging-")
    assert "another edition" in gap["why"]


def test_a_second_competent_person_countersigns_it(house: Any, tmp_path: Path) -> None:
    """Also where the records are of a higher level than the report itself."""
    with transaction.atomic():
        row = countersign_report(
            report=house.report, signer=house.people["second"], meaning=AGREES,
            at=AT + timedelta(hours=1),
        )  # fmt: skip
        pdf = tmp_path / "countersigned.pdf"
        pdf.write_bytes(path_of(Path(settings.LOFTBOOK_FILES), row.kept_file.sha256).read_bytes())
        with pytest.raises(MayNotSign, match="No competence as a competent person"):
            countersign_report(
                report=house.report, signer=house.people["stagehand"], meaning=AGREES, at=AT
            )
        transaction.set_rollback(True)
    said = signature_check(pdf, venue_seal(house.venue, AT).root_pem, tmp_path)
    assert said.count("Signature is Valid.") == 2
