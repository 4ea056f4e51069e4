"""A signed report as a PDF: every signature in it, what was appended, and the record it carries."""

from __future__ import annotations

import hashlib
import logging
from io import BytesIO
from typing import Any

from asn1crypto.x509 import Certificate
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature
from pyhanko.sign.validation.status import SignatureCoverageLevel

from inspections.evidence.checking.checked import Checked, judged
from inspections.evidence.checking.seals import UNREADABLE, trusting

BROKEN = (*UNREADABLE, PdfError, IndexError, AttributeError, RecursionError, AssertionError)
ATTACHED = "record.json"


def check_paper(name: str, content: bytes, root: Certificate) -> Checked:
    """Every signature holds and leads to the root; the last one covers the whole file."""
    logging.getLogger("pyhanko").setLevel(logging.CRITICAL)  # what it finds is told here, in words
    reader = PdfFileReader(BytesIO(content), strict=False)
    signatures = reader.embedded_regular_signatures
    if not signatures:
        return judged(name, "", ["It carries no signature."])
    faults = [fault for each in signatures for fault in _faults(each, root)]
    last = signatures[-1]
    if last.evaluate_signature_coverage() != SignatureCoverageLevel.ENTIRE_FILE:
        faults.append("Something was appended after the last signature.")
    if content[last.byte_range[2] + last.byte_range[3] :]:
        faults.append("There is something after the signed end of the file.")
    record = record_in(reader)
    told = f"record {hashlib.sha256(record).hexdigest()}" if record else "no record attached"
    return judged(name, f"Signatures: {len(signatures)}; {told}.", faults)


def record_in(reader: PdfFileReader) -> bytes:
    """The machine-readable record the report carries; nothing where there is none."""
    for file in _attached(reader):
        if ATTACHED in (file.get("/UF"), file.get("/F")):
            return bytes(file["/EF"]["/F"].data)
    return b""


def record_of(content: bytes) -> bytes:
    return record_in(PdfFileReader(BytesIO(content), strict=False))


def _attached(reader: PdfFileReader) -> list[Any]:
    held: Any = reader.root
    for name in ("/Names", "/EmbeddedFiles", "/Names"):
        if name not in held:
            return []
        held = held[name]
    return [held[index] for index in range(1, len(held), 2)]


def _faults(signature: EmbeddedPdfSignature, root: Certificate) -> list[str]:
    status = validate_pdf_signature(signature, trusting(root))
    where = f"Signature {signature.field_name}"
    faults = []
    if not status.intact:
        faults.append(f"{where}: the signed bytes were changed.")
    if not status.valid:
        faults.append(f"{where}: it does not hold.")
    if not status.trusted:
        faults.append(f"{where}: not by a key of this root certificate, or that has expired.")
    if (
        status.modification_level is None
        or status.modification_level > ModificationLevel.FORM_FILLING
    ):
        faults.append(f"{where}: more than a countersignature was added after it.")
    if status.docmdp_ok is False:
        faults.append(f"{where}: it did not allow what was added.")
    return faults
