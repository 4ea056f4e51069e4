"""The house's own authority and the certificate for its server, checked by other programs."""

from __future__ import annotations

import shutil
import socket
import ssl
import stat
import subprocess
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest

from config.setup.certificate import make_certificate

HOSTS = ["loft.house.example", "192.168.1.20", "localhost", "127.0.0.1"]


def test_openssl_says_that_the_chain_holds_for_each_name_and_for_no_other(tmp_path: Path) -> None:
    program = shutil.which("openssl")
    if program is None:
        pytest.skip("openssl is not installed")
    authority = make_certificate(tmp_path, HOSTS, datetime.now(UTC))
    ask = [program, "verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", str(authority)]
    server = str(tmp_path / "server.pem")
    for host in HOSTS:
        way = "-verify_ip" if host[0].isdigit() else "-verify_hostname"
        subprocess.run([*ask, way, host, server], check=True, capture_output=True)
    elsewhere = [*ask, "-verify_hostname", "bank.example", server]
    other = subprocess.run(elsewhere, check=False, capture_output=True)
    assert other.returncode != 0


def test_a_real_connection_trusts_it_with_the_authority_and_not_without(tmp_path: Path) -> None:
    authority = make_certificate(tmp_path, HOSTS, datetime.now(UTC))
    port = _serve(tmp_path)
    trusting = ssl.create_default_context(cafile=authority)
    with (
        socket.create_connection(("127.0.0.1", port)) as plain,
        trusting.wrap_socket(plain, server_hostname="localhost") as secured,
    ):
        assert secured.version() in ("TLSv1.2", "TLSv1.3")
    with socket.create_connection(("127.0.0.1", port)) as plain, pytest.raises(ssl.SSLError):
        ssl.create_default_context().wrap_socket(plain, server_hostname="localhost")


def test_renewing_keeps_the_authority_that_the_phones_trust(tmp_path: Path) -> None:
    first = make_certificate(tmp_path, HOSTS, datetime.now(UTC)).read_bytes()
    before = (tmp_path / "server.pem").read_bytes()
    assert make_certificate(tmp_path, HOSTS, datetime.now(UTC)).read_bytes() == first
    assert (tmp_path / "server.pem").read_bytes() != before
    other = make_certificate(tmp_path, [*HOSTS, "new.example"], datetime.now(UTC))
    assert other.read_bytes() != first, "it may not vouch for a name it was not made for"


def test_nobody_else_on_the_machine_reads_a_key(tmp_path: Path) -> None:
    make_certificate(tmp_path / "tls", HOSTS, datetime.now(UTC))
    for name in ("server.key", "house-authority.key"):
        assert stat.S_IMODE((tmp_path / "tls" / name).stat().st_mode) == 0o600


def _serve(folder: Path) -> int:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(folder / "server.pem", folder / "server.key")
    listener = socket.create_server(("127.0.0.1", 0))

    def answer() -> None:
        while True:
            try:
                plain, _ = listener.accept()
                with context.wrap_socket(plain, server_side=True):
                    pass
            except OSError:
                continue

    threading.Thread(target=answer, daemon=True).start()
    return int(listener.getsockname()[1])
