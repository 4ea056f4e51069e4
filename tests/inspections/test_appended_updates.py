"""What was appended to a sealed PDF is judged quickly and strictly."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import DEFAULT_DIFF_POLICY, DiffResult
from pyhanko.sign.fields import SigFieldSpec, append_signature_field

from inspections.evidence.checking.updates import OnlySignatures
from inspections.reports.certificates import Names
from inspections.reports.keys import Ring
from inspections.reports.seal import Statement, countersigned, sealed
from tests.inspections.sealed_papers import pdf_with_places
from tests.tamper.papers import annotation, white_box

NAME = generic.NameObject


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


def written(content: bytes, change: Callable[[IncrementalPdfFileWriter], None]) -> bytes:
    writer = IncrementalPdfFileWriter(BytesIO(content), strict=False)
    change(writer)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def other_title(writer: IncrementalPdfFileWriter) -> None:
    writer.root[NAME("/Lang")] = generic.pdf_string("xx")
    writer.update_root()


def script_on_opening(writer: IncrementalPdfFileWriter) -> None:
    action = {NAME("/S"): NAME("/JavaScript"), NAME("/JS"): generic.pdf_string("0")}
    writer.root[NAME("/OpenAction")] = generic.DictionaryObject(action)
    writer.update_root()


def visible_field(writer: IncrementalPdfFileWriter) -> None:
    append_signature_field(writer, SigFieldSpec("Other", box=(0, 0, 200, 200)))


def moved_place(writer: IncrementalPdfFileWriter) -> None:
    field = writer.root["/AcroForm"]["/Fields"][1]
    field[NAME("/Rect")] = generic.ArrayObject(map(generic.NumberObject, (0, 0, 200, 200)))
    writer.update_container(field)


def other_look_of_a_signature(writer: IncrementalPdfFileWriter) -> None:
    field = writer.root["/AcroForm"]["/Fields"][0]
    field[NAME("/AP")] = generic.DictionaryObject()
    writer.update_container(field)


def page_added(writer: IncrementalPdfFileWriter) -> None:
    pages = writer.root["/Pages"]
    pages["/Kids"].append(pages["/Kids"].raw_get(0))
    writer.update_container(pages["/Kids"])
    writer.update_container(pages)


CHANGES: dict[str, Callable[[bytes], bytes]] = {
    "a white box": white_box,
    "a stamp": annotation,
    **{
        change.__name__: lambda content, change=change: written(content, change)  # type: ignore[misc]
        for change in (
            other_title, script_on_opening, visible_field, moved_place, other_look_of_a_signature,
            page_added,
        )
    },
}  # fmt: skip


def judged(content: bytes, policy: object) -> list[bool]:
    """Of each signature, whether what came after it is let in."""
    reader = PdfFileReader(BytesIO(content), strict=False)
    found = []
    for signature in reader.embedded_regular_signatures:
        signature.compute_integrity_info(skip_diff=True)
        diff = policy.review_file(reader, signature.signed_revision)  # type: ignore[attr-defined]
        found.append(isinstance(diff, DiffResult))
    return found


def test_a_countersignature_is_let_in_by_us_and_by_the_library(pdf: bytes) -> None:
    assert judged(pdf, OnlySignatures()) == judged(pdf, DEFAULT_DIFF_POLICY) == [True, True]


@pytest.mark.parametrize("name", CHANGES)
def test_anything_else_is_refused(pdf: bytes, name: str) -> None:
    changed = CHANGES[name](pdf)
    assert changed.startswith(pdf)
    assert judged(changed, OnlySignatures()) == [False, False]


def test_a_change_before_the_countersignature_is_refused_too(pdf: bytes, tmp_path: Path) -> None:
    now = datetime.now(UTC)
    ring = Ring(tmp_path, "x", Names("V", "O"), b"y")
    hidden = written(pdf, other_title)
    said = Statement("Priya", "Seen", "The Larkspur", now)
    content = countersigned(hidden, ring.seal(now), said, "Countersignature2")
    assert judged(content, OnlySignatures()) == [False, False, True]
