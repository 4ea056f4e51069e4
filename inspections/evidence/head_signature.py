"""Whether a detached CMS signature (RFC 5652) over some bytes is by a seal of a root. Pure, and quick
enough for every head of a venue each night; whether the seal is trusted today is another question."""

from __future__ import annotations

import hashlib

from asn1crypto import cms
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec

UNREADABLE = (ValueError, KeyError, TypeError, IndexError, InvalidSignature)


def signed_under(content: bytes, signature: bytes, root: x509.Certificate | None) -> bool:
    """No root: nothing can be said, so it is not."""
    if root is None:
        return False
    try:
        _verify(content, signature, root)
    except UNREADABLE:
        return False
    return True


def signed_by_root(content: bytes, signature: bytes, root: x509.Certificate) -> bool:
    """Whether the root itself signed, and not something that it issued."""
    try:
        return _verify(content, signature, root) == root
    except UNREADABLE:
        return False


def names_its_hash(signed: cms.SignedData) -> bool:
    """RFC 5652, 5.1: the list before the content names every hash that a signer used. Not signed
    itself, so only this shows that it was changed."""
    named = {each["algorithm"].dotted for each in signed["digest_algorithms"]}
    used = {each["digest_algorithm"]["algorithm"].dotted for each in signed["signer_infos"]}
    return used <= named


def _verify(content: bytes, signature: bytes, root: x509.Certificate) -> x509.Certificate:
    """The certificate that signed. Raises one of UNREADABLE."""
    signed = cms.ContentInfo.load(signature, strict=True)["content"]
    (signer,) = signed["signer_infos"]
    if not names_its_hash(signed) or signer["digest_algorithm"]["algorithm"].native != "sha256":
        raise ValueError("another hash is named than was used")
    told = {each["type"].native: each["values"][0].native for each in signer["signed_attrs"]}
    if told["message_digest"] != hashlib.sha256(content).digest():
        raise ValueError("signed over something else")
    number = signer["sid"].chosen["serial_number"].native
    by = next(each.chosen for each in signed["certificates"] if each.chosen.serial_number == number)
    certificate = x509.load_der_x509_certificate(by.dump())
    certificate.verify_directly_issued_by(root)
    # What is signed is the set of attributes, under its own tag (RFC 5652, 5.4).
    attributes = signer["signed_attrs"].untag().dump(force=True)
    key = certificate.public_key()
    if not isinstance(key, ec.EllipticCurvePublicKey):
        raise ValueError("no seal of ours has such a key")
    key.verify(signer["signature"].native, attributes, ec.ECDSA(hashes.SHA256()))
    return certificate
