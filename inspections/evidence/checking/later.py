"""What a PDF carries so that its signatures can be checked when their certificates have run out: the
document security store (ISO 32000-2, 12.8.4.3) and time stamps on the whole document."""

from __future__ import annotations

from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_timestamp
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko.sign.validation.errors import NoDSSFoundError
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature

from inspections.evidence.checking.trust import Trust, trusting


def lists_carried(reader: PdfFileReader) -> tuple[bytes, ...]:
    """The revocation lists in the file, in DER. They count for as much as the root's signature on them."""
    try:
        store = DocumentSecurityStore.read_dss(reader)
    except NoDSSFoundError:
        return ()
    return tuple(each.get_object().data for each in store.crls)


def told_for_later(reader: PdfFileReader, trust: Trust) -> tuple[str, list[str]]:
    """In words, and what is wrong with it."""
    try:
        store = DocumentSecurityStore.read_dss(reader)
        held = f"{len(store.certs)} certificates and {len(store.crls)} revocation lists"
    except NoDSSFoundError:
        held = "nothing"
    stamps = reader.embedded_timestamp_signatures
    told = [_told(each, trust) for each in stamps]
    words = " ".join(each for each, _ in told) or "No time stamp on the document."
    return f"For later checks it carries {held}. {words}", [
        fault for _, faults in told for fault in faults
    ]


def _told(stamp: EmbeddedPdfSignature, trust: Trust) -> tuple[str, list[str]]:
    if trust.stamp_root is None:
        return "A time stamp on the document was not checked: its authority is not known.", []
    status = validate_pdf_timestamp(stamp, trusting(trust.stamp_root), skip_diff=True)
    holds = status.intact and status.valid and status.trusted
    at = f"{status.timestamp:%Y-%m-%d %H:%M:%S} UTC"
    faults = [] if holds else [f"The document's time stamp of {at} does not hold."]
    return f"Document stamped at {at}.", faults
