"""The venue's seal as it signs now: opened, noted in the book when it is new, with its list of the day."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import serialization
from django.conf import settings
from django.db import transaction
from django.utils.module_loading import import_string

from inspections.evidence.checking.seals import certificate_in
from inspections.models import SealCertificate
from inspections.queries.seals import roots_of, withdrawn_of
from inspections.reports.certificates import Names
from inspections.reports.keys import KeysUnreadable, Ring, Seal
from inspections.reports.time_stamps import Authority
from venue.actions.log import write_line
from venue.models import Person, Venue


def ring_of(venue: Venue) -> Ring:
    """Where its keys are and what opens them."""
    secret = settings.LOFTBOOK_KEY_SECRET or settings.SECRET_KEY
    names = Names(venue.name, venue.organisation.name)
    lists = f"{settings.LOFTBOOK_ADDRESS}/verify/revoked/"
    rounds = settings.LOFTBOOK_KEY_ROUNDS
    return Ring(Path(settings.LOFTBOOK_KEYS), venue.slug, names, secret.encode(), lists, rounds)


def venue_seal(venue: Venue, at: datetime) -> Seal:
    """Made on first use. Raises KeysUnreadable, SealExpired."""
    seal = ring_of(venue).seal(at)
    note_seal(venue=venue, seal=seal, by=None, at=at, did="make_seal")
    if seal.key is None:
        seal = replace(seal, held=_held(venue, seal))
    return replace(seal, revoked=list_of_the_day(venue, at))


def make_missing_seals(*, at: datetime) -> int:
    """Keys for every venue that has none. Returns how many were made. Raises KeysUnreadable."""
    venues = (
        Venue.objects.select_related("organisation").filter(seal_certificates=None).order_by("pk")
    )
    for venue in venues:
        venue_seal(venue, at)
    return len(venues)


def note_seal(
    *, venue: Venue, seal: Seal, by: Person | None, at: datetime, did: str, why: str = ""
) -> None:
    """Its row and its line in the log, once."""
    if SealCertificate.objects.filter(sha256=seal.fingerprint).exists():
        return
    with transaction.atomic():
        number = SealCertificate.objects.filter(venue=venue).count() + 1
        row, new = SealCertificate.objects.get_or_create(
            sha256=seal.fingerprint,
            defaults=_told(venue, seal, number, at) | {"by": by, "why": why},
        )
        if new:
            after = {"number": number, "seal_sha256": row.sha256, "root_sha256": row.root_sha256,
                     "key": row.key_held, "why": why, **_told_across(venue, seal)}  # fmt: skip
            write_line(venue=venue, by=by, at=at, did=did, subject=row, after=after)


def _told_across(venue: Venue, seal: Seal) -> dict[str, str]:
    """Of the first seal under a new root: which root handed over, and by which statement."""
    *before, now = roots_of(venue)
    under = SealCertificate.objects.filter(venue=venue, root_sha256=seal.root_fingerprint)
    if not now.statement or under.count() > 1:
        return {}
    statement = sha256(now.statement).hexdigest()
    return {"old_root_sha256": before[-1].sha256, "statement_sha256": statement}


def list_of_the_day(venue: Venue, at: datetime, number: int | None = None) -> bytes:
    """The revocation list of the venue's newest root, or of another by its `number`; none while its key
    cannot be opened, which stops no sealing."""
    try:
        return ring_of(venue).revocations(withdrawn_of(venue), at, number)
    except KeysUnreadable:
        return b""


def list_of_root(venue: Venue, root_sha256: str, at: datetime) -> bytes:
    """The list of one of the venue's roots, by its fingerprint."""
    numbers = [each.number for each in roots_of(venue) if each.sha256 == root_sha256]
    return list_of_the_day(venue, at, numbers[0]) if numbers else b""


def time_stamp_authority() -> Authority | None:
    """The one that was set up for this installation; where it is, nothing is sealed without it."""
    address, root = settings.LOFTBOOK_TIME_STAMPS, settings.LOFTBOOK_TIME_STAMP_ROOT
    if not address:
        return None
    return Authority(address, certificate_in(Path(root).read_bytes()) if root else None)


def _told(venue: Venue, seal: Seal, number: int, at: datetime) -> dict[str, Any]:
    pem = seal.certificate.public_bytes(serialization.Encoding.PEM).decode()
    return {
        "venue": venue, "number": number, "pem": pem, "root_sha256": seal.root_fingerprint,
        "since": at, "ends": seal.certificate.not_valid_after_utc,
        "key_held": "here" if seal.key else "elsewhere",
    }  # fmt: skip


def _held(venue: Venue, seal: Seal) -> Any:
    """The signer of the library's interface that the setting names. Raises KeysUnreadable."""
    if not settings.LOFTBOOK_SIGNER:
        raise KeysUnreadable(
            "The key of this seal is held in a device or by a service; LOFTBOOK_SIGNER must say by "
            "which signer it is reached."
        )
    signer = import_string(settings.LOFTBOOK_SIGNER)(venue.slug, seal.certificate)
    found = x509.load_der_x509_certificate(signer.signing_cert.dump())
    if found != seal.certificate:
        raise KeysUnreadable("The signer in LOFTBOOK_SIGNER has another certificate than the seal.")
    return signer
