"""Put the venue's seal on a PDF, and the seals of countersignatures after it, each as an update.

The first is a certification that allows countersignatures and nothing else. Every signature brings
what is needed to check it later (certificates, revocation lists); where there is a time-stamp
authority, also its stamp on the signature and one on the whole document (PAdES baseline B-LTA; a
venue without one has the same without the stamps).
"""

from __future__ import annotations

import io
import logging
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from asn1crypto import keys as asn1_keys
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import signers
from pyhanko.sign.fields import (
    InvisSigSettings,
    MDPPerm,
    SigFieldSpec,
    SigSeedSubFilter,
    enumerate_sig_fields,
)
from pyhanko.sign.signers.pdf_signer import (
    DSSContentSettings,
    SigDSSPlacementPreference,
    TimestampDSSContentSettings,
)
from pyhanko.stamp import BaseStampStyle
from pyhanko_certvalidator import ValidationContext
from pyhanko_certvalidator.errors import PathError
from pyhanko_certvalidator.registry import SimpleCertificateStore

from inspections.reports.keys import Seal
from inspections.reports.time_stamps import Authority, NotStamped

FIELD, SPOKEN = "ReportSeal", "Seal of the venue"
BESIDE_THE_PAGE = InvisSigSettings(box_out_of_bounds=True)
# It warns that nothing is fetched while sealing; that is meant so.
logging.getLogger("pyhanko.sign.signers.pdf_signer").setLevel(logging.ERROR)
# In the update of the signature itself, so that the last one covers the whole file.
TOGETHER = DSSContentSettings(
    include_vri=False, placement=SigDSSPlacementPreference.TOGETHER_WITH_SIGNATURE
)
STAMPED = TimestampDSSContentSettings(include_vri=False, update_before_ts=True)


@dataclass(frozen=True)
class Statement:
    """What the signature's own dictionary says."""

    name: str
    reason: str
    location: str
    at: datetime


class _DatedSigner(signers.PdfSigner):
    """Claims the time the report was issued, not the moment the library was called."""

    def __init__(self, *, at: datetime, **known: object) -> None:
        super().__init__(**known)  # type: ignore[arg-type]
        self._at = at

    def init_signing_session(self, *args: object, **known: object) -> Any:
        session = super().init_signing_session(*args, **known)  # type: ignore[arg-type]
        session.system_time = self._at
        return session


class Appended(IncrementalPdfFileWriter):
    """Appends the signature and leaves the archive metadata as it was written: the library would
    put its own name and the machine's clock there, in a form archive checkers dislike."""

    def _update_meta(self) -> None:
        return


def sealed(
    pdf: bytes, seal: Seal, *, name: str, reason: str, location: str, at: datetime,
    authority: Authority | None = None,
) -> bytes:  # fmt: skip
    """The PDF with an invisible signature over every byte of it. Raises NotStamped.

    The field is invisible because the page prints the signature block itself: a stamp added
    afterwards would be neither tagged nor in the bundled fonts, and would cost the file its
    archive profile.
    """
    said = Statement(name, reason, location, at)
    return _signed(pdf, seal, said, authority, field=FIELD, certifies=True)


def countersigned(
    pdf: bytes, seal: Seal, said: Statement, field: str, authority: Authority | None = None,
    look: BaseStampStyle | None = None,
) -> bytes:  # fmt: skip
    """One signature more, in a place that is free. Every byte before stays. Raises NotStamped."""
    return _signed(pdf, seal, said, authority, field=field, certifies=False, look=look)


def free_places(pdf: bytes) -> list[str]:
    """The names of the signature fields that nobody has filled."""
    reader = PdfFileReader(io.BytesIO(pdf), strict=False)
    return [name for name, value, _ in enumerate_sig_fields(reader) if value is None]


def _signed(
    pdf: bytes, seal: Seal, said: Statement, authority: Authority | None, *, field: str,
    certifies: bool, look: BaseStampStyle | None = None,
) -> bytes:  # fmt: skip
    lasting = authority is None or authority.root is not None
    marks = signers.PdfSignatureMetadata(
        field_name=field,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        certify=certifies,
        docmdp_permissions=MDPPerm.FILL_FORMS,
        name=said.name,
        reason=said.reason,
        location=said.location,
        embed_validation_info=lasting,
        validation_context=_context(seal, authority) if lasting else None,
        dss_settings=TOGETHER,
    )
    signer = _DatedSigner(
        at=said.at,
        signature_meta=marks,
        signer=signer_of(seal),
        timestamper=authority,
        new_field_spec=_seal_field(field) if certifies else None,
        **({"stamp_style": look} if look else {}),
    )
    out = io.BytesIO()
    try:
        signer.sign_pdf(Appended(io.BytesIO(pdf), strict=False), output=out)
    except PathError as fault:
        raise NotStamped(
            "The time-stamp authority's certificate does not lead to LOFTBOOK_TIME_STAMP_ROOT "
            f"({fault}). Nothing was sealed."
        ) from fault
    return _stamped(out.getvalue(), seal, authority) if authority and lasting else out.getvalue()


def _seal_field(name: str) -> SigFieldSpec:
    """Beside the first page: a field on it would have to be read out with the page, and tagged."""
    return SigFieldSpec(
        name, on_page=0, invis_sig_settings=BESIDE_THE_PAGE, readable_field_name=SPOKEN
    )


def _stamped(pdf: bytes, seal: Seal, authority: Authority) -> bytes:
    """With the authority's stamp on the whole document, and what checks that stamp later."""
    out = io.BytesIO()
    signers.PdfTimeStamper(authority, invis_settings=BESIDE_THE_PAGE).timestamp_pdf(
        Appended(io.BytesIO(pdf), strict=False), "sha256", _context(seal, authority), output=out,
        dss_settings=STAMPED,
    )  # fmt: skip
    return out.getvalue()


def _context(seal: Seal, authority: Authority | None) -> ValidationContext:
    """What is put into the file for whoever checks it later."""
    roots, lists = [_certificate(seal.root)], [seal.revoked] if seal.revoked else []
    if authority and authority.root:
        roots.append(authority.root)
        lists += authority.revocation_lists()
    return ValidationContext(
        trust_roots=roots, crls=lists, allow_fetching=False, revocation_mode="soft-fail",
        moment=_moment(seal),
    )  # fmt: skip


def _moment(seal: Seal) -> datetime | None:
    """Now; a server whose clock is behind its own certificate's seals as it always did."""
    begins = max(seal.certificate.not_valid_before_utc, seal.root.not_valid_before_utc)
    return begins if datetime.now(UTC) < begins else None


def signer_of(seal: Seal) -> signers.Signer:
    """The library's: of the key that is here, or the one that reaches it where it is held."""
    if seal.key is None:
        held: signers.Signer = seal.held
        held.cert_registry.register(_certificate(seal.root))
        return held
    key = seal.key.private_bytes(
        serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    known = SimpleCertificateStore()
    known.register(_certificate(seal.root))
    return signers.SimpleSigner(
        signing_cert=_certificate(seal.certificate),
        signing_key=asn1_keys.PrivateKeyInfo.load(key),
        cert_registry=known,
    )


def _certificate(certificate: x509.Certificate) -> asn1_x509.Certificate:
    return asn1_x509.Certificate.load(certificate.public_bytes(serialization.Encoding.DER))
