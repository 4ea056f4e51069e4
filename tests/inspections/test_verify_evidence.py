"""Whoever hands in a bundle or a report is told, point by point, what holds and what does not."""

from __future__ import annotations

import json
import stat
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from inspections.actions.venue_seal import venue_seal
from inspections.evidence.checking.checked import Checked, all_hold, guarded
from inspections.evidence.checking.opened import CannotOpen, unpacked
from inspections.evidence.checking.papers import BROKEN
from inspections.evidence.checking.seals import certificate_in, check_seal
from inspections.evidence.checking.whole import Known, NotEvidence, _trust_in, check_evidence
from inspections.queries.evidence_rows import TALLIES
from inspections.reports.keys import seal_of
from tests.inspections.proof_house import House

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def house(season: House) -> House:
    return season


def known_of(house: House) -> Known:
    seal = venue_seal(house.venue, timezone.now())
    return Known(root=certificate_in(seal.root_pem), tallies=TALLIES)


def wrong(points: list[Checked]) -> set[str]:
    return {point.name for point in points if point.verdict == "does not hold"}


def packed(bag: Path) -> Path:
    out = bag.parent / "again.zip"
    with zipfile.ZipFile(out, "w") as bundle:
        for path in sorted(bag.rglob("*")):
            if path.is_file():
                bundle.write(path, str(path.relative_to(bag.parent)))
    return out


@pytest.fixture
def bag(bundle: Path) -> Path:
    return bundle


def test_everything_holds_of_a_bundle_as_it_was_made(house: House, bag: Path) -> None:
    points = check_evidence(packed(bag), known_of(house))
    assert [point.name for point in points] == [
        "The layout", "The root certificate", "New roots", "The seal", "Revocations", "The time stamp",
        "About the bundle", "The data", "Nothing added", "Complete", "The log", "Nothing left out",
        "The tables", "Signatures of checks", "Competence of who signed",
        "Report report-1.pdf",
    ]  # fmt: skip
    not_holding = {point.name: point.verdict for point in points if point.verdict != "holds"}
    assert not_holding == {"New roots": "not checked", "The time stamp": "not checked"}


def test_without_the_root_from_elsewhere_nothing_shows_who_made_it(bag: Path) -> None:
    points = check_evidence(packed(bag), Known(tallies=TALLIES))
    root = next(point for point in points if point.name == "The root certificate")
    assert root.verdict == "not checked"
    assert "Whoever made this file chose it" in root.words


def test_a_fingerprint_is_compared_however_it_is_written(house: House, bag: Path) -> None:
    seal = venue_seal(house.venue, timezone.now())
    text = " ".join(seal.root_fingerprint.upper()[i : i + 2] for i in range(0, 64, 2))
    assert all_hold(check_evidence(packed(bag), Known(fingerprint=text, tallies=TALLIES)))
    other = Known(fingerprint="00" * 32, tallies=TALLIES)
    assert wrong(check_evidence(packed(bag), other)) == {"The root certificate"}


def test_another_venues_seal_is_not_this_venues(house: House, bag: Path, tmp_path: Path) -> None:
    other = seal_of(
        tmp_path / "keys", "larkspur", house.venue.name, house.venue.organisation.name, b"x",
        timezone.now(),
    )  # fmt: skip
    points = check_evidence(packed(bag), Known(root=certificate_in(other.root_pem)))
    assert {"The seal", "Report report-1.pdf"} <= wrong(points)


def test_a_bit_of_the_list_of_hashes_before_the_seal_is_a_fault(house: House, bag: Path) -> None:
    path = bag / "signatures" / "tagmanifest-sha256.txt.p7s"
    content = bytearray(path.read_bytes())
    sha_256 = bytes.fromhex("0609608648016503040201")  # 2.16.840.1.101.3.4.2.1, its first time
    place = content.index(sha_256) + 4
    content[place] ^= 1 << 5
    path.write_bytes(content)
    assert wrong(check_evidence(packed(bag), known_of(house))) == {"The seal"}


def test_no_bit_of_what_sort_of_key_the_seal_is_made_with_crashes_the_check(
    house: House, bag: Path
) -> None:
    """Found by a random change: the library that reads keys has a word of its own for one that it
    does not know."""
    path, trust = bag / "signatures" / "tagmanifest-sha256.txt.p7s", _trust_in(bag, known_of(house))
    whole, sort = path.read_bytes(), bytes.fromhex("06072a8648ce3d0201")  # 1.2.840.10045.2.1
    curve = bytes.fromhex("06082a8648ce3d030107")  # 1.2.840.10045.3.1.7, after it
    place, said = whole.index(sort + curve), set[str]()
    for bit in range(8 * len(sort + curve)):
        content = bytearray(whole)
        content[place + bit // 8] ^= 1 << bit % 8
        path.write_bytes(content)
        seal = guarded("The seal", lambda: check_seal(bag, trust), BROKEN)
        assert seal.verdict == "does not hold", bit
        said |= set(seal.faults)
    assert any("not supported" in fault for fault in said)
    path.write_bytes(whole)


def test_a_row_taken_out_is_named_by_the_sums_the_counts_and_the_log(
    house: House, bag: Path
) -> None:
    findings = bag / "data" / "findings.csv"
    findings.write_bytes(b"".join(findings.read_bytes().splitlines(keepends=True)[:1]))
    points = check_evidence(packed(bag), known_of(house))
    assert {"The data", "Complete", "The layout"} <= wrong(points)
    data = next(point for point in points if point.name == "The data")
    assert data.faults == ("data/findings.csv was changed.",)


def test_a_record_left_out_is_missed_though_every_sum_is_right(house: House, bag: Path) -> None:
    """Whoever holds the seal could leave out a record; the log would still tell of it."""
    records = bag / "data" / "records.csv"
    lines = records.read_bytes().splitlines(keepends=True)
    assert len(lines) == 2
    records.write_bytes(lines[0])
    points = check_evidence(packed(bag), known_of(house))
    left_out = next(point for point in points if point.name == "Nothing left out")
    assert "is in the log (line 1) and not in the table" in left_out.faults[0]


@pytest.mark.parametrize("name", ["bag-info.txt", "data/log.jsonl", "data/completeness.json"])
def test_a_file_that_is_gone_or_broken_is_a_fault_and_no_crash(
    house: House, bag: Path, name: str
) -> None:
    (bag / name).write_bytes(b"\xff\xfe{")
    assert wrong(check_evidence(packed(bag), known_of(house)))
    (bag / name).unlink()
    assert wrong(check_evidence(packed(bag), known_of(house)))


def test_a_report_alone_holds_against_the_venues_root_and_against_no_other(
    house: House, bag: Path
) -> None:
    pdf = bag / "data" / "reports" / "report-1.pdf"
    assert all_hold(check_evidence(pdf, known_of(house)))
    with pytest.raises(NotEvidence, match="root certificate"):
        check_evidence(pdf, Known())
    pdf.write_bytes(pdf.read_bytes() + b"\n% seen")
    assert wrong(check_evidence(pdf, known_of(house))) == {"The report"}


def entry(name: str, mode: int = 0o644) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo(name)
    made.external_attr = mode << 16
    return made


@pytest.mark.parametrize(
    ("names", "why"),
    [
        (["a/x", "../out"], "no bundle has"),
        (["/etc/x"], "no bundle has"),
        (["a\\x", "a/y"], "no bundle has"),
        (["a/x", "A/X"], "same name"),
        (["a/x", "b/x"], "one folder"),
        (["alone"], "no bundle has"),
        ([], "0 files"),
    ],
)
def test_a_hostile_zip_writes_nothing_outside_and_is_refused_in_words(
    tmp_path: Path, names: list[str], why: str
) -> None:
    hostile = tmp_path / "hostile.zip"
    with zipfile.ZipFile(hostile, "w") as bundle:
        for name in names:
            bundle.writestr(entry(name), b"x")
    into = tmp_path / "into"
    with pytest.raises(CannotOpen, match=why):
        unpacked(hostile, into, 1 << 20)
    assert not into.exists()


def test_a_link_and_a_bomb_in_a_zip_are_refused(tmp_path: Path) -> None:
    link, bomb = tmp_path / "link.zip", tmp_path / "bomb.zip"
    with zipfile.ZipFile(link, "w") as bundle:
        bundle.writestr(entry("a/x", stat.S_IFLNK | 0o777), b"/etc/passwd")
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr(entry("a/x"), b"\0" * (3 << 20))
    with pytest.raises(CannotOpen, match="no bundle has"):
        unpacked(link, tmp_path / "into", 1 << 20)
    with pytest.raises(CannotOpen, match="larger than"):
        unpacked(bomb, tmp_path / "into", 1 << 20)


def test_the_command_tells_each_point_and_ends_with_one_where_something_is_wrong(
    house: House, bag: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    root, whole = tmp_path / "root.pem", packed(bag)
    root.write_bytes(venue_seal(house.venue, timezone.now()).root_pem)
    call_command("verify_evidence", str(whole), "--root", str(root))
    said = capsys.readouterr().out
    assert "Nothing is wrong." in said
    assert "does not mean that the checks were right" in said
    call_command("verify_evidence", str(whole), "--root", str(root), "--json")
    assert json.loads(capsys.readouterr().out)["holds"] is True
    (bag / "data" / "tasks.csv").write_text("nothing")
    with pytest.raises(SystemExit) as ended:
        call_command("verify_evidence", str(packed(bag)), "--root", str(root))
    assert ended.value.code == 1


@pytest.mark.parametrize("content", [b"", b"hello", b"PK\x03\x04 not really"])
def test_the_command_refuses_what_is_no_evidence_in_words(tmp_path: Path, content: bytes) -> None:
    odd = tmp_path / "odd.zip"
    odd.write_bytes(content)
    if content.startswith(b"PK"):
        with pytest.raises(SystemExit):
            call_command("verify_evidence", str(odd))
    else:
        with pytest.raises(CommandError, match="neither an evidence bundle"):
            call_command("verify_evidence", str(odd))
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("verify_evidence", str(tmp_path / "not-there"))
