"""From a check filled on the pages to a sealed report and a bundle that verifies: the frozen
format that the report reads is the one the check writes."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from django.conf import settings
from django.utils import timezone
from pytest_django import Settings

from inspections.actions.export_evidence import export_evidence
from inspections.actions.issue_report import issue_report
from inspections.models import Record
from inspections.reports.words import MEANINGS
from tests.house import make_house
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.test_journey import check_rope
from venue.file_store import path_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


def test_a_check_filled_on_the_pages_is_reported_and_verifies(
    settings: Settings, tmp_path: Path
) -> None:
    settings.LOFTBOOK_FILES = tmp_path / "files"
    house, now = make_house(), timezone.now()
    check_rope(house, house.people["competent"], "0.2475 in", "6")
    report = issue_report(
        venue=house.venue, records=[Record.objects.get()], signer=house.people["competent"],
        meaning=MEANINGS[0], at=now,
    )  # fmt: skip
    text = " ".join(_text(report.kept_file.sha256).split())
    for said in (
        "W1 Winch W1", "line 1, Wire rope", "0.2475 in", "Construction 7x19",
        "Minimum breaking force Not known", "None of what was looked for", "Broken wires in one lay, in all zones",
        "A criterion to act is met", "Retire", "29 CFR", "Not used until cured",
        "Out of service from",
    ):  # fmt: skip
        assert said in text, said
    assert _verified(house, tmp_path).startswith("LOG OK")


def _text(sha256: str) -> str:
    pdf = path_of(Path(settings.LOFTBOOK_FILES), sha256)
    return said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-")


def _verified(house: object, folder: Path) -> str:
    now = timezone.now()
    today, out = now.astimezone(house.venue.zone).date(), folder / "evidence.zip"
    by = house.people["auditor"]
    made = export_evidence(venue=house.venue, start=today, end=today, out=out, by=by, at=now)
    assert made.missing == []
    with zipfile.ZipFile(out) as packed:
        packed.extractall(folder)
    script = next(folder.glob("bundle-*/verify_log.py"))
    done = subprocess.run(
        [sys.executable, "-I", script], capture_output=True, text=True, check=False
    )
    return done.stdout
