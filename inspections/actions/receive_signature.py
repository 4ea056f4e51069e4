"""A passkey's signature over a check that a phone sent arrives after its check."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, transaction
from fido2.utils import websafe_encode

from inspections.actions.receive_message import OfAnotherPerson, keep_aside
from inspections.models import PhoneSignature, Sent
from inspections.passkey_signatures import NotSigned, Signed, read_signature, verify_signature
from inspections.queries.passkeys import passkeys_of
from venue.actions.log import write_line
from venue.models import Person, Venue


class CheckToCome(ValueError):
    """The check that is signed has not arrived yet: send the signature again after it."""


def receive_signature(
    *, venue: Venue, check_id: UUID, text: str, origin: str, by: Person, at: datetime
) -> PhoneSignature:
    """Kept once for each passkey. Raises CheckToCome, OfAnotherPerson, and NotSigned after what
    came was kept aside."""
    sent = Sent.objects.filter(pk=check_id, venue=venue, what=Sent.What.CHECK).first()
    if sent is None:
        raise CheckToCome("The check that is signed has not arrived yet.")
    if sent.by_id != by.pk:
        raise OfAnotherPerson("A check is signed by whoever made it.")
    try:
        return _receive(sent, text, origin, by, at)
    except NotSigned as fault:
        keep_aside(venue=venue, pk=check_id, text=text, why=str(fault), by=by, at=at)
        raise


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
    try:
        return _keep(sent, signed, name, by, at)
    except IntegrityError:
        return PhoneSignature.objects.get(sent=sent, credential_id=signed.credential_id)


@transaction.atomic
def _keep(sent: Sent, signed: Signed, name: str, by: Person, at: datetime) -> PhoneSignature:
    row = PhoneSignature.objects.create(
        sent=sent, by=by, passkey=name, received_at=at, **vars(signed)
    )
    after = {"check": str(sent.pk), "sha256": sent.sha256, "passkey": name}
    write_line(venue=sent.venue, by=by, at=at, did="sign_on_phone", subject=row, after=after)
    return row
