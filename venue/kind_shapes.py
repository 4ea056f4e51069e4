"""What a kind of equipment and a kind of part are, as read from their files. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

FIELD_TYPES = ("quantity", "text", "whole_number", "choice", "date", "yes_no")

# What must be so before a thing of this kind can be looked at.
ACCESS_WORDS = {
    "stage_clear": "Stage floor clear",
    "house_empty": "Auditorium empty",
    "grid_empty": "Grid free to work on",
    "battens_stripped": "Battens stripped",
    "pit_at_level": "Pit lift free to move",
    "detector_isolated": "Smoke detectors may be isolated",
    "power_off": "Power may be switched off",
    "machine_locked": "Machines may be locked off",
    "nobody_below": "Nobody below the work",
}
ACCESS = tuple(ACCESS_WORDS)

# How well a source is backed. Only the first two count as verified.
VERIFIED = ("two documents", "document")
UNVERIFIED = ("second-hand", "common practice", "from memory")


class FaultyKindFile(ValueError):
    """A kind file that cannot be used. The message names the file and the fault."""


@dataclass(frozen=True)
class Source:
    """Where a figure or an interval comes from, and how well that is backed."""

    document: str
    edition: str
    clause: str
    verified: str
    address: str = ""
    backs: str = ""

    @property
    def is_verified(self) -> bool:
        return self.verified in VERIFIED


@dataclass(frozen=True)
class Field:
    """One thing to know about a piece of equipment or a part."""

    name: str
    label: str
    type: str
    dimension: str
    unit_metric: str
    unit_us: str
    required: bool
    choices: tuple[str, ...]
    help: str

    def unit(self, unit_habit: str) -> str:
        """The usual unit of the venue for this field; empty where there is none."""
        return self.unit_us if unit_habit == "us" else self.unit_metric


@dataclass(frozen=True)
class FieldFault:
    """What is wrong with one typed value, in a sentence for the person who typed it."""

    name: str
    sentence: str


@dataclass(frozen=True)
class LoadPurpose:
    """One rated load a kind carries: the same lift has one moving and another at rest."""

    purpose: str
    label: str
    dimension: str
    unit_metric: str
    unit_us: str
    help: str

    def unit(self, unit_habit: str) -> str:
        return self.unit_us if unit_habit == "us" else self.unit_metric


@dataclass(frozen=True)
class PartSlot:
    """A kind of part that equipment of this kind may have."""

    kind: str
    label: str
    many: bool


@dataclass(frozen=True)
class PartKind:
    slug: str
    labels: dict[str, str]
    description: str
    fields: tuple[Field, ...]
    sources: tuple[Source, ...]
    hash: str

    def label(self, dialect: str) -> str:
        """The trade word in a dialect; the American one where that dialect is unknown."""
        return self.labels.get(dialect, self.labels["en-US"])

    def field(self, name: str) -> Field | None:
        return next((field for field in self.fields if field.name == name), None)


@dataclass(frozen=True)
class Kind(PartKind):
    family: str
    group: str
    rated_loads: tuple[LoadPurpose, ...]
    part_kinds: tuple[PartSlot, ...]
    hazards: tuple[str, ...]
    access: tuple[str, ...]


StoredFields = dict[str, Any]
