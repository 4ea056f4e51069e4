"""Who left the house, and what forgetting somebody would and would not remove."""

from __future__ import annotations

from dataclasses import dataclass

from django.apps import apps
from django.db.models import Exists, Max, OuterRef, QuerySet

from inspections.names_stay import NAMES_STAY
from venue.models import KeptName, LogLine, Membership, Person, Venue
from venue.person_references import MARK


def people_who_left(venue: Venue) -> QuerySet[Person]:
    """Everybody who held a role here and holds none now, with the day on which it ended and whether
    the log still names them."""
    roles = Membership.objects.filter(venue=venue, person=OuterRef("pk"))
    names = KeptName.objects.filter(venue=venue, person=OuterRef("pk"), removed_at=None)
    rows = Person.objects.filter(memberships__venue=venue).exclude(
        Exists(roles.filter(ended_on=None))
    )
    return rows.annotate(left_on=Max("memberships__ended_on"), named=Exists(names)).order_by(
        "-left_on", "pk"
    )


@dataclass(frozen=True)
class StaysHere:
    """One class of rows in which the name stays. `count`: of this person, where it can be told."""

    what: str
    why: str
    count: int | None


def names_in_log(venue: Venue, person: Person) -> int:
    """How many references of the log lead to them."""
    return KeptName.objects.filter(venue=venue, person=person, removed_at=None).count()


def where_it_stays(venue: Venue, person: Person) -> list[StaysHere]:
    """Classes of which there is nothing of theirs are left out."""
    found = []
    for name, stays in NAMES_STAY.items():
        rows = apps.get_model(name)._default_manager.in_venue(venue)
        count = rows.filter(**{stays.by: person}).count() if stays.by else None
        if name == "venue.LogLine":
            old = LogLine.objects.in_venue(venue).filter(by=person)
            count = old.exclude(by_name__startswith=MARK).count()
        if count != 0:
            found.append(StaysHere(stays.what, stays.why, count))
    return found
