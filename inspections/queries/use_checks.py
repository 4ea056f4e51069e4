"""Checks without a task: before use, after an event. Which of them a phone takes along."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inspections.models import Draft, Plan, Record, RegimeVersion
from inspections.queries.questions import regime_of
from inspections.regime_files import is_for, regimes_for
from inspections.regime_shapes import Regime
from venue.kind_files import kinds
from venue.models import Equipment, Person, Venue

# What was done before use in this time is what this house does before use. Source: common practice.
LATELY = timedelta(days=30)
MOST = 40  # pages, so that taking the round along stays a matter of seconds


@dataclass(frozen=True)
class UseCheck:
    equipment: Equipment
    regime: Regime


def use_checks_of(equipment: Equipment) -> list[Regime]:
    """A list of checks for other equipment asks nothing of this one, and would read "in order"."""
    kind = kinds().get(equipment.kind)
    fitting = regimes_for(kind, equipment.fields) if kind else []
    return [regime for regime in fitting if not regime.interval]


def is_list_of(equipment: Equipment, version: RegimeVersion) -> bool:
    """Whether a list of checks, as it was frozen, is one for this equipment or was planned for it."""
    kind = kinds().get(equipment.kind)
    fits = kind is not None and is_for(regime_of(version), kind, equipment.fields)
    return fits or Plan.objects.filter(equipment=equipment, regime=version.slug).exists()


def use_checks_nearby(venue: Venue, on_round: Collection[int], day: date) -> list[UseCheck]:
    """Those that were done lately, and those of the things on the round that a trained user does;
    in walking order, in two queries."""
    lately = set(
        Record.objects.filter(venue=venue, task=None, done_on__gte=day - LATELY)
        .values_list("equipment_id", "version__slug")
        .distinct()
    )
    ids = {equipment_id for equipment_id, _ in lately} | set(on_round)
    rows = Equipment.objects.filter(venue=venue, pk__in=ids).exclude(standing="gone")
    found = [
        UseCheck(equipment, regime)
        for equipment in rows.select_related("place").order_by(
            "place__walking_order", "walking_order", "tag"
        )
        for regime in use_checks_of(equipment)
        if (equipment.pk, regime.slug) in lately
        or (equipment.pk in on_round and regime.level == "trained_user")
    ]
    return found[:MOST]


def blank_use_draft(equipment: Equipment, regime: Regime, by: Person, now: datetime) -> Draft:
    """Never saved, and neither is the version: they are when the check arrives."""
    version = RegimeVersion(
        slug=regime.slug, hash=regime.hash, title=regime.title, body=regime.body, first_used=now
    )
    return Draft(equipment=equipment, task=None, version=version, by=by, started_at=now)
