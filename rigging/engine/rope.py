"""Facts about a rope, as the register knows them. Pure. Unknown is None and is never guessed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from venue.quantities import Quantity, UnreadableQuantity, read_quantity

CHOICES = {
    "lay_type": ("ordinary", "lang"),
    "duty": ("running", "standing"),
    "drum": ("single_layer", "multi_layer", "no_drum"),
    "core": ("fibre", "independent_wire_rope", "wire_strand", "none"),
    "machine_class": ("m1", "m2", "m3", "m4", "m5", "m6", "m7", "m8"),
    "carries": ("persons", "dangerous_goods", "other"),
    "use": ("carrying_means", "slinging_means"),
    "drive_group": ("1em", "1dm", "1cm", "1bm", "1am", "2m", "3m", "4m", "5m"),
}
QUANTITIES = {
    "nominal_diameter": "length",
    "lay_length": "length",
    "minimum_breaking_force": "force",
    "baseline_diameter": "length",
    "greatest_force": "force",
}
NUMBERS = (
    "total_wires", "wires_per_strand", "strands", "outer_load_bearing_wires", "outer_strands",
)  # fmt: skip
YES_OR_NO = ("rotation_resistant", "seale")
# Constructions that are Seale by their name, and those whose name does not tell.
SEALE = re.compile(r"[68]\s*x\s*19\s*s(eale)?\b.*", re.IGNORECASE)
PERHAPS_SEALE = re.compile(r"[68]\s*x\s*19\b[^/]*", re.IGNORECASE)

# How a missing fact is named to a person.
FACT_WORDS = {
    "duty": "whether the rope is running or standing",
    "rotation_resistant": "whether the rope is rotation-resistant",
    "lay_type": "whether the rope is ordinary lay or Lang lay",
    "drum": "whether the drum takes one layer or several, or there is none",
    "core": "what core the rope has",
    "machine_class": "the class of the mechanism",
    "construction": "the construction of the rope",
    "nominal_diameter": "the nominal diameter of the rope",
    "baseline_diameter": "the baseline diameter, measured on this rope when new",
    "lay_length": "the lay length of the rope",
    "total_wires": "the number of wires in the rope",
    "wires_per_strand": "the number of wires in a strand",
    "outer_load_bearing_wires": "the number of load-bearing wires in the outer strands",
    "strands": "the number of strands of the rope",
    "outer_strands": "the number of outer strands of the rope",
    "seale": "whether the outer strands are of Seale construction",
    "carries": "whether the rope carries persons, dangerous goods or other loads",
    "drive_group": "the group of the drive by DIN 15020, 1Em to 5m",
    "use": "whether the rope is a carrying means of the machinery or a slinging means",
    "minimum_breaking_force": "the minimum breaking force of the rope, with its source",
    "greatest_force": "the greatest force in the rope, dynamic effects included",
}


class FaultyFact(ValueError):
    """A fact or an observation that cannot be. `field` names where, the message says why."""

    def __init__(self, field: str, why: str) -> None:
        super().__init__(f"{field}: {why}")
        self.field = field


@dataclass(frozen=True)
class RopeFacts:
    construction: str | None = None
    nominal_diameter: Quantity | None = None
    core: str | None = None
    lay_type: str | None = None
    lay_length: Quantity | None = None
    rotation_resistant: bool | None = None
    duty: str | None = None
    total_wires: int | None = None
    wires_per_strand: int | None = None
    strands: int | None = None
    outer_load_bearing_wires: int | None = None
    minimum_breaking_force: Quantity | None = None
    mbf_source: str | None = None
    baseline_diameter: Quantity | None = None
    drum: str | None = None
    machine_class: str | None = None
    carries: str | None = None
    use: str | None = None
    drive_group: str | None = None
    greatest_force: Quantity | None = None
    outer_strands: int | None = None
    seale: bool | None = None

    def __post_init__(self) -> None:
        for name, choices in CHOICES.items():
            if (said := getattr(self, name)) not in choices:
                object.__setattr__(self, name, _choice(name, said, choices))
        for name, dimension in QUANTITIES.items():
            _check_quantity(name, getattr(self, name), dimension)
        for name in NUMBERS:
            number = getattr(self, name)
            if number is not None and (isinstance(number, bool) or number < 1):
                raise FaultyFact(name, "is a whole number of 1 or more.")
        for name in YES_OR_NO:
            if getattr(self, name) not in (True, False, None):
                raise FaultyFact(name, "is true, false or left out.")
        if self.construction is not None and not isinstance(self.construction, str):
            raise FaultyFact("construction", 'is text, like "7x19".')

    @property
    def seale_strands(self) -> bool | None:
        """Whether the outer strands are Seale: as said, else by the construction's name. A name
        that may be either (6x19, 8x19) leaves it unknown, and so does no name."""
        if self.seale is not None or self.construction is None:
            return self.seale
        if SEALE.fullmatch(self.construction.strip()):
            return True
        return None if PERHAPS_SEALE.fullmatch(self.construction.strip()) else False

    @classmethod
    def from_dict(cls, said: Mapping[str, Any]) -> RopeFacts:
        """From JSON: quantities as text with unit ("1/4 in") or as stored, the rest as it is."""
        for name in said:
            if name not in cls.__dataclass_fields__:
                raise FaultyFact(f"rope.{name}", "is not a fact of a rope.")
        found = dict(said)
        for name, dimension in QUANTITIES.items():
            if name in said:
                found[name] = quantity_from(said[name], f"rope.{name}", dimension)
        for name in NUMBERS:
            if name in said:
                found[name] = whole_number_from(said[name], f"rope.{name}")
        return cls(**found)

    def to_dict(self) -> dict[str, Any]:
        """Everything known, JSON-safe; `from_dict` reads it back."""
        values = {field.name: getattr(self, field.name) for field in fields(self)}
        return {
            name: value.stored() if isinstance(value, Quantity) else value
            for name, value in values.items()
        }


def _choice(name: str, value: object, choices: tuple[str, ...]) -> str | None:
    if value is None or value in ("", "not_known"):
        return None
    folded = str(value).lower()
    if folded not in choices:
        raise FaultyFact(name, f"“{value}” is not one of {', '.join(choices)}.")
    return folded


def _check_quantity(name: str, value: Quantity | None, dimension: str) -> None:
    if value is None:
        return
    if value.dimension != dimension:
        raise FaultyFact(name, f"is a {value.dimension}, not a {dimension}.")
    if value.si <= 0:
        raise FaultyFact(name, "is more than zero.")


def quantity_from(value: object, field: str, dimension: str) -> Quantity | None:
    """A quantity from JSON: text as a person types it, or the stored form; None stays None."""
    if value is None:
        return None
    if not isinstance(value, str | Mapping):
        raise FaultyFact(field, 'is text with its unit, like "9.5 mm", not a bare number.')
    try:
        if isinstance(value, str):
            return read_quantity(value, dimension)
        found = Quantity.from_stored(value)
    except UnreadableQuantity as fault:
        raise FaultyFact(field, str(fault)) from fault
    except (KeyError, ValueError, ZeroDivisionError, TypeError) as fault:
        raise FaultyFact(field, "is not a stored quantity.") from fault
    if found.dimension != dimension:
        raise FaultyFact(field, f"is a {found.dimension}, not a {dimension}.")
    return found


def whole_number_from(value: object, field: str, least: int = 1) -> int | None:
    """A whole number from JSON; None stays None."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        raise FaultyFact(field, f"is a whole number of {least} or more.")
    return value
