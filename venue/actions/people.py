"""Add a person to a venue, write down a competence, end a membership."""

from __future__ import annotations

from datetime import date, datetime

from django.db import IntegrityError, transaction

from venue.actions.log import write_line
from venue.models import Competence, Membership, Person, Venue
from venue.person_references import TextAbout


class PersonRefused(ValueError):
    """Says why, and what to do."""


def add_person(
    *,
    venue: Venue,
    email: str,
    name: str,
    role: str,
    password: str | None,
    by: Person | None,
    at: datetime,
) -> Membership:
    """A new or known person gets a role here. A known person keeps name and password; a new one
    without a password cannot sign in until they have chosen theirs."""
    with transaction.atomic():
        person = Person.objects.filter(email__iexact=email).first()
        person = person or Person.objects.create_user(email, name, password)
        if Membership.objects.filter(person=person, venue=venue, ended_on__isnull=True).exists():
            raise PersonRefused(
                f"{person.name} has a role here already. End it first to give another."
            )
        since = at.astimezone(venue.zone).date()
        membership = Membership.objects.create(person=person, venue=venue, role=role, since=since)
        after = {"person": person, "role": role}
        write_line(venue=venue, by=by, at=at, did="add_person", subject=membership, after=after)
    return membership


def add_competence(
    *, membership: Membership, level: str, certificate: str, issued_by: str,
    valid_from: date, expires_on: date | None, by: Person | None, at: datetime,
) -> Competence:  # fmt: skip
    """The competence; the one that is there when the very same was written down before."""
    if by == membership.person:
        raise PersonRefused("Nobody writes down their own competence. Ask another manager.")
    try:
        with transaction.atomic():
            Venue.objects.select_for_update(no_key=True).get(pk=membership.venue_id)  # one waits
            competence, new = Competence.objects.get_or_create(
                person=membership.person, venue=membership.venue, level=level, certificate=certificate,
                issued_by=issued_by, valid_from=valid_from, expires_on=expires_on,
            )  # fmt: skip
            if not new:
                return competence
            card = TextAbout(certificate, competence.person)
            after = {
                "level": level, "certificate": card, "expires_on": expires_on,
                "valid_from": valid_from, "issued_by": TextAbout(issued_by, competence.person),
            }  # fmt: skip
            write_line(
                venue=membership.venue,
                by=by,
                at=at,
                did="add_competence",
                subject=competence,
                after=after,
            )
    except IntegrityError as fault:
        raise PersonRefused(
            "The competence ends before it starts. Look at the two dates."
        ) from fault
    return competence


def end_membership(*, membership: Membership, by: Person, at: datetime) -> None:
    """The person loses access; everything they recorded stays under their name."""
    if membership.person_id == by.pk:
        raise PersonRefused("You cannot end your own role. Another manager has to.")
    today = at.astimezone(membership.venue.zone).date()
    with transaction.atomic():
        ended = Membership.objects.filter(pk=membership.pk, ended_on__isnull=True).update(
            ended_on=today
        )
        if ended:
            write_line(
                venue=membership.venue, by=by, at=at, did="end_membership", subject=membership
            )
