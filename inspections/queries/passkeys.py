"""The passkeys a person registered for signing in; with the same ones they sign on the phone."""

from __future__ import annotations

from typing import Any

from allauth.mfa.models import Authenticator
from fido2.utils import websafe_encode
from fido2.webauthn import AttestedCredentialData

from inspections.models import Sent
from venue.models import Person


def passkeys_of(person: Person) -> dict[str, AttestedCredentialData]:
    """By their names for people. Two of one name are told apart by a number."""
    rows = Authenticator.objects.filter(user=person, type=Authenticator.Type.WEBAUTHN)
    found: dict[str, AttestedCredentialData] = {}
    for row in rows.order_by("pk"):
        passkey = row.wrap()
        data = passkey.authenticator_data.credential_data
        if data:
            name = str(passkey.name or "Passkey")[:140]
            found[name if name not in found else f"{name} ({row.pk})"] = data
    return found


def passkey_ids(person: Person) -> list[str]:
    """As a phone names them to the device, in base64url."""
    return [websafe_encode(each.credential_id) for each in passkeys_of(person).values()]


def signing_for_phone(sent: Sent, person: Person) -> dict[str, Any]:
    """What the script needs to sign a check that is here already."""
    return {
        "id": str(sent.pk), "sha256": sent.sha256, "venue": sent.venue.slug, "person": person.pk,
        "number": sent.number, "tag": sent.record.equipment.tag if sent.record else "",
        "passkeys": passkey_ids(person),
    }  # fmt: skip
