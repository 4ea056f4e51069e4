"""What an import would do: every change field by field, every fault by row and column. Pure."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from dataclasses import dataclass, field

from venue.register.grid import Fault
from venue.register.held import EquipmentHeld, PartHeld, PlaceHeld
from venue.register.written import equipment_cells, part_cells, path_text, place_cells

Held = PlaceHeld | EquipmentHeld | PartHeld


@dataclass(frozen=True)
class Difference:
    column: str
    before: str
    after: str


@dataclass(frozen=True)
class Change:
    """One thing that is created (nothing before) or changed."""

    what: str
    row: int
    before: Held | None
    after: Held
    differences: tuple[Difference, ...]

    @property
    def is_new(self) -> bool:
        return self.before is None

    @property
    def label(self) -> str:
        return label_of(self.after)


@dataclass
class Comparison:
    changes: list[Change] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unchanged: Counter[str] = field(default_factory=Counter)
    # What the house has and the file does not name: left as it is.
    untouched_equipment: list[str] = field(default_factory=list)
    untouched_parts: list[str] = field(default_factory=list)
    examples: int = 0

    def created(self, what: str) -> list[Change]:
        return [change for change in self.changes if change.what == what and change.is_new]

    def changed(self, what: str) -> list[Change]:
        return [change for change in self.changes if change.what == what and not change.is_new]

    @property
    def changes_nothing(self) -> bool:
        return not self.changes

    def digest(self) -> str:
        """One text for one set of changes: what was shown is what is applied, or nothing is."""
        told = [
            [
                change.what,
                change.label,
                change.is_new,
                [[one.column, one.before, one.after] for one in change.differences],
            ]
            for change in self.changes
        ]
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()

    def note(self, what: str, row: int, before: Held | None, after: Held) -> None:
        """Add a change, or count it as unchanged when nothing differs."""
        differences = differences_between(before, after)
        if before is not None and not differences:
            self.unchanged[what] += 1
        else:
            self.changes.append(Change(what, row, before, after, differences))


def cells_of(held: Held) -> dict[str, str]:
    if isinstance(held, PlaceHeld):
        return place_cells(held)
    return equipment_cells(held) if isinstance(held, EquipmentHeld) else part_cells(held)


def label_of(held: Held) -> str:
    if isinstance(held, PlaceHeld):
        return path_text(held.path)
    return (
        f"{held.tag} {held.name}" if isinstance(held, EquipmentHeld) else f"{held.tag}, {held.code}"
    )


def differences_between(before: Held | None, after: Held) -> tuple[Difference, ...]:
    old, new = cells_of(before) if before else {}, cells_of(after)
    columns = [*new, *(column for column in old if column not in new)]
    return tuple(
        Difference(column, old.get(column, ""), new.get(column, ""))
        for column in columns
        if column != "row" and old.get(column, "") != new.get(column, "")
    )
