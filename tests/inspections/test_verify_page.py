"""Anybody may have a report or a bundle checked, without an account; nothing is kept of it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import Settings

from inspections.forms_verify import LARGEST
from inspections.models import Report
from inspections.queries import handed_in
from inspections.reports.keys import seal_of
from tests.inspections.proof_house import House
from tests.inspections.test_verify_evidence import packed
from venue.file_store import path_of
from venue.models import KeptFile, LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def house(season: House) -> House:
    return season


def report_of(house: House) -> bytes:
    kept = Report.objects.get(venue=house.venue).kept_file
    return path_of(Path(settings.LOFTBOOK_FILES), kept.sha256).read_bytes()


def hand_in(content: bytes, name: str = "file.pdf", **more: str) -> Any:
    return Client().post("/verify/", {"file": SimpleUploadedFile(name, content), **more})


def said(response: Any) -> str:
    return " ".join(response.content.decode().split())


def test_a_report_of_this_book_holds_against_its_root(house: House) -> None:
    text = said(hand_in(report_of(house)))
    assert "Nothing is wrong with it." in text
    assert "held against the root certificates of this installation" in text
    assert "come first" in text


def test_a_changed_report_does_not_hold_and_says_why(house: House) -> None:
    content = bytearray(report_of(house))
    content[2000] ^= 1
    text = said(hand_in(bytes(content)))
    assert "Something does not hold." in text
    assert "the signed bytes were changed" in text


def test_a_bundle_is_checked_with_the_head_that_was_kept(house: House, bundle: Path) -> None:
    whole = packed(bundle).read_bytes()
    assert "Nothing is wrong with it." in said(hand_in(whole, "evidence.zip"))
    other = f"3 {'0' * 64}"
    text = said(hand_in(whole, "evidence.zip", kept=other))
    assert "the log does not begin with the 3 lines of the head you kept" in text
    assert "64 letters and digits" in said(hand_in(whole, "evidence.zip", kept="three"))


def test_a_bundle_of_another_installation_is_held_against_its_own_root(
    house: House, bundle: Path, tmp_path: Path, settings: Settings
) -> None:
    whole = packed(bundle).read_bytes()
    settings.LOFTBOOK_KEYS = tmp_path / "elsewhere"
    seal_of(settings.LOFTBOOK_KEYS, "x", "X", "Y", b"z", datetime(2026, 1, 1, tzinfo=UTC))
    text = said(hand_in(whole, "evidence.zip"))
    assert "No root certificate of this installation fits" in text
    assert "Whoever made this file chose it" in text


@pytest.mark.parametrize("content", [b"hello", b"%PDF-1.7 no more", b"PK\x03\x04 no more", b"\0"])
def test_what_is_no_evidence_gets_a_sentence_and_no_crash(house: House, content: bytes) -> None:
    text = said(hand_in(content))
    assert "neither an evidence bundle" in text or "Something does not hold." in text


def test_a_report_where_no_venue_has_a_seal_yet_gets_a_sentence(
    house: House, tmp_path: Path, settings: Settings
) -> None:
    content = report_of(house)
    settings.LOFTBOOK_KEYS = tmp_path / "none"
    assert "Give the venue&#x27;s root certificate with it" in said(hand_in(content))


def test_nothing_is_kept_and_nothing_is_logged(house: House) -> None:
    before = (KeptFile.objects.count(), LogLine.objects.count())
    hand_in(report_of(house))
    assert (KeptFile.objects.count(), LogLine.objects.count()) == before


def test_one_file_at_a_time_and_the_next_is_asked_to_wait(house: House) -> None:
    assert handed_in.ONE_AT_A_TIME.acquire(blocking=False)
    try:
        answer = hand_in(report_of(house))
    finally:
        handed_in.ONE_AT_A_TIME.release()
    assert answer.status_code == 503
    assert "Try again in a moment" in said(answer)
    assert "Nothing is wrong with it." in said(hand_in(report_of(house)))


def test_a_file_too_large_is_refused_before_it_is_read(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert LARGEST == 256 << 20
    monkeypatch.setattr("inspections.forms_verify.LARGEST", 10)
    assert "larger than 256 MB" in said(hand_in(b"%PDF-1.7 and more"))


def test_the_code_on_a_report_leads_to_what_this_book_knows_of_it(house: House) -> None:
    report = Report.objects.get(venue=house.venue)
    answer = Client().get(f"/verify/{report.record_sha256}/")
    assert answer.status_code == 200
    assert report.kept_file.sha256 in said(answer)
    assert report.signer_name in said(answer)
    unknown = Client().get(f"/verify/{'0' * 64}/")
    assert unknown.status_code == 404
    assert "This book knows no such report" in said(unknown)
