"""Encrypt a push message for one browser (RFC 8291, in the coding aes128gcm of RFC 8188). Pure.

Only that browser can read it; the service between sees its length and to whom it goes.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from cryptography.hazmat.primitives.asymmetric.ec import (
    ECDH,
    SECP256R1,
    EllipticCurvePrivateKey,
    EllipticCurvePublicKey,
    generate_private_key,
)
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from venue.push.letters import read

RECORD_SIZE = 4096  # RFC 8291, section 4: one record, and no service need take more
POINT, SECRET, SALT = 65, 16, 16  # bytes
# What is left of a record for the words: header, delimiter and tag go off (RFC 8291, section 4).
MOST = RECORD_SIZE - 86 - 1 - 16
LAST_RECORD = b"\x02"


class NoReceiver(ValueError):
    """The keys are not those of a browser."""


@dataclass(frozen=True)
class Receiver:
    """The keys that a browser gives for one subscription: its point of P-256 and its secret."""

    point: bytes
    secret: bytes


def receiver_of(p256dh: str, auth: str) -> Receiver:
    """Raises NoReceiver for keys that nothing could be encrypted for."""
    try:
        found = Receiver(read(p256dh), read(auth))
        _public(found.point)
    except ValueError as fault:
        raise NoReceiver("These are not the keys of a browser.") from fault
    if len(found.point) != POINT or len(found.secret) != SECRET:
        raise NoReceiver("These are not the keys of a browser.")
    return found


def encrypted(
    plain: bytes,
    receiver: Receiver,
    *,
    own: EllipticCurvePrivateKey | None = None,
    salt: bytes | None = None,
) -> bytes:
    """The body to send: `own` and `salt` are made anew for every message and given only to repeat a
    printed example. Raises ValueError for more than 3,993 bytes."""
    if len(plain) > MOST:
        raise ValueError(f"{len(plain)} bytes are more than the {MOST} of one push message")
    own = own or generate_private_key(SECP256R1())
    salt = salt or secrets.token_bytes(SALT)
    own_point = point_of(own.public_key())
    shared = own.exchange(ECDH(), _public(receiver.point))
    about = b"WebPush: info\0" + receiver.point + own_point
    seed = _derived(shared, receiver.secret, about, 32)
    key = _derived(seed, salt, b"Content-Encoding: aes128gcm\0", 16)
    nonce = _derived(seed, salt, b"Content-Encoding: nonce\0", 12)
    header = salt + RECORD_SIZE.to_bytes(4, "big") + bytes([POINT]) + own_point
    return header + AESGCM(key).encrypt(nonce, plain + LAST_RECORD, None)


def point_of(key: EllipticCurvePublicKey) -> bytes:
    """65 bytes, uncompressed."""
    return key.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


def _public(point: bytes) -> EllipticCurvePublicKey:
    return EllipticCurvePublicKey.from_encoded_point(SECP256R1(), point)


def _derived(material: bytes, salt: bytes, about: bytes, length: int) -> bytes:
    return HKDF(SHA256(), length, salt, about).derive(material)
