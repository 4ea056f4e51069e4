"""A venue's signing keys: made once, kept private, refused when they cannot be opened."""

from __future__ import annotations

import stat
import subprocess
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from asn1crypto import pem
from asn1crypto.keys import EncryptedPrivateKeyInfo
from cryptography import x509
from cryptography.hazmat.primitives import serialization

from config import settings
from inspections.reports.certificates import DOCUMENT_SIGNING, Names
from inspections.reports.key_files import ROUNDS, opened, rounds_of
from inspections.reports.keys import KeysUnreadable, Ring, Seal, SealExpired, seal_of
from tests.inspections.outside_tools import tool

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)


def make_seal(folder: Path, at: datetime = AT, passphrase: bytes = b"quay row") -> Seal:
    return ring(folder, passphrase).seal(at)


def ring(folder: Path, passphrase: bytes = b"quay row", rounds: int = 1000) -> Ring:
    return Ring(
        folder, "larkspur", Names("The Larkspur", "Larkspur Trust"), passphrase, rounds=rounds
    )


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


def test_the_secret_is_hashed_at_least_600_000_times_for_a_file_unless_a_test_asks_for_less(
    tmp_path: Path,
) -> None:
    assert settings.LOFTBOOK_KEY_ROUNDS >= 600_000
    assert ROUNDS >= 600_000
    seal_of(tmp_path, "larkspur", "The Larkspur", "Larkspur Trust", b"quay row", AT)
    for name in ("root.key", "seal.key"):
        assert rounds_of((tmp_path / "larkspur" / name).read_bytes()) == ROUNDS


def test_openssl_opens_a_key_file_with_the_secret_and_with_no_other(tmp_path: Path) -> None:
    seal = make_seal(tmp_path)
    command = [tool("openssl", "openssl"), "pkey", "-in", str(tmp_path / "larkspur" / "seal.key"),
               "-pubout", "-passin"]  # fmt: skip
    said = subprocess.run([*command, "pass:quay row"], capture_output=True, check=True).stdout
    assert said == seal.certificate.public_key().public_bytes(
        serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo
    )
    assert subprocess.run([*command, "pass:other"], capture_output=True, check=False).returncode


def test_an_older_file_of_few_rounds_is_opened_and_made_stronger_when_asked(tmp_path: Path) -> None:
    seal = make_seal(tmp_path)
    path = tmp_path / "larkspur" / "seal.key"
    assert seal.key
    old = seal.key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.BestAvailableEncryption(b"quay row"),
    )
    path.write_bytes(old)
    assert rounds_of(old) < 10_000
    assert make_seal(tmp_path).fingerprint == seal.fingerprint
    ring(tmp_path, rounds=20_000).encrypt_anew(b"quay row")
    assert rounds_of(path.read_bytes()) == 20_000
    found = make_seal(tmp_path)
    assert found.key
    assert found.key.private_numbers() == seal.key.private_numbers()


def test_a_key_that_was_opened_before_signs_no_more_once_its_file_is_gone(tmp_path: Path) -> None:
    """It is kept open in memory; the file is asked for each time, and the secret too."""
    opened.cache_clear()
    make_seal(tmp_path)
    make_seal(tmp_path)
    assert opened.cache_info().hits >= 1
    with pytest.raises(KeysUnreadable):
        make_seal(tmp_path, passphrase=b"another")
    (tmp_path / "larkspur" / "seal.key").unlink()
    assert make_seal(tmp_path).key is None


def test_a_file_that_asks_for_endless_hashing_is_refused_at_once(tmp_path: Path) -> None:
    make_seal(tmp_path)
    path = tmp_path / "larkspur" / "seal.key"
    told = EncryptedPrivateKeyInfo.load(pem.unarmor(path.read_bytes())[2])
    derivation = told["encryption_algorithm"]["parameters"]["key_derivation_func"]
    derivation["parameters"]["iteration_count"] = 2**40
    path.write_bytes(pem.armor("ENCRYPTED PRIVATE KEY", told.dump(force=True)))
    with pytest.raises(KeysUnreadable):
        make_seal(tmp_path)
