"""A signed report as a PDF: every signature in it, what was appended, and the record it carries."""

from __future__ import annotations

import hashlib
import logging
import struct
import zlib
from dataclasses import dataclass, replace
from datetime import datetime
from io import BytesIO
from typing import Any

from asn1crypto import parser as asn1_parser
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature
from pyhanko.sign.validation.status import PdfSignatureStatus, SignatureCoverageLevel

from inspections.evidence.checking.checked import Checked, judged
from inspections.evidence.checking.later import lists_carried, told_for_later
from inspections.evidence.checking.seals import UNREADABLE
from inspections.evidence.checking.trust import Trust, trusting, withdrawal_of
from inspections.evidence.checking.updates import OnlySignatures

# What a changed bit may come to in a reader of somebody else's. None of it may end a check.
BROKEN = (
    *UNREADABLE, PdfError, LookupError, AttributeError, ArithmeticError, AssertionError, RuntimeError,
    EOFError, zlib.error, struct.error,
)  # fmt: skip
ATTACHED = "record.json"
UPDATES = OnlySignatures()


def check_paper(name: str, content: bytes, trust: Trust) -> Checked:
    """Every signature holds and leads to the root; the last one covers the whole file."""
    logging.getLogger("pyhanko").setLevel(logging.CRITICAL)  # what it finds is told here, in words
    reader = _reader(content)
    signatures = reader.embedded_regular_signatures
    if not signatures:
        return judged(name, "", ["It carries no signature."])
    trust = replace(trust, lists=(*trust.lists, *lists_carried(reader)))
    looked = [_looked_at(each, trust) for each in signatures]
    faults = [fault for each in looked for fault in _faults(each, trust)]
    last = reader.embedded_signatures[-1]  # the document's time stamps count here
    if last.evaluate_signature_coverage() != SignatureCoverageLevel.ENTIRE_FILE:
        faults.append("Something was appended after the last signature.")
    faults += [
        f"Signature {each.field_name}: something was written into its room."
        for each in reader.embedded_signatures
        if each.pkcs7_content[asn1_parser.peek(each.pkcs7_content) :].strip(b"\0")
    ]
    if content[last.byte_range[2] + last.byte_range[3] :]:
        faults.append("There is something after the signed end of the file.")
    lasting, more = told_for_later(reader, trust)
    faults += more
    record = record_in(reader)
    told = f"record {hashlib.sha256(record).hexdigest()}" if record else "no record attached"
    said = " ".join(_words(each) for each in looked)
    return judged(name, f"Signatures: {len(signatures)}; {told}. {said} {lasting}", faults)


def record_in(reader: PdfFileReader) -> bytes:
    """The machine-readable record the report carries; nothing where there is none."""
    for file in _attached(reader):
        if ATTACHED in (file.get("/UF"), file.get("/F")):
            return bytes(file["/EF"]["/F"].data)
    return b""


def record_of(content: bytes) -> bytes:
    return record_in(_reader(content))


def _reader(content: bytes) -> PdfFileReader:
    """Strict: what one program would read so and another so is not read at all."""
    return PdfFileReader(BytesIO(content), strict=True)


def _attached(reader: PdfFileReader) -> list[Any]:
    held: Any = reader.root
    for name in ("/Names", "/EmbeddedFiles", "/Names"):
        if name not in held:
            return []
        held = held[name]
    return [held[index] for index in range(1, len(held), 2)]


@dataclass(frozen=True)
class _Looked:
    """One signature, what the library found of it, and when it was there by an authority that holds."""

    signature: EmbeddedPdfSignature
    status: PdfSignatureStatus
    stamped: datetime | None

    @property
    def where(self) -> str:
        return f"Signature {self.signature.field_name}"


def _looked_at(signature: EmbeddedPdfSignature, trust: Trust) -> _Looked:
    stamps = trusting(trust.stamp_root) if trust.stamp_root else None
    status = validate_pdf_signature(
        signature, trusting(*trust.roots), ts_validation_context=stamps, diff_policy=UPDATES
    )  # fmt: skip
    stamp = status.timestamp_validity if stamps else None
    holds = stamp and stamp.valid and stamp.intact and stamp.trusted
    stamped = stamp.timestamp if stamp and holds else None
    if stamped and trust.stamp_root_given and not status.trusted:
        # A certificate that has run out since is held against the time that an authority proves.
        status = validate_pdf_signature(
            signature, trusting(*trust.roots, moment=stamped), ts_validation_context=stamps,
            diff_policy=UPDATES,
        )  # fmt: skip
    return _Looked(signature, status, stamped)


def _words(looked: _Looked) -> str:
    """Who says what and when, as the signature itself has it."""
    said, when = looked.signature.sig_object, looked.signature.self_reported_timestamp
    who, why = (
        " ".join(str(said.get(key, "nobody named")).split()) for key in ("/Name", "/Reason")
    )
    at = f"{when:%Y-%m-%d %H:%M:%S %z}" if when else "no time"
    stamp = "no time stamp that could be checked"
    if looked.stamped:
        stamp = f"time stamp {looked.stamped:%Y-%m-%d %H:%M:%S} UTC"
    return f"{looked.signature.field_name}: {who}, {at} ({stamp}): {why}"


def _faults(looked: _Looked, trust: Trust) -> list[str]:
    status, where, faults = looked.status, looked.where, []
    if not status.intact:
        faults.append(f"{where}: the signed bytes were changed.")
    if not status.valid:
        faults.append(f"{where}: it does not hold.")
    if not status.trusted:
        faults.append(f"{where}: not by a key of this root certificate, or that has expired.")
    if withdrawal := withdrawal_of(looked.signature.signer_cert, trust):
        faults += withdrawal.faults(where, looked.stamped, trust)
    if (
        status.modification_level is None
        or status.modification_level > ModificationLevel.FORM_FILLING
    ):
        faults.append(f"{where}: more than a countersignature was added after it.")
    if status.docmdp_ok is False:
        faults.append(f"{where}: it did not allow what was added.")
    return faults
