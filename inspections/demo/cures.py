"""Put right what was found: the remedy with its picture, and the return by a second person."""

from __future__ import annotations

from datetime import date, datetime

from inspections.actions.open_finding import take_out_of_service
from inspections.actions.return_to_service import record_remedy, return_to_service
from inspections.demo.pictures import photograph
from inspections.demo.register import import_rows
from inspections.demo.stories import Cure, Stop
from inspections.models import Finding
from venue.actions.parts import retire_part
from venue.models import Part, Person, Venue

People = dict[str, Person]


def stop(*, venue: Venue, people: People, story: Stop, at: datetime) -> Finding:
    piece = venue.equipment.get(tag=story.tag)
    part = piece.parts.filter(code=story.part, retired_on__isnull=True).first()
    return take_out_of_service(
        equipment=piece, part=part, why=story.why, by=people[story.by], at=at
    )


def remedy(*, finding: Finding, cure: Cure, people: People, at: datetime) -> None:
    by = people[cure.by]
    if cure.new_rope and finding.part:
        _new_rope(finding.part, finding.what, cure.new_rope, people, at)
    record_remedy(
        finding=finding, what=cure.what, evidence=[photograph(cure.what[:40])], by=by, at=at
    )


def give_back(*, finding: Finding, cure: Cure, people: People, at: datetime) -> None:
    for order in finding.orders.all():
        return_to_service(order=order, statement=cure.statement, by=people[cure.returned_by], at=at)


def _new_rope(old: Part, why: str, identifier: str, people: People, at: datetime) -> None:
    """Retire the rope, and enter what was measured on its successor when it was new."""
    venue = old.equipment.venue
    fitted: date = at.astimezone(venue.zone).date()
    manager = next(iter(people.values()))
    retire_part(
        part=old, why=why, successor_identifier=identifier, installed_on=fitted, by=manager, at=at
    )
    row = {
        "row": "part", "tag": old.equipment.tag, "part code": old.code, "kind": old.kind,
        "field: baseline_diameter": "6.21 mm", "field: minimum_breaking_force": "25.4 kN",
        "field: mbf_source": "certificate", "field: certificate": "Mill certificate 7731",
    }  # fmt: skip
    name = f"{identifier.lower()}.csv"
    import_rows(venue=venue, rows=[row], file_name=name, by=manager, at=at)
