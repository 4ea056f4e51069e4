"""A push service on loopback, over HTTPS with a certificate of its own (RFC 8030), and the browser
behind it, which reads what was sent by a library that shares no code with ours."""

from __future__ import annotations

import os
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread
from typing import Any

import http_ece
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from venue.push import outside
from venue.push.encryption import point_of
from venue.push.letters import written

HOST = "push.example.net"
KEY = written(bytes(range(1, 33)))  # the installation's key in these tests
CONTACT = "odile@larkspur.example"


@dataclass
class Browser:
    """A subscription: its address at the service, and the keys that only the browser has."""

    name: str
    private: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )
    secret: bytes = field(default_factory=lambda: os.urandom(16))

    @property
    def endpoint(self) -> str:
        return f"https://{HOST}/send/{self.name}"

    @property
    def given(self) -> dict[str, str]:
        point = point_of(self.private.public_key())
        return {"endpoint": self.endpoint, "p256dh": written(point), "auth": written(self.secret)}

    def reads(self, body: bytes) -> bytes:
        plain: bytes = http_ece.decrypt(
            body, private_key=self.private, auth_secret=self.secret, version="aes128gcm"
        )
        return plain


@dataclass
class Taken:
    path: str
    headers: dict[str, str]
    body: bytes


class PushService(ThreadingHTTPServer):
    """It answers 201 unless `answers` says otherwise for a path. `hang`: it never answers there."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Talk)
        self.taken: list[Taken] = []
        self.answers: dict[str, tuple[int, dict[str, str]]] = {}
        self.hang: set[str] = set()
        self.drip: set[str] = set()
        self.stopped = Event()

    @property
    def port(self) -> int:
        return int(self.server_address[1])

    def handle_error(self, *_: Any) -> None:
        """A caller that hangs up is what some tests are about."""

    def answer_with(self, browser: Browser, status: int, **headers: str) -> None:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        self.answers[f"/send/{browser.name}"] = (status, named)


class _Talk(BaseHTTPRequestHandler):
    server: PushService

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.taken.append(Taken(self.path, dict(self.headers), body))
        if self.path in self.server.hang:
            self.server.stopped.wait(60)
        elif self.path in self.server.drip:
            self.drip()
        else:
            self.answer()

    def answer(self) -> None:
        status, headers = self.server.answers.get(self.path, (201, {"Location": "/message/1"}))
        self.send_response(status)
        for name, value in {**headers, "Content-Length": "0"}.items():
            self.send_header(name, value)
        self.end_headers()

    def drip(self) -> None:
        """A byte now and then, so that no single wait is too long."""
        self.wfile.write(b"HTTP/1.1 201 Created\r\nX-Slow: ")
        while not self.server.stopped.wait(0.1):
            self.wfile.write(b"x")

    def log_message(self, *_: Any) -> None:
        pass


@contextmanager
def push_service(folder: Path, patch: pytest.MonkeyPatch) -> Iterator[PushService]:
    """Every name leads to it and its certificate is trusted, as long as it is there. Nothing in
    Loftbook can be told so: the two functions are exchanged by the test."""
    certificate, key = _certificate(folder)
    told = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    told.load_cert_chain(certificate, key)
    server = PushService()
    server.socket = told.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
    patch.setattr(outside, "looked_up", lambda host, port: ("127.0.0.1", server.port))
    patch.setattr(outside, "trusted", lambda: ssl.create_default_context(cafile=certificate))
    thread = Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.stopped.set()
        server.shutdown()
        thread.join(5)
        server.server_close()


def _certificate(folder: Path) -> tuple[Path, Path]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(1).not_valid_before(now - timedelta(days=1)).not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(HOST)]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    pem = serialization.Encoding.PEM
    files = folder / "push.pem", folder / "push.key"
    files[0].write_bytes(made.public_bytes(pem))
    plain = (serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    files[1].write_bytes(key.private_bytes(pem, *plain))
    return files
