"""What stands first on any page that tells of one piece of equipment: whether it may be used."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.queries.state import EquipmentState, state_of
from inspections.views.day import local_day
from venue.models import Equipment, Venue


@dataclass(frozen=True)
class First:
    """For `inspections/state_first.html`."""

    equipment: Equipment
    state: EquipmentState


def shown_first(equipment: Equipment, venue: Venue) -> First:
    return First(equipment, state_of(equipment, local_day(venue)))
