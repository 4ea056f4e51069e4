"""Who sends: the installation's own key, and the signed word that goes with each message (VAPID,
RFC 8292). A browser takes messages of the key that it was asked with, and of no other. Pure."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from urllib.parse import urlsplit

from cryptography.hazmat.primitives.asymmetric.ec import (
    ECDSA,
    SECP256R1,
    EllipticCurvePrivateKey,
    derive_private_key,
)
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from venue.push.encryption import point_of
from venue.push.letters import read, written

GOOD_FOR = timedelta(hours=12)  # RFC 8292, section 2: at most 24 hours


@dataclass(frozen=True)
class Sender:
    """`key`: the private number in base64url. `contact`: whom the service may write to."""

    key: str = field(repr=False)
    contact: str

    @cached_property
    def private(self) -> EllipticCurvePrivateKey:
        return derive_private_key(int.from_bytes(read(self.key), "big"), SECP256R1())

    @cached_property
    def public(self) -> str:
        """What a browser is asked with (its applicationServerKey)."""
        return written(point_of(self.private.public_key()))

    def word_for(self, endpoint: str, at: datetime) -> str:
        """The value of the header Authorization for a message to this address."""
        parts = urlsplit(endpoint)
        claims = {
            "aud": f"{parts.scheme}://{parts.netloc.lower()}",
            "exp": int((at + GOOD_FOR).timestamp()),
            "sub": f"mailto:{self.contact}",
        }
        told = [
            written(json.dumps(each).encode()) for each in ({"typ": "JWT", "alg": "ES256"}, claims)
        ]
        signed = self._signature(".".join(told).encode())
        return f"vapid t={'.'.join([*told, written(signed)])}, k={self.public}"

    def _signature(self, words: bytes) -> bytes:
        """The two numbers side by side, 32 bytes each (RFC 7518, section 3.4)."""
        pair = decode_dss_signature(self.private.sign(words, ECDSA(SHA256())))
        return b"".join(number.to_bytes(32, "big") for number in pair)
