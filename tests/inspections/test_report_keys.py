"""A venue's signing keys: made once, kept private, refused when they cannot be opened."""

from __future__ import annotations

import stat
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from inspections.reports.certificates import DOCUMENT_SIGNING
from inspections.reports.keys import KeysUnreadable, Seal, SealExpired, seal_of

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)


def make_seal(folder: Path, at: datetime = AT, passphrase: bytes = b"quay row") -> Seal:
    return seal_of(folder, "larkspur", "The Larkspur", "Larkspur Trust", passphrase, at)


def test_keys_are_made_once_and_then_found_again(tmp_path: Path) -> None:
    first, again = make_seal(tmp_path), make_seal(tmp_path, AT + timedelta(days=300))
    assert first.fingerprint == again.fingerprint
    assert first.root_fingerprint == again.root_fingerprint


def test_the_seal_is_issued_by_the_root_and_may_sign_documents_but_no_certificates(
    tmp_path: Path,
) -> None:
    seal = make_seal(tmp_path)
    seal.certificate.verify_directly_issued_by(seal.root)
    purposes = seal.certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    usage = seal.certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    assert DOCUMENT_SIGNING in purposes
    assert usage.content_commitment
    assert not usage.key_cert_sign
    subject = seal.certificate.subject.rfc4514_string()
    assert "CN=The Larkspur\\, report seal" in subject


def test_nobody_else_on_the_machine_may_read_the_keys_and_they_are_encrypted(
    tmp_path: Path,
) -> None:
    make_seal(tmp_path)
    files = sorted((tmp_path / "larkspur").iterdir())
    assert [path.name for path in files] == ["root.key", "root.pem", "seal.key", "seal.pem"]
    assert {stat.S_IMODE(path.stat().st_mode) for path in files} == {0o600}
    assert stat.S_IMODE((tmp_path / "larkspur").stat().st_mode) == 0o700
    for name in ("root.key", "seal.key"):
        assert b"ENCRYPTED PRIVATE KEY" in (tmp_path / "larkspur" / name).read_bytes()


def test_a_changed_secret_is_said_to_be_that_and_makes_no_new_key(tmp_path: Path) -> None:
    before = make_seal(tmp_path).fingerprint
    with pytest.raises(KeysUnreadable, match="secret changed"):
        make_seal(tmp_path, passphrase=b"another")
    assert make_seal(tmp_path).fingerprint == before


def test_an_expired_seal_signs_nothing(tmp_path: Path) -> None:
    make_seal(tmp_path)
    with pytest.raises(SealExpired, match="ran out"):
        make_seal(tmp_path, AT + timedelta(days=3651))


def test_eight_at_once_get_one_and_the_same_key(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        seals = list(pool.map(lambda _: make_seal(tmp_path), range(8)))
    assert len(seals) == 8
    assert len({seal.fingerprint for seal in seals}) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["larkspur"]


def test_a_long_name_is_cut_to_what_a_certificate_may_hold(tmp_path: Path) -> None:
    seal = seal_of(tmp_path, "long", "The Larkspur " * 12, "Larkspur Trust", b"x", AT)
    assert (
        len(seal.certificate.subject.get_attributes_for_oid(x509.NameOID.COMMON_NAME)[0].value)
        == 64
    )
