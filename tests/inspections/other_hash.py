"""A signature whose list of hashes, which nothing signs, names another than was used."""

from __future__ import annotations

from asn1crypto import cms


def naming_another_hash(signature: bytes) -> bytes:
    content = cms.ContentInfo.load(signature)
    (named,) = content["content"]["digest_algorithms"]
    named["algorithm"] = "sha512"
    changed: bytes = content.dump(force=True)
    assert changed != signature
    return changed
