"""A time-stamp authority of the tests' own: openssl answers, behind a loopback address."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socket import socket
from threading import Thread

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

# The number that RFC 5612 keeps for examples, so that the policy is nobody's.
CONFIGURATION = """
[tsa]
default_tsa = own
[own]
serial = {folder}/serial
certs = {folder}/root.pem
signer_cert = {folder}/tsa.pem
signer_key = {folder}/tsa.key
signer_digest = sha256
default_policy = 1.3.6.1.4.1.32473.1
digests = sha256
accuracy = secs:1
ess_cert_id_alg = sha256
"""


def free_port() -> int:
    with socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


def make_authority(folder: Path, port: int = 0) -> Path:
    """The folder with its keys; the root certificate is root.pem. `port`: where it will answer, if its
    certificate is to name a revocation list there."""
    folder.mkdir()
    root_key, key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
    root_name, name = _name("Root of the tests' time stamps"), _name("Time stamps of the tests")
    root = _begun(root_name, root_name, root_key, ca=True).sign(root_key, hashes.SHA256())
    purpose = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING])
    begun = _begun(name, root_name, key, ca=False).add_extension(purpose, critical=True)
    if port:
        begun = begun.add_extension(_list_at(f"http://127.0.0.1:{port}/list.crl"), critical=False)
        told = _list(root_name).sign(root_key, hashes.SHA256())
        (folder / "list.crl").write_bytes(told.public_bytes(serialization.Encoding.DER))
    certificate = begun.sign(root_key, hashes.SHA256())
    pem = serialization.Encoding.PEM
    (folder / "root.pem").write_bytes(root.public_bytes(pem))
    (folder / "tsa.pem").write_bytes(certificate.public_bytes(pem))
    plain = (serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    (folder / "tsa.key").write_bytes(key.private_bytes(pem, *plain))
    (folder / "serial").write_text("01\n")
    (folder / "tsa.cnf").write_text(CONFIGURATION.format(folder=folder))
    return folder


def _list_at(address: str) -> x509.CRLDistributionPoints:
    named = [x509.UniformResourceIdentifier(address)]
    return x509.CRLDistributionPoints([x509.DistributionPoint(named, None, None, None)])


def _list(issuer: x509.Name) -> x509.CertificateRevocationListBuilder:
    now = datetime.now(UTC)
    begun = x509.CertificateRevocationListBuilder().issuer_name(issuer)
    return begun.last_update(now).next_update(now + timedelta(days=30))


def _name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _begun(
    name: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, *, ca: bool
) -> x509.CertificateBuilder:
    now = datetime.now(UTC)
    usage = dict.fromkeys(
        ("key_encipherment", "data_encipherment", "key_agreement", "encipher_only",
         "decipher_only"), False,
    )  # fmt: skip
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=3650))
        .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
        .add_extension(
            x509.KeyUsage(
                digital_signature=not ca,
                content_commitment=not ca,
                key_cert_sign=ca,
                crl_sign=ca,
                **usage,
            ),
            critical=True,
        )
    )


@contextmanager
def answering(folder: Path, port: int = 0) -> Iterator[str]:
    """The authority's address while it answers."""

    class Answers(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            query, reply = folder / "query.tsq", folder / "reply.tsr"
            query.write_bytes(self.rfile.read(int(self.headers["Content-Length"])))
            command = ["openssl", "ts", "-reply", "-config", folder / "tsa.cnf", "-queryfile"]
            subprocess.run([*command, query, "-out", reply], check=True, capture_output=True)
            self.send_response(200)
            self.end_headers()
            self.wfile.write(reply.read_bytes())

        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write((folder / "list.crl").read_bytes())

        def log_message(self, *words: object) -> None:
            """Quietly."""

    server = ThreadingHTTPServer(("127.0.0.1", port), Answers)
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
