"""Change what the venue signs with: a new seal under its own root, or one that is not trusted any more."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from cryptography.hazmat.primitives.asymmetric import ec
from django.db import transaction

from inspections.actions.sign_head import sign_head
from inspections.actions.venue_seal import list_of_the_day, note_seal, ring_of, venue_seal
from inspections.models import SealCertificate, SealRevoked
from inspections.reports.certificates import REASONS
from inspections.reports.keys import Seal
from venue.actions.log import write_line
from venue.models import Person, Venue


class CannotChangeSeal(ValueError):
    """Why not."""


@dataclass(frozen=True)
class Revoking:
    """Why a seal is revoked, and the time from which nothing signed with it is trusted."""

    reason: str
    words: str
    not_trusted_from: datetime


def renew_seal(
    *, venue: Venue, why: str, by: Person | None, at: datetime,
    held: ec.EllipticCurvePublicKey | None = None,
) -> SealCertificate:  # fmt: skip
    """A new signing certificate under the venue's root. The old one stays good for what it signed;
    its private key is removed. `held`: the public half of a key that stays in a device. Raises
    CannotChangeSeal, KeysUnreadable."""
    if not why.strip():
        raise CannotChangeSeal("Say why the seal is replaced.")
    ring = ring_of(venue)
    if not ring.home.is_dir():
        venue_seal(venue, at)
    try:
        seal = ring.renewed(at, held)
    except OSError as fault:
        raise CannotChangeSeal(
            f"The new seal could not be written ({fault.strerror}); the old one signs on."
        ) from fault
    return _noted(venue, seal, why.strip(), by, at)


def renew_root(*, venue: Venue, why: str, by: Person | None, at: datetime) -> SealCertificate:
    """A new root, whose fingerprint the old one signs, and a first seal under it. Whoever has the old
    root can follow; who cannot trust it any more must be given the new one by hand. Raises
    CannotChangeSeal, KeysUnreadable."""
    if not why.strip():
        raise CannotChangeSeal("Say why the root is replaced.")
    venue_seal(venue, at)
    try:
        seal = ring_of(venue).with_new_root(at)
    except OSError as fault:
        raise CannotChangeSeal(
            f"The new root could not be written ({fault.strerror}); the old one stands."
        ) from fault
    return _noted(venue, seal, why.strip(), by, at, "renew_root")


@transaction.atomic
def _noted(
    venue: Venue, seal: Seal, why: str, by: Person | None, at: datetime, did: str = "renew_seal"
) -> SealCertificate:  # fmt: skip
    note_seal(venue=venue, seal=seal, by=by, at=at, did=did, why=why)
    if seal.key:
        # Whoever is sent the heads learns of the new certificate by the very next one.
        sign_head(venue=venue, seal=seal, at=at)
    return SealCertificate.objects.get(sha256=seal.fingerprint)


def revoke_seal(
    *, seal: SealCertificate, revoking: Revoking, by: Person | None, at: datetime
) -> SealRevoked:
    """Put it on the venue's revocation list. The seal in use is replaced first, so that nothing is
    signed with it any more. Raises CannotChangeSeal, KeysUnreadable."""
    _check(seal, revoking, at)
    venue = seal.venue
    newest = SealCertificate.objects.filter(venue=venue).latest("number")
    if newest == seal:
        renew_seal(venue=venue, why=f"{seal} is revoked", by=by, at=at)
    with transaction.atomic():
        row = SealRevoked.objects.create(
            seal=seal, reason=revoking.reason, words=revoking.words.strip(),
            not_trusted_from=revoking.not_trusted_from, at=at, by=by,
        )  # fmt: skip
        after = {"seal_sha256": seal.sha256, "reason": row.reason, "words": row.words,
                 "not_trusted_from": row.not_trusted_from}  # fmt: skip
        write_line(venue=venue, by=by, at=at, did="revoke_seal", subject=seal, after=after)
    list_of_the_day(venue, at)
    return row


def _check(seal: SealCertificate, revoking: Revoking, at: datetime) -> None:
    if SealRevoked.objects.filter(seal=seal).exists():
        raise CannotChangeSeal(f"{seal} is revoked already.")
    if revoking.reason not in REASONS:
        raise CannotChangeSeal("Choose one of the reasons.")
    if not revoking.words.strip():
        raise CannotChangeSeal("Say in words what happened.")
    if revoking.not_trusted_from > at:
        raise CannotChangeSeal("The time from which it is not trusted lies in the future.")
