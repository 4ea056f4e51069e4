from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet

from venue.models import Competence, Membership, Person, Venue

NO_MAIL = ".invalid"  # names that no mail ever reaches (RFC 2606)
# A higher level includes the lower ones; an outside examiner is a qualified person from outside.
LEVELS = ("trained_user", "competent_person", "qualified_person", "outside_examiner")
LEVEL_WORDS = {
    "trained_user": "a trained user",
    "competent_person": "a competent person",
    "qualified_person": "a qualified person",
    "outside_examiner": "an outside examiner",
}


def nobody_is_here() -> bool:
    return not Person.objects.exists()


@dataclass(frozen=True)
class Standing:
    """What a person may sign on a day, in words. Lapsed or missing: may record, may not sign."""

    may_sign: bool
    words: str
    competence: Competence | None = None


def competences_on(venue: Venue, day: date) -> QuerySet[Competence]:
    """Everybody's that are valid on that day."""
    begun = Competence.objects.filter(venue=venue, valid_from__lte=day)
    return begun.filter(Q(expires_on__isnull=True) | Q(expires_on__gte=day))


def competences_valid(person: Person, venue: Venue, day: date) -> QuerySet[Competence]:
    return competences_on(venue, day).filter(person=person)


def standing_of(person: Person, venue: Venue, level: str, day: date) -> Standing:
    """Whether the person's competence covers `level` on `day`."""
    needed = LEVELS[LEVELS.index(level) :]
    held = (
        competences_valid(person, venue, day)
        .filter(level__in=needed)
        .order_by("-expires_on")
        .first()
    )
    if held:
        until = f"valid until {held.expires_on}" if held.expires_on else "with no end date"
        return Standing(True, f"{held.get_level_display()}, {held.certificate}, {until}", held)
    lapsed = (
        Competence.objects.filter(person=person, venue=venue, level__in=needed, expires_on__lt=day)
        .order_by("-expires_on")
        .first()
    )
    if lapsed:
        words = f"{lapsed.get_level_display()}, {lapsed.certificate}, lapsed on {lapsed.expires_on}"
        return Standing(False, words, lapsed)
    return Standing(False, f"No competence as {LEVEL_WORDS[level]} on file")


def may_sign_on(venue: Venue, level: str, day: date) -> frozenset[int]:
    """Everybody whose competence covers `level` on `day`, as `standing_of` says it of one; one query."""
    needed = LEVELS[LEVELS.index(level) :]
    held = competences_on(venue, day).filter(level__in=needed)
    return frozenset(held.values_list("person_id", flat=True))


def memberships(venue: Venue) -> QuerySet[Membership]:
    return venue.memberships.filter(ended_on__isnull=True).select_related("person")


def waits_for_password(person: Person) -> bool:
    """Whoever comes by a link of some days has an address that no mail reaches, and no password."""
    return not person.has_usable_password() and not person.email.endswith(NO_MAIL)


@dataclass(frozen=True)
class PersonHere:
    membership: Membership
    competences: list[tuple[Competence, str]]  # with "valid", "lapses soon", "lapsed"

    @property
    def waits(self) -> bool:
        """Invited, and has not chosen a password yet."""
        return waits_for_password(self.membership.person)


SOON_DAYS = 90


def people_with_competences(venue: Venue, day: date) -> list[PersonHere]:
    """Everyone with a role here and what they hold, in two queries."""
    held: dict[int, list[tuple[Competence, str]]] = {}
    for competence in Competence.objects.filter(venue=venue):
        held.setdefault(competence.person_id, []).append((competence, validity(competence, day)))
    return [
        PersonHere(row, held.get(row.person_id, []))
        for row in memberships(venue).order_by("person__name")
    ]


def validity(competence: Competence, day: date) -> str:
    if competence.expires_on is None:
        return "valid"
    if competence.expires_on < day:
        return "lapsed"
    return "lapses soon" if competence.expires_on <= day + timedelta(days=SOON_DAYS) else "valid"


def lapsing(venue: Venue, day: date) -> QuerySet[Competence]:
    """Competences that lapse within 90 days or have lapsed, with no later one of the same level."""
    return (
        Competence.objects.filter(venue=venue, expires_on__lte=day + timedelta(days=SOON_DAYS))
        .exclude(
            person__competences__in=Competence.objects.filter(
                venue=venue, expires_on__gt=day + timedelta(days=SOON_DAYS)
            )
        )
        .select_related("person")
    )
