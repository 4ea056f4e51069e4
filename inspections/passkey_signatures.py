"""Verify what a passkey signed (WebAuthn Level 2, section 7.2): the challenge is the SHA-256 of the
message as sent, so the signature holds for those bytes and no others. Pure."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa
from fido2.cose import CoseKey
from fido2.server import Fido2Server
from fido2.utils import websafe_encode
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticationResponse,
    PublicKeyCredentialRpEntity,
)

LONGEST_PART = 4000


class NotSigned(ValueError):
    """The signature does not hold, with the reason in words."""


@dataclass(frozen=True)
class SignatureMessage:
    """What a phone sends beside a check: whose, over which check, and the passkey's answer."""

    person: int
    check: UUID
    credential: Mapping[str, Any]


@dataclass(frozen=True)
class Signed:
    """The parts of a signature that holds; base64url where nothing else is said."""

    credential_id: str
    algorithm: str  # as COSE names it: ES256, RS256, EdDSA
    public_key: str  # PEM, which every tool reads
    authenticator_data: str
    client_data: str
    signature: str
    person_verified: bool


def read_signature(text: str) -> SignatureMessage:
    """Raises NotSigned with a sentence."""
    try:
        said = json.loads(text)
        parts = {name: str(said["response"][name])[:LONGEST_PART] for name in PARTS}
        credential = {
            "id": str(said["credential"]), "rawId": str(said["credential"]), "type": "public-key",
            "response": parts, "clientExtensionResults": {},
        }  # fmt: skip
        return SignatureMessage(int(said["person"]), UUID(said["check"]), credential)
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError) as fault:
        raise NotSigned("This is not a signature as a phone sends it.") from fault


PARTS = ("clientDataJSON", "authenticatorData", "signature")


def verify_signature(
    said: SignatureMessage, sha256: str, origin: str, passkeys: Sequence[AttestedCredentialData]
) -> Signed:
    """`sha256`: of the message as sent, in hex. `origin`: where the person signed in, and signs.
    `passkeys`: those registered by this person. Raises NotSigned with the reason."""
    host = urlsplit(origin).hostname or ""
    server = Fido2Server(
        PublicKeyCredentialRpEntity(id=host, name="Loftbook"), verify_origin=lambda at: at == origin
    )
    # The person is asked for by the device where it can; what it did is kept and shown.
    asked = {"challenge": websafe_encode(bytes.fromhex(sha256)), "user_verification": None}
    try:
        response = AuthenticationResponse.from_dict(said.credential)
        passkey = server.authenticate_complete(asked, passkeys, response)
        key = pem_of(passkey.public_key)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as fault:
        raise NotSigned(f"The passkey's signature does not hold: {fault}") from fault
    if response.response.client_data.cross_origin:
        raise NotSigned("The passkey's signature does not hold: it was asked for by another page.")
    data = response.response.authenticator_data
    return Signed(
        credential_id=websafe_encode(passkey.credential_id),
        algorithm=type(passkey.public_key).__name__,
        public_key=key,
        authenticator_data=websafe_encode(bytes(data)),
        client_data=websafe_encode(bytes(response.response.client_data)),
        signature=websafe_encode(response.response.signature),
        person_verified=data.is_user_verified(),
    )


CURVES: Mapping[int, type[ec.EllipticCurve]] = {
    1: ec.SECP256R1, 2: ec.SECP384R1, 3: ec.SECP521R1, 8: ec.SECP256K1
}  # fmt: skip


def pem_of(key: CoseKey) -> str:
    """A passkey's public key as a PEM text (RFC 9052 and 9053: 1 is the kind of key, 2 an elliptic
    curve, 3 RSA, 1 an octet pair). Raises ValueError for any other kind."""
    if key[1] == 2:
        x, y = (int.from_bytes(key[name], "big") for name in (-2, -3))
        public: Any = ec.EllipticCurvePublicNumbers(x, y, CURVES[key[-1]]()).public_key()
    elif key[1] == 3:
        n, e = (int.from_bytes(key[name], "big") for name in (-1, -2))
        public = rsa.RSAPublicNumbers(e, n).public_key()
    elif key[1] == 1 and key[-1] == 6:
        public = ed25519.Ed25519PublicKey.from_public_bytes(key[-2])
    else:
        raise ValueError("this kind of key is not known here")
    form = serialization.PublicFormat.SubjectPublicKeyInfo
    return str(public.public_bytes(serialization.Encoding.PEM, form).decode())
