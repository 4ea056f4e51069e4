"""The certificates and the revocation list that a venue's own root signs. Pure: no files, no clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID, ObjectIdentifier

DOCUMENT_SIGNING = ObjectIdentifier("1.3.6.1.5.5.7.3.36")  # RFC 9336, id-kp-documentSigning
YEAR = timedelta(days=365)
ROOT_LIFE, SEAL_LIFE = 20 * YEAR, 10 * YEAR
LIST_LIFE = timedelta(days=400)
LONGEST_NAME = 64  # RFC 5280, appendix A: ub-common-name and ub-organization-name
# RFC 5280, 5.3.1: the reasons that a venue may give, and what each means in words.
REASONS = {
    "key_compromise": "somebody else may have used the key, or it was lost",
    "superseded": "another seal took its place",
    "cessation_of_operation": "the venue seals nothing with it any more",
}


@dataclass(frozen=True)
class Names:
    """What the certificates call the venue."""

    venue: str
    organisation: str

    def of(self, what: str) -> x509.Name:
        return self._named(f"{self.venue}, {what}")

    def of_person(self, name: str) -> x509.Name:
        return self._named(f"{name}, for {self.venue}")

    def _named(self, common: str) -> x509.Name:
        said = ((NameOID.COMMON_NAME, common), (NameOID.ORGANIZATION_NAME, self.organisation))
        return x509.Name(
            [x509.NameAttribute(oid, text[:LONGEST_NAME]) for oid, text in said if text]
        )


@dataclass(frozen=True)
class Issuer:
    """The root that signs, and where strangers find its revocation list ("": nowhere)."""

    key: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate
    list_address: str = ""


@dataclass(frozen=True)
class Withdrawn:
    """A certificate that is not trusted from a time on. The list gives that time as the date of
    revocation, because programs compare with it; when it was said stands in the venue's log."""

    serial: int
    since: datetime
    reason: str  # one of REASONS


def root_certificate(
    key: ec.EllipticCurvePrivateKey, names: Names, at: datetime
) -> x509.Certificate:
    name = names.of("root of report seals")
    return (
        _begun(name, name, key.public_key(), at, ROOT_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .sign(key, hashes.SHA256())
    )


def seal_certificate(
    key: ec.EllipticCurvePublicKey, issuer: Issuer, subject: x509.Name, at: datetime
) -> x509.Certificate:
    """For a key here or in a device: only its public half is asked for."""
    purposes = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.EMAIL_PROTECTION, DOCUMENT_SIGNING])
    begun = (
        _begun(subject, issuer.certificate.subject, key, at, SEAL_LIFE)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(purposes, critical=False)
        .add_extension(_issued_by(issuer), critical=False)
    )
    if issuer.list_address:
        begun = begun.add_extension(_list_at(issuer.list_address), critical=False)
    return begun.sign(issuer.key, hashes.SHA256())


def revocation_list(
    issuer: Issuer, withdrawn: Sequence[Withdrawn], at: datetime
) -> x509.CertificateRevocationList:
    """Whole, never a difference; an empty one says that nothing is revoked (RFC 5280, 5)."""
    begun = (
        x509.CertificateRevocationListBuilder()
        .issuer_name(issuer.certificate.subject)
        .last_update(at)
        .next_update(at + LIST_LIFE)
        # Grows with every list, as 5.2.3 asks.
        .add_extension(x509.CRLNumber(int(at.timestamp())), critical=False)
        .add_extension(_issued_by(issuer), critical=False)
    )
    for each in withdrawn:
        begun = begun.add_revoked_certificate(_entry(each))
    return begun.sign(issuer.key, hashes.SHA256())


def _entry(withdrawn: Withdrawn) -> x509.RevokedCertificate:
    since = withdrawn.since.replace(microsecond=0)
    reason = x509.CRLReason(x509.ReasonFlags[withdrawn.reason])
    return (
        x509.RevokedCertificateBuilder()
        .serial_number(withdrawn.serial)
        .revocation_date(since)
        .add_extension(reason, critical=False)
        .add_extension(x509.InvalidityDate(since.replace(tzinfo=None)), critical=False)
        .build()
    )


def _issued_by(issuer: Issuer) -> x509.AuthorityKeyIdentifier:
    return x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer.key.public_key())


def _list_at(address: str) -> x509.CRLDistributionPoints:
    where = x509.DistributionPoint([x509.UniformResourceIdentifier(address)], None, None, None)
    return x509.CRLDistributionPoints([where])


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    at: datetime,
    life: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        # A day back, so that a verifier whose clock is behind does not refuse it.
        .not_valid_before(at - timedelta(days=1))
        .not_valid_after(at + life)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=not signs_certificates,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )
