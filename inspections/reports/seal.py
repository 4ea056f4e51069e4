"""Put the venue's seal on a PDF: PAdES baseline B-B or B-T, as a certification that allows form filling."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

from asn1crypto import keys as asn1_keys
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import signers
from pyhanko.sign.fields import MDPPerm, SigFieldSpec, SigSeedSubFilter
from pyhanko_certvalidator.registry import SimpleCertificateStore

from inspections.reports.keys import Seal
from inspections.reports.time_stamps import Authority

FIELD = "ReportSeal"


class _DatedSigner(signers.PdfSigner):
    """Claims the time the report was issued, not the moment the library was called."""

    def __init__(self, *, at: datetime, **known: object) -> None:
        super().__init__(**known)  # type: ignore[arg-type]
        self._at = at

    def init_signing_session(self, *args: object, **known: object) -> Any:
        session = super().init_signing_session(*args, **known)  # type: ignore[arg-type]
        session.system_time = self._at
        return session


class _Appended(IncrementalPdfFileWriter):
    """Appends the signature and leaves the archive metadata as it was written: the library would
    put its own name and the machine's clock there, in a form archive checkers dislike."""

    def _update_meta(self) -> None:
        return


def sealed(
    pdf: bytes, seal: Seal, *, name: str, reason: str, location: str, at: datetime,
    authority: Authority | None = None,
) -> bytes:  # fmt: skip
    """The PDF with an invisible signature over every byte of it, and the time stamp of the authority
    where there is one (PAdES baseline B-T). Raises NotStamped.

    The field is invisible because the page prints the signature block itself: a stamp added
    afterwards would be neither tagged nor in the bundled fonts, and would cost the file its
    archive profile.
    """
    marks = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=MDPPerm.FILL_FORMS,
        name=name,
        reason=reason,
        location=location,
    )
    signer = _DatedSigner(
        at=at,
        signature_meta=marks,
        signer=signer_of(seal),
        timestamper=authority,
        new_field_spec=SigFieldSpec(FIELD, on_page=0),
    )
    out = io.BytesIO()
    signer.sign_pdf(_Appended(io.BytesIO(pdf)), output=out)
    return out.getvalue()


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
