"""A small PDF under a seal, for tests of signatures that need no report."""

from __future__ import annotations

from datetime import datetime
from io import BytesIO

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.writer import PageObject, PdfFileWriter
from pyhanko.sign.fields import SigFieldSpec, append_signature_field

from inspections.reports.keys import Seal
from inspections.reports.seal import sealed
from inspections.reports.time_stamps import Authority


def plain_pdf() -> bytes:
    writer = PdfFileWriter()
    nothing = writer.add_object(generic.StreamObject(stream_data=b""))
    writer.insert_page(PageObject(contents=nothing, media_box=(0, 0, 200, 200)))
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def pdf_with_places() -> bytes:
    """With room for three countersignatures, as reports have it."""
    writer = IncrementalPdfFileWriter(BytesIO(plain_pdf()))
    for number in (1, 2, 3):
        box = (10, 60 * number - 50, 190, 60 * number)
        append_signature_field(writer, SigFieldSpec(f"Countersignature{number}", box=box))
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def sealed_pdf(seal: Seal, at: datetime, authority: Authority | None = None) -> bytes:
    return sealed(
        plain_pdf(), seal, name="Tam Achterberg", reason="I carried out this examination.",
        location="The Larkspur", at=at, authority=authority,
    )  # fmt: skip
