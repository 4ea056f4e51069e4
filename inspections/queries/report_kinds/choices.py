"""What a report of a kind may be asked of: records, ropes, returns, places and equipment."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import F, Q, QuerySet

from inspections.models import Record, ReturnToService
from inspections.reports.kind_files import ReportKind
from venue.kind_files import kinds
from venue.models import Equipment, Part, Person, Venue
from venue.queries.places import place_tree

MOST_PIECES = 40  # a report of more is a book that nobody reads, and is printed for minutes


class CannotChoose(ValueError):
    """What was asked for names nothing, or too much."""


def records_to_choose(venue: Venue, kind: ReportKind, person: Person) -> QuerySet[Record]:
    """Newest first. Where nobody else may sign for who did it, only the person's own."""
    rows = Record.objects.visible_to(person).in_venue(venue).filter(version__slug__in=kind.regimes)
    if not kind.meanings:
        rows = rows.filter(by=person)
    rows = rows.select_related("equipment__venue", "version", "by").defer("body")
    return rows.order_by("-done_on", "-at")


def ropes_to_choose(venue: Venue, kind: ReportKind) -> QuerySet[Part]:
    """Those in use first, then the retired ones."""
    rows = Part.objects.filter(equipment__venue=venue, kind__in=kind.part_kinds)
    rows = rows.select_related("equipment__venue")
    order = ("equipment__walking_order", "equipment__tag", "walking_order", "code")
    return rows.order_by(F("retired_on").asc(nulls_first=True), *order)


def returns_to_choose(venue: Venue) -> QuerySet[ReturnToService]:
    rows = ReturnToService.objects.filter(order__venue=venue)
    related = ("order__equipment__place", "order__finding", "order__venue", "remedy")
    return rows.select_related(*related).order_by("-at")


def places_to_choose(venue: Venue) -> list[tuple[str, str]]:
    return [(str(branch.place.pk), branch.path) for branch in place_tree(venue)]


def equipment_chosen(venue: Venue, kind: ReportKind, place: str, tags: str) -> Sequence[Equipment]:
    """By tags, whatever it is; by place, what such a report is about. Raises CannotChoose."""
    named = list(
        dict.fromkeys(tag.strip() for tag in tags.replace(";", ",").split(",") if tag.strip())
    )
    if not named and not place:
        raise CannotChoose("Choose a place, or name equipment by its tag.")
    rows = Equipment.objects.filter(venue=venue).select_related("place__parent__parent", "venue")
    found = list(
        rows.filter(tag__in=named) if named else rows.filter(_in_place(venue, kind, place))
    )
    missing = [tag for tag in named if tag not in {piece.tag for piece in found}]
    if missing:
        raise CannotChoose(f"There is no equipment with the tag {', '.join(missing[:5])} here.")
    if not found:
        raise CannotChoose("There is no rigging in this place. Name equipment by its tag.")
    if len(found) > MOST_PIECES:
        raise CannotChoose(
            f"{len(found)} pieces of equipment are too many for one report; {MOST_PIECES} is the "
            "most. Choose a smaller place, or name tags."
        )
    return found


def _in_place(venue: Venue, kind: ReportKind, place: str) -> Q:
    """The place with all that is below it, and the families of the kind."""
    branches = place_tree(venue)
    paths = [branch.path for branch in branches if str(branch.place.pk) == place]
    below = [
        branch.place.pk
        for branch in branches
        for path in paths
        if branch.path == path or branch.path.startswith(f"{path} / ")
    ]
    slugs = [slug for slug, each in kinds().items() if each.family in kind.families]
    return Q(place__in=below, kind__in=slugs) & ~Q(standing="gone")
