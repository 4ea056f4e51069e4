"""What a house holds, as plain values: the same shape whether read from a file or from the house.
Pure."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

Path = tuple[str, ...]
PartKey = tuple[str, str]  # equipment tag, part code


@dataclass(frozen=True)
class RatedLoadHeld:
    quantity: dict[str, str]  # Quantity.stored()
    source: str = ""


@dataclass(frozen=True)
class PlaceHeld:
    path: Path
    level: int = 0
    walking_order: int = 0
    hazards: tuple[str, ...] = ()
    access: tuple[str, ...] = ()
    side: str = ""


@dataclass(frozen=True)
class EquipmentHeld:
    tag: str
    kind: str
    name: str
    place: Path
    standing: str = "installed"
    walking_order: int = 0
    serial: str = ""
    made_on: str = ""
    note: str = ""
    fields: dict[str, Any] = field(default_factory=dict)
    rated: dict[str, RatedLoadHeld] = field(default_factory=dict)


@dataclass(frozen=True)
class PartHeld:
    """A part in use. Retired parts are evidence and never meet a register file."""

    tag: str
    code: str
    kind: str
    name: str
    identifier: str = ""
    installed_on: date | None = None
    walking_order: int = 0
    note: str = ""
    fields: dict[str, Any] = field(default_factory=dict)


@dataclass
class House:
    """Everything a file is compared with."""

    unit_habit: str
    dialect: str
    today: date
    places: dict[Path, PlaceHeld] = field(default_factory=dict)
    equipment: dict[str, EquipmentHeld] = field(default_factory=dict)
    parts: dict[PartKey, PartHeld] = field(default_factory=dict)
    # Two places with one name under one parent: a path cannot say which is meant.
    unclear_places: set[Path] = field(default_factory=set)
