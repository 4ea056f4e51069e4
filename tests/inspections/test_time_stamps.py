"""Reports and bundles carry the time stamp of an authority where one was set up, and openssl, which
also answers as the authority, says that it holds."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from pytest_django import Settings

from inspections.actions.export_evidence import ExportFailed
from inspections.actions.issue_report import issue_report
from inspections.actions.venue_seal import venue_seal
from inspections.evidence.checking.whole import check_evidence
from inspections.models import Report
from inspections.reports.time_stamps import Authority, NotStamped, token_over
from inspections.reports.words import MEANINGS
from tests.inspections.archive_profiles import breaches
from tests.inspections.outside_tools import signature_check, tool
from tests.inspections.own_authority import answering, make_authority
from tests.inspections.proof_house import AT, House, make_proof_house, make_record
from tests.inspections.season import make_bundle, readme_commands, run, tell_competences
from tests.inspections.test_verify_evidence import known_of, packed
from venue.file_store import path_of
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def authority(tmp_path: Path) -> Iterator[Path]:
    tool("openssl", "openssl")
    folder = make_authority(tmp_path / "authority")
    with answering(folder) as address:
        (folder / "address").write_text(address)
        yield folder


@pytest.fixture
def house(settings: Settings, authority: Path, tmp_path: Path) -> House:
    settings.LOFTBOOK_FILES = tmp_path / "files"
    settings.LOFTBOOK_TIME_STAMPS = (authority / "address").read_text()
    settings.LOFTBOOK_TIME_STAMP_ROOT = str(authority / "root.pem")
    return make_proof_house()


def make_report(house: House) -> Report:
    return issue_report(
        venue=house.venue, records=[make_record(house)], signer=house.tam, meaning=MEANINGS[0],
        at=AT,
    )  # fmt: skip


def test_openssl_says_that_a_token_is_over_these_bytes_and_no_others(
    authority: Path, tmp_path: Path
) -> None:
    content, token = tmp_path / "content", tmp_path / "token.tst"
    content.write_bytes(b"what existed")
    token.write_bytes(token_over(b"what existed", Authority((authority / "address").read_text())))
    command = ["openssl", "ts", "-verify", "-token_in", "-in", token, "-CAfile",
               authority / "root.pem", "-data", content]  # fmt: skip
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    content.write_bytes(b"what existed later")
    assert subprocess.run(command, capture_output=True, check=False).returncode != 0


def test_a_report_carries_the_stamp_in_its_signature_and_stays_valid(
    house: House, tmp_path: Path
) -> None:
    report = make_report(house)
    kept = path_of(Path(settings.LOFTBOOK_FILES), report.kept_file.sha256)
    pdf = tmp_path / "report.pdf"
    pdf.write_bytes(kept.read_bytes())
    assert breaches(pdf) == []
    said = signature_check(pdf, venue_seal(house.venue, AT).root_pem, tmp_path)
    assert "Signature is Valid." in said
    assert "Certificate is Trusted." in said
    assert "Total document signed" in said
    assert _cms_of(pdf).count(b"\x06\x0b\x2a\x86\x48\x86\xf7\x0d\x01\x09\x10\x02\x0e") == 1


def _cms_of(pdf: Path) -> bytes:
    """The signature's own bytes; in them the object identifier of RFC 3161, appendix A:
    id-aa-timeStampToken, 1.2.840.113549.1.9.16.2.14."""
    found = re.search(rb"/Contents\s*<([0-9a-fA-F]+)>", pdf.read_bytes())
    assert found
    return bytes.fromhex(found[1].decode())


def test_a_bundle_carries_the_stamp_and_its_readme_has_the_command(
    house: House, tmp_path: Path
) -> None:
    make_report(house)
    tell_competences(house)
    bundle = make_bundle(house, tmp_path)
    command = next(line for line in readme_commands(bundle) if "ts -verify" in line)
    said = run(command, bundle)
    assert "Verification: OK" in said.stdout + said.stderr
    points = {point.name: point for point in check_evidence(packed(bundle), known_of(house))}
    assert points.pop("New roots").verdict == "not checked"
    assert {point.verdict for point in points.values()} == {"holds"}
    assert "by Time stamps of the tests" in points["The time stamp"].words


def test_a_stamp_over_something_else_does_not_hold(house: House, tmp_path: Path) -> None:
    bundle = make_bundle(house, tmp_path)
    other = token_over(b"something else", Authority(settings.LOFTBOOK_TIME_STAMPS))
    (bundle / "signatures" / "tagmanifest-sha256.txt.tst").write_bytes(other)
    points = {point.name: point for point in check_evidence(packed(bundle), known_of(house))}
    assert points["The time stamp"].faults == ("It was made of something else.",)
    command = next(line for line in readme_commands(bundle) if "ts -verify" in line)
    assert run(command, bundle).returncode != 0


def test_without_the_authoritys_answer_nothing_is_sealed(
    house: House, tmp_path: Path, settings: Settings
) -> None:
    settings.LOFTBOOK_TIME_STAMPS = "http://127.0.0.1:9/"
    with pytest.raises(NotStamped, match="did not answer"):
        make_report(house)
    assert not Report.objects.exists()
    with pytest.raises(ExportFailed, match="did not answer"):
        make_bundle(house, tmp_path)
    assert not LogLine.objects.filter(did="export_evidence").exists()


def test_an_answer_that_is_no_time_stamp_is_refused(house: House) -> None:
    authority = Authority(settings.LOFTBOOK_TIME_STAMPS)
    with pytest.raises(NotStamped, match="is no time stamp"):
        authority._read(b"<html>Not here</html>")
