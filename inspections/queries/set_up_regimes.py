"""The regimes proposed for what a venue has, which of them run already, and from where each starts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inspections.first_starts import FirstStart, listed_start, unknown_start
from inspections.models import Plan
from inspections.regime_proposals import Proposal, Thing, proposals
from inspections.regime_shapes import Regime
from venue.kind_files import kinds
from venue.models import Equipment, ListedDay, Person, Venue
from venue.queries.listed_days import listed_days
from venue.zone_habits import habits_of


@dataclass(frozen=True)
class FirstPlan:
    """A regime for one thing. `listed`: what a list says, where the plan is counted from that."""

    equipment: Equipment
    regime: Regime
    listed: ListedDay | None = None

    def start(self, first_by: date, today: date) -> FirstStart:
        if self.listed is None:
            return unknown_start(self.regime.interval, first_by, today)
        return listed_start(
            self.listed.day, self.regime.interval, self.regime.lawful_slack, today
        )  # fmt: skip


@dataclass(frozen=True)
class ShownProposal:
    """A proposal with what lists say of its things: of how many, and how many of these would be late
    at once if its plans were counted from that."""

    proposal: Proposal
    listed: int
    late: int

    @property
    def unknown(self) -> int:
        return len(self.proposal.things) - self.listed


@dataclass(frozen=True)
class ShownKind:
    """What is ticked apart from what other countries ask for. `days`: the oldest and the newest day
    that lists tell of its things."""

    label: str
    count: int
    listed: int
    days: tuple[date, date] | None
    here: list[ShownProposal]
    others: list[ShownProposal]

    @property
    def unknown(self) -> int:
        return self.count - self.listed


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


def with_starts(
    found: list[tuple[str, int, list[Proposal]]], venue: Venue, today: date
) -> list[ShownKind]:
    """The same, with what the lists that were read in say of the things."""
    days = {pk: row.day for pk, row in listed_days(venue).items()}
    return [_shown(label, count, those, days, today) for label, count, those in found]


def _shown(
    label: str, count: int, those: list[Proposal], days: dict[int, date], today: date
) -> ShownKind:
    own = {pk for one in those for pk in one.things if pk in days}
    told = [days[pk] for pk in own]
    shown = [_counted(one, days, today) for one in those]
    return ShownKind(
        label, count, len(own), (min(told), max(told)) if told else None,
        [one for one in shown if one.proposal.ticked],
        [one for one in shown if not one.proposal.ticked],
    )  # fmt: skip


def _counted(one: Proposal, days: dict[int, date], today: date) -> ShownProposal:
    told = [days[pk] for pk in one.things if pk in days]
    interval, slack = one.regime.interval, one.regime.lawful_slack
    late = sum(listed_start(day, interval, slack, today).late for day in told)
    return ShownProposal(one, len(told), late)


def wanted_regimes(
    venue: Venue, proposed: Iterable[Proposal], keys: set[str], counted: set[str]
) -> list[FirstPlan]:
    """Each thing with each regime that was ticked for its kind. `counted`: the regimes whose plans
    are counted from what lists say, where they say something."""
    pieces = Equipment.objects.in_venue(venue).select_related("venue").in_bulk()
    listed = listed_days(venue)
    return [
        FirstPlan(pieces[pk], one.regime, listed.get(pk) if one.key in counted else None)
        for one in proposed if one.key in keys for pk in one.things
    ]  # fmt: skip
