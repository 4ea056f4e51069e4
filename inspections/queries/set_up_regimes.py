"""The regimes proposed for what a venue has, and which of them run already."""

from __future__ import annotations

from inspections.models import Plan
from inspections.regime_proposals import Proposal, Thing, proposals
from inspections.regime_shapes import Regime
from venue.kind_files import kinds
from venue.models import Equipment, Person, Venue
from venue.zone_habits import habits_of


def proposed_regimes(venue: Venue, person: Person) -> list[tuple[str, int, list[Proposal]]]:
    """Of each kind its label in the venue's words, how many there are, and what is proposed."""
    pieces = Equipment.objects.visible_to(person).in_venue(venue).filter(standing="installed")
    things = [
        Thing(piece.pk, kinds()[piece.kind], piece.fields)
        for piece in pieces.order_by("kind", "tag")
        if piece.kind in kinds()
    ]
    running = Plan.objects.filter(equipment__venue=venue, ended_on__isnull=True)
    found = proposals(
        things, set(running.values_list("equipment_id", "regime")),
        habits_of(venue.time_zone).country,
    )  # fmt: skip
    return [(kind.label(venue.dialect), count, those) for kind, count, those in found]


def by_country(
    kinds: list[tuple[str, int, list[Proposal]]],
) -> list[tuple[str, int, list[Proposal], list[Proposal]]]:
    """The same, what is ticked apart from what other countries ask for."""
    return [
        (
            label,
            count,
            [one for one in those if one.ticked],
            [one for one in those if not one.ticked],
        )
        for label, count, those in kinds
    ]


def wanted_regimes(
    venue: Venue, proposed: list[Proposal], keys: set[str]
) -> list[tuple[Equipment, Regime]]:
    """Each thing with each regime that was ticked for its kind."""
    pieces = Equipment.objects.in_venue(venue).select_related("venue").in_bulk()
    return [
        (pieces[pk], one.regime) for one in proposed if one.key in keys for pk in one.things
    ]  # fmt: skip
