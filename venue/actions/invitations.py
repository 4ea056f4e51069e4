"""Invite somebody by a link with which they choose their own password; nobody else ever knows it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core import signing
from django.db import transaction

from venue.actions.log import write_line
from venue.actions.people import PersonRefused, add_competence, add_person
from venue.models import Membership, Person, Venue
from venue.queries.people import waits_for_password

SALT = "venue.invitation"
GOOD_FOR = timedelta(days=7)


class InvitationRefused(ValueError):
    """The link is too old, used, replaced or was never one."""


@dataclass(frozen=True)
class Certificate:
    """Why they may do work of a level, as it is written down with the invitation."""

    level: str
    certificate: str
    issued_by: str
    valid_from: date
    expires_on: date | None


def invite_person(
    *, venue: Venue, email: str, name: str, role: str, certificate: Certificate | None,
    by: Person, at: datetime,
) -> tuple[Membership, str]:  # fmt: skip
    """Their role, and the link's secret. None for somebody who has a password, or whom another house
    has invited: whoever holds a link becomes that person there, too."""
    with transaction.atomic():
        membership = add_person(
            venue=venue, email=email, name=name, role=role, password=None, by=by, at=at
        )
        if certificate:
            add_competence(
                membership=membership, level=certificate.level, certificate=certificate.certificate,
                issued_by=certificate.issued_by, valid_from=certificate.valid_from,
                expires_on=certificate.expires_on, by=by, at=at,
            )  # fmt: skip
    person = membership.person
    known = person.has_usable_password() or _is_elsewhere(person, venue)
    return membership, "" if known else token_of(person)


def renew_invitation(*, membership: Membership, by: Person, at: datetime) -> str:
    """Another secret; every link before it is dead from now on."""
    with transaction.atomic():
        person = Person.objects.select_for_update().get(pk=membership.person_id)
        if not waits_for_password(person):
            raise PersonRefused(f"{person.name} needs no link of this kind.")
        if _is_elsewhere(person, membership.venue):
            raise PersonRefused(
                f"{person.name} was invited by another house, too: it sends the link."
            )
        person.set_unusable_password()  # another one each time, which the old links do not know
        person.save(update_fields=["password"])
        write_line(
            venue=membership.venue, by=by, at=at, did="renew_invitation", subject=membership
        )  # fmt: skip
    return token_of(person)


def accept_invitation(*, token: str, password: str, at: datetime) -> Person:
    """Their own password is set; the link is used up by that."""
    with transaction.atomic():
        person = invited(token)
        person = Person.objects.select_for_update().get(pk=person.pk)
        if person.has_usable_password():
            raise InvitationRefused(USED)
        person.set_password(password)
        person.save(update_fields=["password"])
        for membership in _running(person):
            write_line(
                venue=membership.venue, by=person, at=at, did="accept_invitation",
                subject=membership,
            )  # fmt: skip
    return person


USED = "This link is used, or another one took its place. Sign in, or ask for a new one."


def invited(token: str) -> Person:
    """Whom the link was made for. Raises InvitationRefused."""
    try:
        said = signing.loads(token, salt=SALT, max_age=GOOD_FOR)
        person = Person.objects.get(pk=said["person"], is_active=True)
    except signing.SignatureExpired as fault:
        raise InvitationRefused("This link is older than seven days. Ask for a new one.") from fault
    except (signing.BadSignature, KeyError, TypeError, Person.DoesNotExist) as fault:
        raise InvitationRefused(
            "This is no invitation. Look whether it is the whole link."
        ) from fault
    if said.get("mark") != _mark(person) or person.has_usable_password():
        raise InvitationRefused(USED)
    if not _running(person):
        raise InvitationRefused("The role that this link was for has ended.")
    return person


def token_of(person: Person) -> str:
    return signing.dumps({"person": person.pk, "mark": _mark(person)}, salt=SALT)


def _mark(person: Person) -> str:
    """Changes with the password, the unusable one too: a link is good once, and only the last one."""
    return hashlib.sha256(person.password.encode()).hexdigest()[:32]


def _is_elsewhere(person: Person, venue: Venue) -> bool:
    return any(membership.venue_id != venue.pk for membership in _running(person))


def _running(person: Person) -> list[Membership]:
    rows = Membership.objects.filter(person=person, ended_on__isnull=True)
    return list(rows.select_related("venue"))
