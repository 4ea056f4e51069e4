"""A new root is told across: the old root signs its fingerprint, so that whoever has the old one can
follow. Pure: certificates and time come in as arguments.

The signer is the old root itself. A seal of it will not do: whoever stole a seal could else send
every reader to a root of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.serialization import pkcs7

from inspections.reports.certificates import Issuer
from venue.log_hash import canonical

FORMAT = "loftbook new root 1"
STATEMENT, SIGNATURE = "new-root.json", "new-root.json.p7s"


@dataclass(frozen=True)
class RootOfTime:
    """A root of the venue, from 1; what the one before it signed of it, nothing of the first."""

    number: int
    certificate: x509.Certificate
    statement: bytes = b""
    signature: bytes = b""

    @property
    def sha256(self) -> str:
        return self.certificate.fingerprint(hashes.SHA256()).hex()

    def files(self) -> list[tuple[str, bytes]]:
        """As a bundle and a mail have them."""
        pem = self.certificate.public_bytes(serialization.Encoding.PEM)
        found = [(f"root-{self.number}.pem", pem)]
        if self.statement:
            name = f"new-root-{self.number}.json"
            found += [(name, self.statement), (f"{name}.p7s", self.signature)]
        return found


def told_across(old: Issuer, new: x509.Certificate, venue: str, at: datetime) -> dict[str, bytes]:
    """The statement and the old root's signature over it, by the names of their files."""
    body = canonical(
        {
            "format": FORMAT,
            "venue": venue,
            "old_root_sha256": old.certificate.fingerprint(hashes.SHA256()).hex(),
            "new_root_sha256": new.fingerprint(hashes.SHA256()).hex(),
            "at": at.astimezone(UTC).isoformat(),
        }
    ).encode()
    options = [pkcs7.PKCS7Options.DetachedSignature, pkcs7.PKCS7Options.Binary]
    signed = (
        pkcs7.PKCS7SignatureBuilder()
        .set_data(body)
        .add_signer(old.certificate, old.key, hashes.SHA256())
        .sign(serialization.Encoding.DER, options)
    )
    return {STATEMENT: body, SIGNATURE: signed}
