"""Move a part to another position, unless something about it is still open where it is."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.queries.overview import open_findings
from inspections.queries.state import state_of
from venue.actions.parts import PartRefused, move_part
from venue.models import Equipment, Part, Person


def move_sound_part(
    *, part: Part, to: Equipment, code: str, moved_on: str, why: str, by: Person, at: datetime
) -> Part:
    """A rope that took one winch out of service must not make its way into another one. Raises
    PartRefused, EntryRefused."""
    with transaction.atomic():
        if words := held_back(part, at):
            raise PartRefused(words)
        return move_part(part=part, to=to, code=code, moved_on=moved_on, why=why, by=by, at=at)


def held_back(part: Part, at: datetime) -> str:
    """Why the part may not go elsewhere now, or nothing."""
    equipment = part.equipment
    finding = open_findings(equipment.venue).filter(part=part).first()
    if finding:
        return (
            f"A finding about this part is open: “{finding.what}”. Close it first, or retire the "
            "part: it does not go into other equipment with it."
        )
    state = state_of(equipment, at.astimezone(equipment.venue.zone).date())
    if state.orders:
        return (
            f"{equipment.tag} is under an order: “{state.orders[0].why}”. No part of it goes into "
            "other equipment until a competent person has returned it, or the part is retired."
        )
    return ""
