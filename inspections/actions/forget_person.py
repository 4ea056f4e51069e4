"""Forget a person: the log's references lead to nobody any more, and everything still verifies."""

from __future__ import annotations

from datetime import date, datetime

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.db import transaction

from inspections.models import (
    Absence,
    DeskLink,
    DeskMail,
    LastVisit,
    Message,
    MessageChoice,
    PushDevice,
    TaskFeed,
    WorkingWeek,
)
from inspections.queries.retention import kept_records, must_be_kept
from venue.actions.log import write_line
from venue.models import KeptName, Membership, Person, Venue
from venue.queries.log_names import removed_words

BASES = (
    ("law", "The law asks for it: they asked to be forgotten, and nothing demands their name"),
    ("retention", "Nothing they recorded must be kept any longer, by the rules the house follows"),
)


class CannotForget(ValueError):
    """Says why, and what to do."""


def forget_person(
    *, venue: Venue, person: Person, basis: str, reason: str, by: Person, at: datetime
) -> int:
    """Empty name and salt of every reference to them in this venue's log, and their sign-in where no
    other venue still names them. Returns how many references lead to nobody now. Raises CannotForget."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
        names = KeptName.objects.filter(venue=venue, person=person, removed_at=None)
        references = sorted(names.values_list("reference", flat=True))
        _refuse(venue, person, basis, reason, by, bool(references))
        _refuse_what_is_kept(venue, person, basis, at.astimezone(venue.zone).date())
        after = {"references": references, "basis": basis, "reason": reason.strip()}
        write_line(venue=venue, by=by, at=at, did="forget_person", subject=person, after=after)
        names.update(said="", salt="", removed_at=at)
        _forget_plans(venue, person, at)
        if not KeptName.objects.filter(person=person, removed_at=None).exists():
            _forget_sign_in(person, removed_words(at.astimezone(venue.zone).date()))
    return len(references)


def _refuse(venue: Venue, person: Person, basis: str, reason: str, by: Person, named: bool) -> None:
    if not Membership.objects.filter(person=person, venue=venue).exists() or person == by:
        raise CannotForget("You can forget others who held a role here, and nobody else.")
    held = Membership.objects.filter(person=person, ended_on=None).select_related("venue")
    if open_role := held.first():
        raise CannotForget(
            f"They still hold a role in {open_role.venue}. End it first: whoever works here is named."
        )
    if basis not in dict(BASES) or not reason.strip():
        raise CannotForget("Say on what ground, and why. It stands in the log.")
    if any(each.casefold() in reason.casefold() for each in (person.name, person.email)):
        raise CannotForget("The reason stays in the log for good: say it without the name.")
    if not named:
        raise CannotForget("The log of this house holds no name of theirs any more.")


def _refuse_what_is_kept(venue: Venue, person: Person, basis: str, today: date) -> None:
    """A hold stands against every ground; the days of the records against that ground alone."""
    theirs = [each for each in kept_records(venue) if each.by_id == person.pk]
    if held := sum(each.held for each in theirs):
        if held == 1:
            raise CannotForget("1 of their records is held back. Lift the hold first.")
        raise CannotForget(f"{held} of their records are held back. Lift the hold first.")
    kept = must_be_kept(theirs, person, today)
    if basis == "retention" and kept:
        raise CannotForget(
            f"{kept} of their records must still be kept, or it is not known until when: see how long "
            "records are kept."
        )


def _forget_plans(venue: Venue, person: Person, at: datetime) -> None:
    """When they could work, and what they were mailed, is no evidence of anything."""
    for model in (WorkingWeek, Absence, MessageChoice, Message, DeskMail, LastVisit):
        model.objects.filter(venue=venue, person=person).delete()
    TaskFeed.objects.filter(venue=venue, person=person, withdrawn_at=None).update(withdrawn_at=at)
    DeskLink.objects.filter(venue=venue, membership__person=person).update(address="")


def _forget_sign_in(person: Person, words: str) -> None:
    """Their row stays, because what they did leads to it: without name, address and any way in."""
    EmailAddress.objects.filter(user=person).delete()
    Authenticator.objects.filter(user=person).delete()
    PushDevice.objects.filter(person=person).delete()
    person.name, person.email = words, f"removed-{person.pk}@name.invalid"
    person.is_active = False
    person.set_unusable_password()
    person.save(update_fields=["name", "email", "is_active", "password"])
