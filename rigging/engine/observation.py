"""What was seen and measured on a rope, raw, so that any rule set can judge it later. Pure.

`broken_wires` lists every broken wire found; an empty list says nothing. "None found" is said by
a count of 0. A count is the number at the worst position of its window.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from rigging.engine.conditions import CONDITIONS, FINER, OTHER_NAMES, WHOLE_OF
from rigging.engine.rope import FaultyFact, quantity_from, whole_number_from
from venue.quantities import Quantity

ZONES = ("crown", "valley", "termination")
WINDOWS = ("lay", "diameters", "length", "whole_rope")

Window = tuple[str, int | Quantity | None]


@dataclass(frozen=True)
class BrokenWire:
    """One broken wire (two ends of one wire are one): how far along the rope, and where in it.
    `wire` numbers the wires of a strand as they lie side by side."""

    position: Quantity
    strand: int | None = None
    zone: str | None = None
    wire: int | None = None

    def __post_init__(self) -> None:
        _check_zone("zone", self.zone)


@dataclass(frozen=True)
class WireCount:
    """A number of broken wires at the worst position of a window.

    `window` is ("lay", n), ("diameters", n), ("length", quantity) or ("whole_rope", None).
    `zone` None means wires of every zone were counted. `in_one_strand`: the most in any one strand
    within any one such window, not only within the worst. `adjacent`: likewise, side by side.
    """

    number: int
    window: Window
    in_one_strand: int | None = None
    zone: str | None = None
    adjacent: int | None = None

    def __post_init__(self) -> None:
        if self.number < 0:
            raise FaultyFact("number", "is 0 or more.")
        if self.in_one_strand is not None and not 0 <= self.in_one_strand <= self.number:
            raise FaultyFact("in_one_strand", "is not more than the number counted.")
        most = self.number if self.in_one_strand is None else self.in_one_strand
        if self.adjacent is not None and not min(1, most) <= self.adjacent <= most:
            raise FaultyFact("adjacent", "is at least one, and not more than in one strand.")
        check_window("window", self.window)
        _check_zone("zone", self.zone)


@dataclass(frozen=True)
class DiameterPair:
    """Two readings over the crowns at right angles at one place; their mean is the diameter."""

    a: Quantity
    b: Quantity
    position: Quantity | None = None

    def __post_init__(self) -> None:
        for name in ("a", "b"):
            if getattr(self, name).si <= 0:
                raise FaultyFact(name, "is more than zero.")


@dataclass(frozen=True)
class RopeObservation:
    broken_wires: tuple[BrokenWire, ...] = ()
    counts: tuple[WireCount, ...] = ()
    diameters: tuple[DiameterPair, ...] = ()
    instrument: str = ""
    instrument_uncertainty: Quantity | None = None
    conditions: Mapping[str, bool | None] = field(default_factory=dict)
    outer_wire_loss: Quantity | None = None  # part of the outer wires' diameter worn away
    strength_loss: Quantity | None = None  # by non-destructive testing

    def __post_init__(self) -> None:
        for name, seen in self.conditions.items():
            if OTHER_NAMES.get(name, name) not in CONDITIONS:
                raise FaultyFact(f"conditions.{name}", f"is not one of {', '.join(CONDITIONS)}.")
            if seen not in (True, False, None):
                raise FaultyFact(f"conditions.{name}", "is true, false, or null for not looked at.")
        for name in LOOSE:
            value = getattr(self, name)
            if value is not None and value.si < 0:
                raise FaultyFact(name, "is not below zero.")

    @cached_property
    def _said(self) -> dict[str, bool | None]:
        return {OTHER_NAMES.get(name, name): seen for name, seen in self.conditions.items()}

    def seen(self, condition: str) -> bool | None:
        """True seen, False looked for and not seen, None not looked at. A kind seen is the whole
        seen; every kind not seen is the whole not seen; the whole not seen is no kind seen."""
        said = self._said
        found = said.get(condition)
        if condition in WHOLE_OF:
            return False if found is None and said.get(WHOLE_OF[condition]) is False else found
        if condition not in FINER:
            return found
        finer = [said.get(name) for name in FINER[condition]]
        if True in finer:
            return True
        return False if found is None and finer == [False] * len(finer) else found

    @classmethod
    def from_dict(cls, said: Mapping[str, Any]) -> RopeObservation:
        """From JSON, in the shapes of `to_dict`; every quantity may also be text ("9.5 mm")."""
        for name in said:
            if name not in cls.__dataclass_fields__:
                raise FaultyFact(f"observation.{name}", "is not part of an observation.")
        conditions = said.get("conditions") or {}
        if not isinstance(conditions, Mapping):
            raise FaultyFact("observation.conditions", "is an object of names and true or false.")
        return cls(
            broken_wires=_each(said, "broken_wires", BrokenWire, _wire_from),
            counts=_each(said, "counts", WireCount, _count_from),
            diameters=_each(said, "diameters", DiameterPair, _pair_from),
            instrument=str(said.get("instrument") or ""),
            conditions=dict(conditions),
            **{name: _loose(said, name, dimension) for name, dimension in LOOSE.items()},
        )

    def to_dict(self) -> dict[str, Any]:
        return {
            "broken_wires": [
                {
                    "position": wire.position.stored(),
                    "strand": wire.strand,
                    "zone": wire.zone,
                    "wire": wire.wire,
                }
                for wire in self.broken_wires
            ],
            "counts": [_count_to(count) for count in self.counts],
            "diameters": [
                {"a": pair.a.stored(), "b": pair.b.stored(), "position": _stored(pair.position)}
                for pair in self.diameters
            ],
            "instrument": self.instrument,
            "conditions": dict(self.conditions),
            **{name: _stored(getattr(self, name)) for name in LOOSE},
        }


LOOSE = {"instrument_uncertainty": "length", "outer_wire_loss": "ratio", "strength_loss": "ratio"}


def check_window(field_name: str, window: Window) -> None:
    """Raise FaultyFact unless the window is one of the four kinds with its amount."""
    if not isinstance(window, tuple) or len(window) != 2 or window[0] not in WINDOWS:
        raise FaultyFact(field_name, f"is one of {', '.join(WINDOWS)} with its amount.")
    kind, amount = window
    whole = isinstance(amount, int) and not isinstance(amount, bool) and amount >= 1
    fits = {
        "lay": whole,
        "diameters": whole,
        "length": isinstance(amount, Quantity) and amount.dimension == "length" and amount.si > 0,
        "whole_rope": amount is None,
    }
    if not fits[kind]:
        raise FaultyFact(field_name, f"“{kind}” has not the amount it needs.")


def window_from(value: object, field_name: str) -> Window:
    """A window from JSON: ["lay", 1], ["diameters", 6], ["length", "300 mm"], ["whole_rope"]."""
    if not isinstance(value, list) or not value or len(value) > 2:
        raise FaultyFact(field_name, 'is a list like ["lay", 1] or ["whole_rope"].')
    amount = value[1] if len(value) == 2 else None
    if value[0] == "length":
        amount = quantity_from(amount, field_name, "length")
    window = (value[0], amount)
    check_window(field_name, window)
    return window


def _check_zone(field_name: str, zone: str | None) -> None:
    if zone is not None and zone not in ZONES:
        raise FaultyFact(field_name, f"“{zone}” is not one of {', '.join(ZONES)}.")


def _each(said: Mapping[str, Any], name: str, kind: Any, read: Any) -> tuple[Any, ...]:
    rows = said.get(name) or []
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise FaultyFact(f"observation.{name}", "is a list of objects.")
    found = []
    for place, row in enumerate(rows):
        where = f"observation.{name}[{place}]"
        # A misspelt "zone" would turn "no valley breaks" into "no breaks": refuse, never skip.
        for key in row.keys() - kind.__dataclass_fields__:
            raise FaultyFact(f"{where}.{key}", "is not known here.")
        try:
            found.append(read(row, where))
        except FaultyFact as fault:
            inside = str(fault).startswith(where)
            raise fault if inside else FaultyFact(where, str(fault)) from fault
    return tuple(found)


def _required(row: Mapping[str, Any], name: str, where: str) -> Quantity:
    found = quantity_from(row.get(name), f"{where}.{name}", "length")
    if found is None:
        raise FaultyFact(f"{where}.{name}", "is missing.")
    return found


def _wire_from(row: Mapping[str, Any], where: str) -> BrokenWire:
    strand = whole_number_from(row.get("strand"), f"{where}.strand")
    wire = whole_number_from(row.get("wire"), f"{where}.wire")
    return BrokenWire(_required(row, "position", where), strand, row.get("zone"), wire)


def _count_from(row: Mapping[str, Any], where: str) -> WireCount:
    number = whole_number_from(row.get("number"), f"{where}.number", least=0)
    if number is None:
        raise FaultyFact(f"{where}.number", "is missing; none found is 0.")
    strand = whole_number_from(row.get("in_one_strand"), f"{where}.in_one_strand", least=0)
    window = window_from(row.get("window"), f"{where}.window")
    adjacent = whole_number_from(row.get("adjacent"), f"{where}.adjacent", least=0)
    return WireCount(number, window, strand, row.get("zone"), adjacent)


def _pair_from(row: Mapping[str, Any], where: str) -> DiameterPair:
    position = quantity_from(row.get("position"), f"{where}.position", "length")
    return DiameterPair(_required(row, "a", where), _required(row, "b", where), position)


def _loose(said: Mapping[str, Any], name: str, dimension: str) -> Quantity | None:
    return quantity_from(said.get(name), f"observation.{name}", dimension)


def _stored(value: Quantity | None) -> dict[str, str] | None:
    return value.stored() if value else None


def _count_to(count: WireCount) -> dict[str, Any]:
    kind, amount = count.window
    shown = amount.stored() if isinstance(amount, Quantity) else amount
    window = [kind] if amount is None else [kind, shown]
    return {
        "number": count.number, "window": window,
        "in_one_strand": count.in_one_strand, "zone": count.zone, "adjacent": count.adjacent,
    }  # fmt: skip
