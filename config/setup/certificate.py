"""`make certificate`: a certificate for this machine, from an authority of the house's own.

Phones keep pages without signal only over HTTPS that they trust. The authority can vouch for this
machine's names and addresses and for nothing else (RFC 5280, 4.2.1.10, name constraints), so a
phone that trusts it is not opened to anybody who steals it.
"""

import ipaddress
import os
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from config.setup.addresses import house_address
from config.setup.places import TLS
from config.setup.speech import say

AUTHORITY_DAYS = 3650
# Phones refuse certificates that are valid much longer than a year.
SERVER_DAYS = 397
Key = ec.EllipticCurvePrivateKey


def make_certificate(folder: Path, hosts: list[str], now: datetime) -> Path:
    """Write the server's key and certificate, and the authority's where there is none for these
    hosts; return the authority's certificate, which phones are told to trust."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    authority, authority_key = _authority(folder, hosts, now)
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = _server(hosts, key, authority, authority_key, now)
    chain = _pem(certificate) + _pem(authority)
    _write(folder / "server.key", _key_pem(key), secret=True)
    _write(folder / "server.pem", chain)
    return folder / "house-authority.crt"


def _authority(folder: Path, hosts: list[str], now: datetime) -> tuple[x509.Certificate, Key]:
    """The house's authority; a new one where it may not vouch for one of the hosts."""
    at, at_key = folder / "house-authority.crt", folder / "house-authority.key"
    if at.exists() and at_key.exists():
        known = x509.load_pem_x509_certificate(at.read_bytes())
        key = serialization.load_pem_private_key(at_key.read_bytes(), password=None)
        if _permitted(known) == set(_names(hosts)) and known.not_valid_after_utc > now:
            assert isinstance(key, Key)
            return known, key
    key = ec.generate_private_key(ec.SECP256R1())
    made = _new_authority(hosts, key, now)
    _write(at_key, _key_pem(key), secret=True)
    _write(at, _pem(made))
    return made, key


def _new_authority(hosts: list[str], key: Key, now: datetime) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Loftbook authority of {hosts[0]}")])
    constraints = x509.NameConstraints([_constraint(each) for each in _names(hosts)], None)
    usage = x509.KeyUsage(
        digital_signature=False, key_cert_sign=True, crl_sign=True, content_commitment=False,
        key_encipherment=False, data_encipherment=False, key_agreement=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
    return (
        _begun(name, name, key, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(constraints, critical=True)
        .sign(key, hashes.SHA256())
    )


def _server(
    hosts: list[str], key: Key, authority: x509.Certificate, authority_key: Key, now: datetime
) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, hosts[0])])
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key())
    return (
        _begun(name, authority.subject, key, now, SERVER_DAYS)
        .add_extension(x509.SubjectAlternativeName(_names(hosts)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(issuer, critical=False)
        .sign(authority_key, hashes.SHA256())
    )


def _begun(
    name: x509.Name, issuer: x509.Name, key: Key, now: datetime, days: int
) -> x509.CertificateBuilder:
    identifier = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        # A phone whose clock is a little slow must not find it not yet valid.
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=days))
        .add_extension(identifier, critical=False)
    )


def _names(hosts: list[str]) -> list[x509.GeneralName]:
    return [_name(host) for host in hosts]


def _name(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def _constraint(name: x509.GeneralName) -> x509.GeneralName:
    """An address is constrained as the network of that one address."""
    if isinstance(name, x509.IPAddress):
        return x509.IPAddress(ipaddress.ip_network(str(name.value)))
    return name


def _permitted(authority: x509.Certificate) -> set[x509.GeneralName]:
    found = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    return {_without_network(each) for each in found.permitted_subtrees or []}


def _without_network(name: x509.GeneralName) -> x509.GeneralName:
    if isinstance(name, x509.IPAddress):
        return x509.IPAddress(ipaddress.ip_address(str(name.value).split("/")[0]))
    return name


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def _key_pem(key: Key) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _write(file: Path, content: bytes, *, secret: bool = False) -> None:
    """A key is never readable by others, not even for a moment."""
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600 if secret else 0o644)
    with os.fdopen(handle, "wb") as out:
        out.write(content)


def main(words: list[str]) -> int:
    hosts = list(dict.fromkeys([*words, house_address(), "localhost", "127.0.0.1"]))
    authority = make_certificate(TLS, hosts, datetime.now(UTC))
    say(
        f"A certificate for {', '.join(hosts)} is made; `make run` serves HTTPS with it from now on."
    )
    say(f"Put {authority} on each phone and let the phone trust it: see docs/https.md.")
    say("To go back to plain HTTP, delete that folder.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
