"""Write the demo house's register file and import it, as a house would that comes with one."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from datetime import datetime

from inspections.demo.machines import Machine
from inspections.demo.parts import Piece, pieces_of
from inspections.demo.scenario import Spot
from venue.actions.import_register import import_register
from venue.models import Person, Venue

Cells = dict[str, str]


def bring_in_register(
    *, venue: Venue, places: Iterable[Spot], machines: Iterable[Machine], by: Person, at: datetime
) -> None:
    rows = [*_place_rows(places), *_machine_rows(list(machines))]
    import_rows(venue=venue, rows=rows, file_name=f"{venue.slug}-register.csv", by=by, at=at)


def import_rows(
    *, venue: Venue, rows: list[Cells], file_name: str, by: Person, at: datetime
) -> None:
    content = io.StringIO()
    columns = list(dict.fromkeys(column for row in rows for column in row))
    writer = csv.DictWriter(content, columns)
    writer.writeheader()
    writer.writerows(rows)
    import_register(
        venue=venue, content=content.getvalue().encode(), file_name=file_name, by=by, at=at
    )


def _place_rows(places: Iterable[Spot]) -> Iterator[Cells]:
    for order, spot in enumerate(places):
        yield {
            "row": "place", "place": spot.path, "walking order": str(order),
            "place level": str(spot.level), "place hazards": " | ".join(spot.hazards),
            "place access": " | ".join(spot.access), "place side": spot.side,
        }  # fmt: skip


def _machine_rows(machines: list[Machine]) -> Iterator[Cells]:
    for order, machine in enumerate(machines):
        yield _machine_row(order, machine)
        for number, piece in enumerate(pieces_of(machine), 1):
            yield _part_row(machine, number, piece)


def _machine_row(order: int, machine: Machine) -> Cells:
    cells = {
        "row": "equipment", "tag": machine.tag, "kind": machine.kind, "name": machine.name,
        "place": machine.place, "walking order": str(order), "serial": f"LT-{1000 + order}",
        "made on": machine.made_on,
    }  # fmt: skip
    cells |= {f"field: {name}": text for name, text in machine.fields.items()}
    for purpose, text in machine.loads.items():
        cells |= {f"rated: {purpose}": text, f"rated source: {purpose}": "Name plate"}
    return cells


def _part_row(machine: Machine, number: int, piece: Piece) -> Cells:
    # What has no day of its own came with the machine.
    came_with_it = machine.fields.get("installed_on", f"{machine.made_on}-08-20")
    cells = {
        "row": "part", "tag": machine.tag, "part code": piece.code, "kind": piece.kind, "name": piece.name,
        "walking order": str(number), "identifier": piece.identifier or f"{machine.tag}-{number:02}",
        "installed on": piece.installed_on or came_with_it,
    }  # fmt: skip
    return cells | {f"field: {name}": text for name, text in piece.fields.items()}
