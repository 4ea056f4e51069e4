"""What was appended to a sealed PDF is judged quickly and strictly."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import DEFAULT_DIFF_POLICY, DiffResult

from inspections.evidence.checking.checked import guarded
from inspections.evidence.checking.papers import BROKEN, check_paper
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.trust import Trust
from inspections.evidence.checking.updates import OnlySignatures
from inspections.reports.certificates import Names
from inspections.reports.keys import Ring
from inspections.reports.seal import Statement, countersigned, sealed
from tests.inspections.appended_attacks import (
    CHANGES,
    NAME,
    added,
    key_that_stands_twice,
    other_title,
    stamp_of_nobody,
    written,
)
from tests.inspections.sealed_papers import pdf_with_places, sealed_pdf


@pytest.fixture(scope="module")
def pdf(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Sealed and countersigned once."""
    now = datetime.now(UTC)
    ring = Ring(tmp_path_factory.mktemp("keys"), "x", Names("The Larkspur", "Trust"), b"quay row")
    seal = ring.seal(now)
    content = sealed(
        pdf_with_places(), seal, name="Tam", reason="Mine", location="The Larkspur", at=now
    )
    said = Statement("Odile", "Seen", "The Larkspur", now)
    return countersigned(content, ring.for_one_signature("Odile", now), said, "Countersignature1")


def judged(content: bytes, policy: object, signed: bytes = b"") -> list[bool]:
    """Of each signature (of the file as it was `signed`), whether what came after it is let in. What
    cannot be read is not, as in the check of a report."""
    before = PdfFileReader(BytesIO(signed or content), strict=False)
    found = []
    for signature in before.embedded_regular_signatures:
        signature.compute_integrity_info(skip_diff=True)
        try:
            reader = PdfFileReader(BytesIO(content), strict=False)
            diff = policy.review_file(reader, signature.signed_revision)  # type: ignore[attr-defined]
        except BROKEN:
            diff = None
        found.append(isinstance(diff, DiffResult))
    return found


def test_a_countersignature_is_let_in_by_us_and_by_the_library(pdf: bytes) -> None:
    assert judged(pdf, OnlySignatures()) == judged(pdf, DEFAULT_DIFF_POLICY) == [True, True]


@pytest.mark.parametrize("name", CHANGES)
def test_anything_else_is_refused(pdf: bytes, name: str) -> None:
    changed = CHANGES[name](pdf)
    assert changed.startswith(pdf)
    assert judged(changed, OnlySignatures(), pdf) == [False, False]


def test_an_invisible_field_with_a_signature_in_it_is_let_in(pdf: bytes) -> None:
    """As a stamp on the whole document is added: what the refused ones are near to."""

    def stamped(writer: IncrementalPdfFileWriter) -> None:
        added(writer, Subtype=NAME("/Widget"), V=stamp_of_nobody(writer))

    changed = written(pdf, stamped)
    assert judged(changed, OnlySignatures(), pdf) == [True, True]


def test_a_key_that_stands_twice_is_not_read_at_all(pdf: bytes, tmp_path: Path) -> None:
    """Of two programs one shows the first, the other the second."""
    changed = key_that_stands_twice(pdf)
    assert judged(changed, OnlySignatures(), pdf) == [True, True]  # to whoever reads leniently
    root = certificate_in(
        Ring(tmp_path, "x", Names("V", "O"), b"y", rounds=1000).seal(datetime.now(UTC)).root_pem
    )
    faults = guarded("x", lambda: check_paper("x", changed, Trust(root)), BROKEN).faults
    assert any("Multiple definitions" in fault for fault in faults), faults


@pytest.mark.parametrize("which", ["/V", "/AP"])
def test_what_one_update_added_another_must_not_exchange(pdf: bytes, which: str) -> None:
    """Else the countersignature would be gone and another name in its place: each object of it is
    new to the seal, which was given before."""

    def exchanged(writer: IncrementalPdfFileWriter) -> None:
        field = writer.root["/AcroForm"]["/Fields"][0]
        found = field.raw_get("/V") if which == "/V" else field["/AP"].raw_get("/N")
        other = generic.StreamObject(stream_data=b"(Jonas Quill) Tj")
        writer.objects[found.generation, found.idnum] = (
            generic.NullObject() if which == "/V" else other
        )

    changed = written(pdf, exchanged)
    assert changed.startswith(pdf)
    assert not any(judged(changed, OnlySignatures(), pdf))


def test_something_written_into_the_room_of_a_signature_is_found(tmp_path: Path) -> None:
    now = datetime.now(UTC)
    seal = Ring(tmp_path, "x", Names("V", "O"), b"y", rounds=1000).seal(now)
    content = sealed_pdf(seal, now)
    trust = Trust(certificate_in(seal.root_pem))
    assert check_paper("x", content, trust).faults == ()
    at = content.rindex(b"00>")
    changed = content[:at] + b"41>" + content[at + 3 :]
    (fault,) = check_paper("x", changed, trust).faults
    assert "written into its room" in fault


def test_a_bit_that_breaks_what_is_packed_is_a_fault_and_no_crash(
    pdf: bytes, tmp_path: Path
) -> None:
    """As the table of objects is: the last bytes of each packed stream are its own check sum."""
    root = Ring(tmp_path, "x", Names("V", "O"), b"y", rounds=1000).seal(datetime.now(UTC)).root_pem
    trust, found = Trust(certificate_in(root)), 0
    for end in [match.start() for match in re.finditer(rb"\r?\nendstream", pdf)]:
        broken = bytearray(pdf)
        broken[end - 1] ^= 1
        point = guarded("x", lambda content=bytes(broken): check_paper("x", content, trust), BROKEN)
        assert point.faults
        found += 1
    assert found >= 5


def test_a_change_before_the_countersignature_is_refused_too(pdf: bytes, tmp_path: Path) -> None:
    now = datetime.now(UTC)
    ring = Ring(tmp_path, "x", Names("V", "O"), b"y")
    hidden = written(pdf, other_title)
    said = Statement("Priya", "Seen", "The Larkspur", now)
    content = countersigned(hidden, ring.seal(now), said, "Countersignature2")
    assert judged(content, OnlySignatures()) == [False, False, True]
