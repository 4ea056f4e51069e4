"""What a signature is held against: a root, its revocation lists, and a time-stamp authority's root."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from asn1crypto import pem
from asn1crypto.x509 import Certificate
from cryptography import x509
from pyhanko_certvalidator import ValidationContext

REVOKED = "revocations.pem"
WORDS = {
    x509.ReasonFlags.key_compromise: "its key may have been used by somebody else, or was lost",
    x509.ReasonFlags.superseded: "another seal took its place",
    x509.ReasonFlags.cessation_of_operation: "nothing is sealed with it any more",
}


@dataclass(frozen=True)
class Trust:
    """`stamp_root`: of a time-stamp authority, where there is one; `stamp_root_given`: the reader has
    it by another way than the file that is checked."""

    root: Certificate
    lists: tuple[bytes, ...] = ()  # DER
    stamp_root: Certificate | None = None
    stamp_root_given: bool = False
    newer: tuple[Certificate, ...] = ()  # roots to which it was told across
    older: tuple[Certificate, ...] = ()  # roots that were told across to it

    @property
    def roots(self) -> tuple[Certificate, ...]:
        return (self.root, *self.newer, *self.older)


@dataclass(frozen=True)
class Withdrawal:
    """A certificate is not trusted from this time on."""

    since: datetime
    why: str

    def faults(self, where: str, stamped: datetime | None, trust: Trust) -> list[str]:
        """What is wrong with something it signed; `stamped`: when, by an authority that holds."""
        begun = f"{where}: its certificate is revoked from {self.since:%Y-%m-%d %H:%M:%S} UTC on: {self.why}."
        if stamped is None:
            return [f"{begun} No time stamp of an authority shows that it was signed before."]
        if stamped >= self.since:
            return [f"{begun} It was signed at {stamped:%Y-%m-%d %H:%M:%S} UTC, after that."]
        if not trust.stamp_root_given:
            return [
                f"{begun} A time stamp says that it was signed before, but the root certificate of "
                "that authority came with the file. Give the one the authority publishes."
            ]
        return []


def trusting(*roots: Certificate, moment: datetime | None = None) -> ValidationContext:
    """These roots and nothing else, today or at a moment that is proven, without the network.
    Revocation is looked at apart, to be told in words."""
    return ValidationContext(
        trust_roots=list(roots), allow_fetching=False, revocation_mode="soft-fail",
        moment=moment or datetime.now(UTC),
    )  # fmt: skip


def withdrawal_of(certificate: Certificate, trust: Trust) -> Withdrawal | None:
    """The earliest that any list of its root tells of this certificate. A list that no root of ours
    signed says nothing."""
    issuers = [x509.load_der_x509_certificate(each.dump()) for each in trust.roots]
    lists = [x509.load_der_x509_crl(each) for each in trust.lists]
    found = [_said(told, issuer, certificate) for told in lists for issuer in issuers]
    return min((each for each in found if each), key=lambda each: each.since, default=None)


def lists_in(content: bytes) -> tuple[bytes, ...]:
    """Revocation lists from PEM or DER. Raises ValueError."""
    parts = [content]
    if pem.detect(content):
        parts = [der for _, _, der in pem.unarmor(content, multiple=True)]
    for part in parts:
        x509.load_der_x509_crl(part)
    return tuple(parts)


def _said(
    told: x509.CertificateRevocationList, issuer: x509.Certificate, certificate: Certificate
) -> Withdrawal | None:
    if not told.is_signature_valid(issuer.public_key()):  # type: ignore[arg-type]
        return None
    entry = told.get_revoked_certificate_by_serial_number(certificate.serial_number)
    if entry is None:
        return None
    return Withdrawal(entry.revocation_date_utc, _why(entry))


def _why(entry: x509.RevokedCertificate) -> str:
    try:
        reason = entry.extensions.get_extension_for_class(x509.CRLReason).value.reason
    except x509.ExtensionNotFound:
        return "no reason was given"
    return WORDS.get(reason, reason.value)
