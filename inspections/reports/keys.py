"""A venue's own signing keys: a local root certificate and the seal that signs reports.

Made on first use, for one venue each; the private keys are encrypted at rest. Pure of Django:
the folder, the passphrase, the names and the time come in as arguments.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID, ObjectIdentifier

DOCUMENT_SIGNING = ObjectIdentifier("1.3.6.1.5.5.7.3.36")  # RFC 9336, id-kp-documentSigning
YEAR = timedelta(days=365)
ROOT_LIFE, SEAL_LIFE = 20 * YEAR, 10 * YEAR
LONGEST_NAME = 64  # RFC 5280, appendix A: ub-common-name and ub-organization-name


class KeysUnreadable(RuntimeError):
    """The keys are there but cannot be opened: the passphrase changed or a file was damaged."""


class SealExpired(RuntimeError):
    """The seal's certificate has run out; a new one must be made before anything is signed."""


@dataclass(frozen=True)
class Seal:
    """What signs, and the root that a stranger needs to check it."""

    key: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate
    root: x509.Certificate

    @property
    def root_pem(self) -> bytes:
        return self.root.public_bytes(serialization.Encoding.PEM)

    @property
    def root_fingerprint(self) -> str:
        return self.root.fingerprint(hashes.SHA256()).hex()

    @property
    def fingerprint(self) -> str:
        return self.certificate.fingerprint(hashes.SHA256()).hex()


def seal_of(
    folder: Path, slug: str, venue: str, organisation: str, passphrase: bytes, at: datetime
) -> Seal:
    """The venue's seal, made if there is none yet. Raises KeysUnreadable, SealExpired."""
    home = folder / slug
    if not home.is_dir():
        _make_keys(home, venue, organisation, passphrase, at)
    seal = _opened(home, passphrase)
    if at > seal.certificate.not_valid_after_utc:
        raise SealExpired(
            f"The report seal of {venue} ran out on {seal.certificate.not_valid_after_utc:%Y-%m-%d}."
        )
    return seal


def _make_keys(home: Path, venue: str, organisation: str, passphrase: bytes, at: datetime) -> None:
    home.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=".making-", dir=home.parent))
    try:
        root_key, seal_key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
        root = _root_certificate(root_key, venue, organisation, at)
        seal = _seal_certificate(seal_key, root_key, root, venue, organisation, at)
        for name, key in (("root.key", root_key), ("seal.key", seal_key)):
            _write(fresh / name, _encrypted(key, passphrase))
        for name, certificate in (("root.pem", root), ("seal.pem", seal)):
            _write(fresh / name, certificate.public_bytes(serialization.Encoding.PEM))
        _move_into_place(fresh, home)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _move_into_place(fresh: Path, home: Path) -> None:
    # Renaming a folder onto one that holds files fails, so of two processes one wins whole.
    try:
        fresh.rename(home)
    except OSError:
        if not home.is_dir():
            raise


def _write(path: Path, content: bytes) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _encrypted(key: ec.EllipticCurvePrivateKey, passphrase: bytes) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.BestAvailableEncryption(passphrase),
    )


def _opened(home: Path, passphrase: bytes) -> Seal:
    try:
        key = serialization.load_pem_private_key((home / "seal.key").read_bytes(), passphrase)
        certificate = x509.load_pem_x509_certificate((home / "seal.pem").read_bytes())
        root = x509.load_pem_x509_certificate((home / "root.pem").read_bytes())
    except (OSError, ValueError, TypeError) as fault:
        raise KeysUnreadable(
            "The signing keys cannot be opened. Was the secret changed, or a file in the key folder damaged?"
        ) from fault
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise KeysUnreadable("The signing key is not of the kind that was made here.")
    return Seal(key, certificate, root)


def _name(common: str, organisation: str) -> x509.Name:
    pairs = ((NameOID.COMMON_NAME, common), (NameOID.ORGANIZATION_NAME, organisation))
    return x509.Name([x509.NameAttribute(oid, text[:LONGEST_NAME]) for oid, text in pairs if text])


def _root_certificate(
    key: ec.EllipticCurvePrivateKey, venue: str, organisation: str, at: datetime
) -> x509.Certificate:
    name = _name(f"{venue}, root of report seals", organisation)
    return (
        _begun(name, name, key, at, ROOT_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .sign(key, hashes.SHA256())
    )


def _seal_certificate(
    key: ec.EllipticCurvePrivateKey,
    root_key: ec.EllipticCurvePrivateKey,
    root: x509.Certificate,
    venue: str,
    organisation: str,
    at: datetime,
) -> x509.Certificate:
    purposes = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.EMAIL_PROTECTION, DOCUMENT_SIGNING])
    return (
        _begun(_name(f"{venue}, report seal", organisation), root.subject, key, at, SEAL_LIFE)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(purposes, critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()),
            critical=False,
        )
        .sign(root_key, hashes.SHA256())
    )


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    at: datetime,
    life: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        # A day back, so that a verifier whose clock is behind does not refuse it.
        .not_valid_before(at - timedelta(days=1))
        .not_valid_after(at + life)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
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
