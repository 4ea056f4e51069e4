"""Sign the tag manifest with the venue's seal: one signature then covers every file."""

from __future__ import annotations

import asyncio

from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.serialization import pkcs7

from inspections.reports.keys import Seal
from inspections.reports.seal import signer_of


def detached_signature(content: bytes, seal: Seal) -> bytes:
    """A detached CMS signature (RFC 5652) in DER, over the bytes as they are."""
    if seal.key is None:
        signed = asyncio.run(signer_of(seal).async_sign_general_data(content, "sha256"))
        return bytes(signed.dump())
    options = [pkcs7.PKCS7Options.DetachedSignature, pkcs7.PKCS7Options.Binary]
    return (
        pkcs7.PKCS7SignatureBuilder()
        .set_data(content)
        .add_signer(seal.certificate, seal.key, hashes.SHA256())
        .sign(serialization.Encoding.DER, options)
    )
