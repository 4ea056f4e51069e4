"""A passkey's signature holds for the bytes, the person's key and the place, or not at all."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any
from uuid import uuid4

import pytest
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import Aaguid, AttestedCredentialData, AuthenticatorData, CollectedClientData

from inspections.passkey_signatures import NotSigned, read_signature, verify_signature

ORIGIN = "https://loft.example.org"
MESSAGE = sha256(b"the answers").hexdigest()
PRESENT, VERIFIED = 0x01, 0x04


class Device:
    """A passkey in software: what a phone's own would sign, and how."""

    def __init__(self, name: bytes) -> None:
        self.key = ec.generate_private_key(ec.SECP256R1())
        public = ES256.from_cryptography_key(self.key.public_key())
        self.passkey = AttestedCredentialData.create(Aaguid(b"\0" * 16), name, public)

    def signs(
        self, digest: str, origin: str = ORIGIN, host: str = "loft.example.org",
        flags: int = PRESENT | VERIFIED, what: str = "webauthn.get",
    ) -> dict[str, Any]:  # fmt: skip
        data = AuthenticatorData.create(sha256(host.encode()).digest(), flags, 1)
        client = CollectedClientData.create(what, bytes.fromhex(digest), origin)
        signature = self.key.sign(data + client.hash, ec.ECDSA(hashes.SHA256()))
        return {
            "person": 7, "check": str(uuid4()),
            "credential": websafe_encode(self.passkey.credential_id),
            "response": {
                "clientDataJSON": websafe_encode(client), "authenticatorData": websafe_encode(data),
                "signature": websafe_encode(signature),
            },
        }  # fmt: skip


MINE, ANOTHERS = Device(b"mine"), Device(b"anothers")


def verified(said: dict[str, Any], digest: str = MESSAGE) -> Any:
    return verify_signature(read_signature(json.dumps(said)), digest, ORIGIN, [MINE.passkey])


def test_the_persons_own_passkey_over_these_bytes_holds_and_its_key_is_kept() -> None:
    signed = verified(MINE.signs(MESSAGE))
    assert signed.credential_id == websafe_encode(b"mine")
    assert signed.person_verified
    assert signed.public_key
    assert not verified(MINE.signs(MESSAGE, flags=PRESENT)).person_verified


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (MINE.signs(sha256(b"other answers").hexdigest()), "challenge"),
        (ANOTHERS.signs(MESSAGE), "credential"),
        (MINE.signs(MESSAGE, origin="https://elsewhere.example.org"), "origin"),
        (MINE.signs(MESSAGE, host="elsewhere.example.org"), "RP ID"),
        (MINE.signs(MESSAGE, flags=VERIFIED), "Present"),
        (MINE.signs(MESSAGE, what="webauthn.create"), "type"),
    ],
)
def test_another_challenge_key_place_or_kind_is_refused_with_the_reason(
    said: dict[str, Any], why: str
) -> None:
    with pytest.raises(NotSigned, match=why):
        verified(said)


def test_anothers_key_under_the_name_of_mine_is_refused() -> None:
    said = ANOTHERS.signs(MESSAGE) | {"credential": websafe_encode(b"mine")}
    with pytest.raises(NotSigned, match="Invalid signature"):
        verified(said)


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"person": 1}', '{"person": 1, "check": "x", "response": {}}']
)
def test_what_is_no_signature_is_refused_in_words(text: str) -> None:
    with pytest.raises(NotSigned, match="as a phone sends it"):
        read_signature(text)


@pytest.mark.parametrize("part", ["clientDataJSON", "authenticatorData", "signature"])
@pytest.mark.parametrize("spoilt", ["", "AAAA", "no base64 \u00e9"])
def test_a_spoilt_part_is_refused_and_breaks_nothing(part: str, spoilt: str) -> None:
    said = MINE.signs(MESSAGE)
    said["response"][part] = spoilt
    with pytest.raises(NotSigned):
        verified(said)
