"""A private key as a file: PKCS#8, encrypted (PBES2 of RFC 8018: AES-256-CBC, key by PBKDF2 with
HMAC-SHA-256). Written here because the library writes only 2048 rounds; it reads any number."""

from __future__ import annotations

import os
from functools import lru_cache

from asn1crypto import pem
from asn1crypto.core import Null, OctetString
from asn1crypto.keys import EncryptedPrivateKeyInfo
from cryptography.hazmat.primitives import hashes, padding, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes
from cryptography.hazmat.primitives.kdf.pbkdf2 import PBKDF2HMAC

ROUNDS = 600_000  # of PBKDF2 in files that are written; older files have 2048
LONGEST_ROUNDS = 50_000_000  # more is no file of ours, and would hold up whoever opens it
KEY_BYTES, BLOCK_BYTES = 32, 16
KEPT_OPEN = 16


def encrypted(key: ec.EllipticCurvePrivateKey, secret: bytes, rounds: int) -> bytes:
    """The file's content, PEM."""
    plain = key.private_bytes(
        serialization.Encoding.DER,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    salt, start = os.urandom(16), os.urandom(BLOCK_BYTES)
    derived = PBKDF2HMAC(hashes.SHA256(), KEY_BYTES, salt, rounds).derive(secret)
    padder = padding.PKCS7(BLOCK_BYTES * 8).padder()
    cipher = Cipher(algorithms.AES(derived), modes.CBC(start)).encryptor()
    hidden = cipher.update(padder.update(plain) + padder.finalize()) + cipher.finalize()
    derivation = {
        "algorithm": "pbkdf2",
        "parameters": {
            "salt": OctetString(salt), "iteration_count": rounds, "key_length": KEY_BYTES,
            "prf": {"algorithm": "sha256", "parameters": Null()},
        },
    }  # fmt: skip
    scheme = {"algorithm": "aes256_cbc", "parameters": start}
    how = {"key_derivation_func": derivation, "encryption_scheme": scheme}
    told = {
        "encryption_algorithm": {"algorithm": "pbes2", "parameters": how},
        "encrypted_data": hidden,
    }
    der = EncryptedPrivateKeyInfo(told).dump()
    return bytes(pem.armor("ENCRYPTED PRIVATE KEY", der))


def rounds_of(content: bytes) -> int:
    """How often the secret was hashed for a file. Raises ValueError for another kind of file."""
    try:
        told = EncryptedPrivateKeyInfo.load(pem.unarmor(content)[2], strict=True)
        derivation = told["encryption_algorithm"]["parameters"]["key_derivation_func"]
        return int(derivation["parameters"]["iteration_count"].native)
    except (KeyError, TypeError, AttributeError) as fault:
        raise ValueError("no encrypted key as they are written here") from fault


@lru_cache(maxsize=KEPT_OPEN)
def opened(content: bytes, secret: bytes) -> ec.EllipticCurvePrivateKey:
    """The key in a file. Kept in memory while the process lives, since hashing the secret anew would
    cost each report a tenth of a second: the process holds the secret anyway, and whoever asks has
    read the file, so a key whose file was removed signs no more. Raises ValueError, TypeError."""
    if rounds_of(content) > LONGEST_ROUNDS:
        raise ValueError("more rounds than any file of ours has")
    key = serialization.load_pem_private_key(content, secret)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise TypeError("the signing key is not of the kind that was made here")
    return key
