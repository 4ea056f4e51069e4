"""Who sealed it: the signature over the tag manifest, and the certificate it leads to."""

from __future__ import annotations

import asyncio
import hashlib
from datetime import UTC, datetime
from pathlib import Path

from asn1crypto import cms, pem
from asn1crypto.x509 import Certificate
from pyhanko.sign.general import SigningError
from pyhanko.sign.validation import async_validate_detached_cms
from pyhanko.sign.validation.errors import SignatureValidationError
from pyhanko.sign.validation.generic_cms import validate_tst_signed_data
from pyhanko_certvalidator import ValidationContext

from inspections.evidence.checking.checked import Checked, judged, not_checked

UNREADABLE = (ValueError, OSError, KeyError, TypeError, SigningError, SignatureValidationError)
TOKEN, STAMP_ROOT = "signatures/tagmanifest-sha256.txt.tst", "time-stamp-root.pem"
ROOT, SIGNATURE = "root-certificate.pem", "signatures/tagmanifest-sha256.txt.p7s"


def certificate_in(content: bytes) -> Certificate:
    """From PEM or DER. Raises ValueError."""
    der = pem.unarmor(content)[2] if pem.detect(content) else content
    certificate = Certificate.load(der, strict=True)
    certificate.native  # noqa: B018  # read whole, so that a broken one is found here
    return certificate


def trusting(root: Certificate) -> ValidationContext:
    """This root and nothing else, today, without the network. The seals have no revocation list."""
    return ValidationContext(
        trust_roots=[root], allow_fetching=False, revocation_mode="soft-fail", moment=_now()
    )


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


def check_seal(bag: Path, root: Certificate) -> Checked:
    signed = cms.ContentInfo.load((bag / SIGNATURE).read_bytes(), strict=True)
    if signed["content_type"].native != "signed_data":
        return judged("The seal", "", ["The signature file holds no signature."])
    content = (bag / "tagmanifest-sha256.txt").read_bytes()
    checked = async_validate_detached_cms(content, signed["content"], trusting(root))
    status = asyncio.run(checked)
    faults = []
    if not status.intact:
        faults.append("What was sealed is not what is here.")
    if not status.valid:
        faults.append("The signature does not hold.")
    if not status.trusted:
        faults.append("It was not made with a key of this root certificate, or that has expired.")
    by = status.signing_cert.subject.native.get("common_name", "nobody named")
    return judged("The seal", f"By {by}.", faults)


def check_time_stamp(bag: Path) -> Checked:
    """The authority's token is over the very bytes that were sealed. Its root came with the file."""
    name = "The time stamp"
    if not (bag / TOKEN).is_file():
        return not_checked(name, "There is none: the times are those of the venue's own clock.")
    token = cms.ContentInfo.load((bag / TOKEN).read_bytes(), strict=True)
    root = certificate_in((bag / STAMP_ROOT).read_bytes())
    content = (bag / "tagmanifest-sha256.txt").read_bytes()

    def imprint(algorithm: str) -> bytes:
        return hashlib.new(algorithm, content).digest()

    found = asyncio.run(validate_tst_signed_data(token["content"], trusting(root), imprint))
    faults = []
    if not found["intact"]:
        faults.append("It was made of something else.")
    trusted = found["trust_problem_indic"] is None and found["validation_path"] is not None
    if not (found["valid"] and trusted):
        faults.append("It does not hold against time-stamp-root.pem.")
    by = found["signing_cert"].subject.native.get("common_name", "nobody named")
    at = f"{found['timestamp']:%Y-%m-%d %H:%M:%S} UTC"
    return judged(
        name,
        f"{at}, by {by}. The root certificate of that authority, SHA-256 fingerprint "
        f"{root.sha256.hex()}, came with the file: compare it with the one the authority publishes.",
        faults,
    )


def _now() -> datetime:
    return datetime.now(UTC)
