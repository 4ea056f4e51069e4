"""Who sealed it: the signature over the tag manifest, and the certificate it leads to."""

from __future__ import annotations

import asyncio
import hashlib
from datetime import datetime
from pathlib import Path
from typing import Any

from asn1crypto import cms, pem
from asn1crypto.x509 import Certificate
from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from pyhanko.sign.general import SigningError
from pyhanko.sign.validation import async_validate_detached_cms
from pyhanko.sign.validation.errors import SignatureValidationError
from pyhanko.sign.validation.generic_cms import validate_tst_signed_data

from inspections.evidence.checking.checked import Checked, judged, not_checked
from inspections.evidence.checking.trust import REVOKED, Trust, lists_in, trusting, withdrawal_of
from inspections.evidence.head_signature import names_its_hash

UNREADABLE = (
    ValueError, OSError, LookupError, TypeError, AttributeError, NotImplementedError,
    UnsupportedAlgorithm, SigningError, SignatureValidationError,
)  # fmt: skip
"""What a library says of bytes that somebody changed: also that it knows no such key."""
TOKEN, STAMP_ROOT = "signatures/tagmanifest-sha256.txt.tst", "time-stamp-root.pem"
ROOT, SIGNATURE = "root-certificate.pem", "signatures/tagmanifest-sha256.txt.p7s"


def certificate_in(content: bytes) -> Certificate:
    """From PEM or DER. Raises ValueError."""
    der = pem.unarmor(content)[2] if pem.detect(content) else content
    certificate = Certificate.load(der, strict=True)
    certificate.native  # noqa: B018  # read whole, so that a broken one is found here
    return certificate


def check_root(root: Certificate, known: str, given: bool) -> Checked:
    """`known`: the fingerprint that came from the venue by another way, or nothing; `given`: the
    certificate itself did."""
    name, found = "The root certificate", root.sha256.hex()
    if not known and given:
        return judged(
            name, f"The one that was given beside the file, SHA-256 fingerprint {found}.", []
        )
    if not known:
        return not_checked(
            name,
            f"Its SHA-256 fingerprint is {found}. Whoever made this file chose it. Compare it with "
            "the one the venue gave you by another way; without that nothing here shows who made it.",
        )
    wanted = "".join(known.lower().replace(":", "").split())
    faults = [] if wanted == found else [f"It is {found}, not the one you know."]
    return judged(name, f"SHA-256 fingerprint {found}.", faults)


def check_seal(bag: Path, trust: Trust) -> Checked:
    signed = cms.ContentInfo.load((bag / SIGNATURE).read_bytes(), strict=True)
    if signed["content_type"].native != "signed_data":
        return judged("The seal", "", ["The signature file holds no signature."])
    content = (bag / "tagmanifest-sha256.txt").read_bytes()
    stamped = _stamped(bag, trust)
    moment = stamped if trust.stamp_root_given else None
    checked = async_validate_detached_cms(
        content, signed["content"], trusting(trust.root, *trust.newer, moment=moment)
    )  # fmt: skip
    status = asyncio.run(checked)
    faults = []
    if not status.intact:
        faults.append("What was sealed is not what is here.")
    if not status.valid or not names_its_hash(signed["content"]):
        faults.append("The signature does not hold.")
    if not status.trusted:
        faults.append("It was not made with a key of this root certificate, or that has expired.")
    if withdrawal := withdrawal_of(status.signing_cert, trust):
        faults += withdrawal.faults("The seal", stamped, trust)
    by = status.signing_cert.subject.native.get("common_name", "nobody named")
    return judged("The seal", f"By {by}.", faults)


def check_lists(bag: Path, trust: Trust) -> Checked:
    """The revocation list that came along is by the root, and what it says."""
    name = "Revocations"
    if not (bag / REVOKED).is_file():
        return not_checked(name, "There is no revocation list in it; bundles had none before.")
    (told,) = lists_in((bag / REVOKED).read_bytes())
    found = x509.load_der_x509_crl(told)
    roots = [x509.load_der_x509_certificate(each.dump()) for each in (trust.root, *trust.newer)]
    faults = []
    if not any(found.is_signature_valid(each.public_key()) for each in roots):  # type: ignore[arg-type]
        faults.append("The revocation list was not signed by this root certificate.")
    number = len(found)
    said = f"{number} certificate{'s' if number > 1 else ''} revoked" if number else "None revoked"
    words = f"{said}, as of {found.last_update_utc:%Y-%m-%d %H:%M:%S} UTC. "
    return judged(name, f"{words}Ask the venue whether there is a newer list.", faults)


def check_time_stamp(bag: Path, trust: Trust) -> Checked:
    """The authority's token is over the very bytes that were sealed."""
    name = "The time stamp"
    if not (bag / TOKEN).is_file():
        return not_checked(name, "There is none: the times are those of the venue's own clock.")
    root = trust.stamp_root or certificate_in((bag / STAMP_ROOT).read_bytes())
    found = _stamp(bag, root)
    faults = []
    if not found["intact"]:
        faults.append("It was made of something else.")
    if not _holds(found):
        faults.append("It does not hold against time-stamp-root.pem.")
    by = found["signing_cert"].subject.native.get("common_name", "nobody named")
    at = f"{found['timestamp']:%Y-%m-%d %H:%M:%S} UTC"
    came = "was given beside the file" if trust.stamp_root_given else (
        "came with the file: compare it with the one the authority publishes")  # fmt: skip
    words = f"{at}, by {by}. The root certificate of that authority, SHA-256 fingerprint "
    return judged(name, f"{words}{root.sha256.hex()}, {came}.", faults)


def _stamped(bag: Path, trust: Trust) -> datetime | None:
    """When the tag manifest was there, by an authority whose certificate leads to the root we have."""
    if trust.stamp_root is None or not (bag / TOKEN).is_file():
        return None
    found = _stamp(bag, trust.stamp_root)
    return found["timestamp"] if found["intact"] and _holds(found) else None


def _stamp(bag: Path, root: Certificate) -> dict[str, Any]:
    token = cms.ContentInfo.load((bag / TOKEN).read_bytes(), strict=True)
    content = (bag / "tagmanifest-sha256.txt").read_bytes()

    def imprint(algorithm: str) -> bytes:
        return hashlib.new(algorithm, content).digest()

    return asyncio.run(validate_tst_signed_data(token["content"], trusting(root), imprint))


def _holds(found: dict[str, Any]) -> bool:
    trusted = found["trust_problem_indic"] is None and found["validation_path"] is not None
    return bool(found["valid"] and trusted)
