"""Whoever was handed a bundle verifies the signature of a check: with `cryptography` alone, with
openssl by the commands of the README, and with the script that lies in the bundle."""

from __future__ import annotations

import base64
import csv
import hashlib
import json
import subprocess
import zipfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    PublicFormat,
    load_pem_public_key,
)
from django.utils import timezone

from inspections.actions.export_evidence import export_evidence
from tests.house import PASSWORD
from tests.inspections.test_signing_a_check import house, sent_check, sign, signature

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
__all__ = ["house"]


@pytest.fixture
def bundle(house: Any, settings: Any, tmp_path: Path) -> Path:
    """Three checks: one signed by passkey, one by password, one by nobody."""
    settings.LOFTBOOK_FILES = tmp_path / "files"
    first, second, _ = (sent_check(house, task=None, remark=each) for each in ("é", "two", "three"))
    assert sign(house.phone, first.pk, signature(house, first, house.mine)).status_code == 200
    house.phone.post(f"/v/larkspur/records/{second.pk}/sign/", {"password": PASSWORD})
    now = timezone.now()
    day, out = now.astimezone(house.venue.zone).date(), tmp_path / "evidence.zip"
    before = day - timedelta(days=1)  # they were done some hours ago, which may be yesterday
    export_evidence(
        venue=house.venue, start=before, end=day, out=out, by=house.people["manager"], at=now
    )
    with zipfile.ZipFile(out) as packed:
        packed.extractall(tmp_path)
    return next(tmp_path.glob("bundle-*"))


def table(bundle: Path, name: str) -> list[dict[str, str]]:
    with (bundle / "data" / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def signed_by_key(bundle: Path) -> tuple[dict[str, str], Path]:
    row = next(row for row in table(bundle, "signatures.csv") if row["how"] == "passkey")
    return row, bundle / "data" / "signatures" / row["signature"]


def verify(folder: Path) -> dict[str, Any]:
    """What the device was asked, if the signature holds. Knows nothing of Loftbook."""
    client = (folder / "client-data.json").read_bytes()
    signed = (folder / "signed-bytes.bin").read_bytes()
    key = load_pem_public_key((folder / "public-key.pem").read_bytes())
    assert isinstance(key, ec.EllipticCurvePublicKey)
    assert signed[32:][-32:] == hashlib.sha256(client).digest()
    key.verify((folder / "signature.bin").read_bytes(), signed, ec.ECDSA(hashes.SHA256()))
    return json.loads(client)


def run(bundle: Path, *command: str) -> str:
    done = subprocess.run(command, cwd=bundle, capture_output=True, text=True, check=False)
    return f"{done.stdout}{done.stderr} {done.returncode}"


def test_cryptography_alone_verifies_it_down_to_the_record(bundle: Path) -> None:
    row, folder = signed_by_key(bundle)
    asked = verify(folder)
    message = (folder / "message.json").read_bytes()
    digest = hashlib.sha256(message).digest()
    assert base64.urlsafe_b64decode(asked["challenge"] + "=") == digest
    record = json.loads((bundle / "data" / "records" / f"{row['record']}.json").read_bytes())
    assert record["phone"]["message_sha256"] == digest.hex() == row["message sha256"]
    assert json.loads(message)["remark"] == record["remark"] == "é"


def test_a_byte_changed_in_any_part_is_found_by_cryptography_alone(bundle: Path) -> None:
    _, folder = signed_by_key(bundle)
    whole = (folder / "signed-bytes.bin").read_bytes()
    (folder / "signed-bytes.bin").write_bytes(bytes([whole[0] ^ 1]) + whole[1:])
    with pytest.raises(InvalidSignature):
        verify(folder)


def test_the_commands_of_the_readme_verify_it_by_hand(bundle: Path) -> None:
    _, folder = signed_by_key(bundle)
    lines = (bundle / "README-VERIFY.txt").read_text().splitlines()
    first, second = (line.strip() for line in lines if line.endswith((".bin", " message.json")))
    assert run(folder, "bash", "-c", first) == "Verified OK\n 0"
    said = run(folder, "bash", "-c", second).split()
    client = hashlib.sha256((folder / "client-data.json").read_bytes()).hexdigest()
    assert said[:2] == [client, client]


def test_the_script_of_the_bundle_says_who_signed_and_how_many_nobody_did(bundle: Path) -> None:
    said = run(bundle, "python3", "-I", "verify_signatures.py")
    assert said == (
        "SIGNATURES OK: 1 by passkey; 1 by password, which only the book says; "
        "1 records that nobody signed\n 0"
    )
    assert sorted(row["signed"] for row in table(bundle, "records.csv")) == [
        "nobody", "passkey", "password"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "old", "new", "why"),
    [
        ("message.json", b"two", b"too", "the record names another message"),
        ("client-data.json", b"webauthn.get", b"webauthn.got", "something else"),
        ("signature.bin", None, b"\0", "the signature does not hold"),
        ("signed-bytes.bin", None, b"\0", "the signature does not hold"),
        ("public-key.pem", b"PUBLIC", b"PUBLLC", "the log names another key"),
    ],
)
def test_the_script_finds_a_changed_byte_in_every_part(
    bundle: Path, name: str, old: bytes | None, new: bytes, why: str
) -> None:
    path = signed_by_key(bundle)[1] / name
    whole = path.read_bytes()
    changed = whole.replace(old, new) if old and old in whole else new + whole[1:]
    assert changed != whole
    path.write_bytes(changed)
    said = run(bundle, "python3", "-I", "verify_signatures.py")
    assert why in said
    assert said.endswith(" 1")
    assert "SIGNATURES OK" not in said


def test_the_signature_of_another_key_is_found_though_it_holds(bundle: Path) -> None:
    """Whoever forges a bundle may sign anew; the log still names the key that was the person's."""
    _, folder = signed_by_key(bundle)
    other = ec.generate_private_key(ec.SECP256R1())
    signed = (folder / "signed-bytes.bin").read_bytes()
    (folder / "signature.bin").write_bytes(other.sign(signed, ec.ECDSA(hashes.SHA256())))
    pem = other.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
    (folder / "public-key.pem").write_bytes(pem)
    verify(folder)
    said = run(bundle, "python3", "-I", "verify_signatures.py")
    assert "the log names another key, or none" in said
    assert "does not hold" not in said
