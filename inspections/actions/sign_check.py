"""A person signs a check from a phone: a passkey's signature arrives after its check, or the
password is typed once the check is here."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from fido2.utils import websafe_encode

from inspections.actions.receive_message import OfAnotherPerson, keep_aside
from inspections.models import KeptAside, PhoneSignature, Record, Sent
from inspections.passkey_signatures import NotSigned, read_signature, verify_signature
from inspections.queries.passkeys import passkeys_of
from inspections.queries.signatures import SIGNATURE_ASIDE
from venue.actions.log import write_line
from venue.log_hash import sha256_of
from venue.models import Person, Venue


class CheckToCome(ValueError):
    """The check that is signed has not arrived yet: send the signature again after it."""


def receive_signature(
    *, venue: Venue, check_id: UUID, text: str, origin: str, by: Person, at: datetime
) -> PhoneSignature:
    """Kept once for each passkey. Raises CheckToCome, OfAnotherPerson, and NotSigned after what
    came was kept aside."""
    sent = Sent.objects.filter(pk=check_id, venue=venue, what=Sent.What.CHECK).first()
    if sent is not None and sent.by_id != by.pk:
        raise OfAnotherPerson("A check is signed by whoever made it.")
    try:
        return _receive(sent or _not_here(venue, check_id, by), text, origin, by, at)
    except NotSigned as fault:
        why = f"{SIGNATURE_ASIDE} {fault}"
        keep_aside(venue=venue, pk=check_id, text=text, why=why, by=by, at=at)
        raise


def _not_here(venue: Venue, check_id: UUID, by: Person) -> Sent:
    """A check that nothing could be made of never becomes one that can be signed."""
    if KeptAside.objects.filter(venue=venue, message_id=check_id, by=by).exists():
        raise NotSigned("The check it is for was kept aside itself.")
    raise CheckToCome("The check that is signed has not arrived yet.")


def _receive(sent: Sent, text: str, origin: str, by: Person, at: datetime) -> PhoneSignature:
    said = read_signature(text)
    if said.person != by.pk or said.check != sent.pk:
        raise NotSigned("This signature is for another check or of another person.")
    passkeys = passkeys_of(by)
    signed = verify_signature(said, sent.sha256, origin, list(passkeys.values()))
    name = next(
        name for name, each in passkeys.items()
        if websafe_encode(each.credential_id) == signed.credential_id
    )  # fmt: skip
    return _keep(sent, by, at, how=PhoneSignature.How.PASSKEY, passkey=name, **vars(signed))


def sign_with_password(
    *, record: Record, password: str, by: Person, at: datetime
) -> PhoneSignature:
    """For whoever has no passkey at hand. Raises OfAnotherPerson, NotSigned."""
    sent = Sent.objects.filter(record=record).first()
    if sent is None:
        raise NotSigned("Only a check from a phone is signed here.")
    if sent.by_id != by.pk:
        raise OfAnotherPerson("A check is signed by whoever made it.")
    if not by.check_password(password):
        raise NotSigned("This is not your password. Nothing was signed.")
    return _keep(sent, by, at, how=PhoneSignature.How.PASSWORD)


def _keep(sent: Sent, by: Person, at: datetime, **parts: Any) -> PhoneSignature:
    """The same passkey, or the password, twice is once."""
    try:
        with transaction.atomic():
            row = PhoneSignature.objects.create(sent=sent, by=by, received_at=at, **parts)
            after = {"check": str(sent.pk), "message_sha256": sent.sha256, "how": row.how}
            if row.public_key:
                key = sha256_of(row.public_key)
                after |= {"passkey": row.passkey, "public_key_pem_sha256": key}
            write_line(venue=sent.venue, by=by, at=at, did="sign_check", subject=row, after=after)
            return row
    except IntegrityError:
        known = parts.get("credential_id", "")
        return PhoneSignature.objects.get(sent=sent, credential_id=known)
