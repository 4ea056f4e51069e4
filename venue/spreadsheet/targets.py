"""What a column of a spreadsheet can be for, in words and in the columns of a register file. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from venue.kind_files import Field, kinds, part_kinds
from venue.register.columns import FIELD

NOTE, NOTHING = "note", "nothing"
RATED, LAST_DONE, DAY = "rated", "last done", "day installed"
ROPE = "rope: "
ROPE_KIND = "wire_rope"
PLAIN = {
    "tag": "Tag",
    "kind": "Kind",
    "name": "Name",
    "place": "Place",
    "place above": "Place around that place",
    "serial": "Serial number",
    "made on": "Made on",
    DAY: "Day it was installed",
    "standing": "Installed, stored or gone",
    RATED: "Rated load",
    LAST_DONE: "Day it was last looked at",
}


@dataclass(frozen=True)
class Target:
    key: str
    words: str
    dimension: str = ""  # of a quantity
    day: bool = False


@cache
def targets() -> dict[str, Target]:
    """Every one, as they are offered: what each thing has, fields by label, ropes, the rest."""
    found = [
        Target(key, words, day=key in (DAY, LAST_DONE), dimension="mass" if key == RATED else "")
        for key, words in PLAIN.items()
    ]
    fields: dict[str, Field] = {}
    for kind in kinds().values():
        for field in kind.fields:
            fields.setdefault(field.name, field)
    by_label = sorted(fields.values(), key=lambda one: one.label)
    found += [_of_field(FIELD + one.name, one.label, one) for one in by_label]
    rope = part_kinds()[ROPE_KIND]
    found += [Target(f"{ROPE}identifier", "Ropes: identifier"),
              Target(f"{ROPE}installed on", "Ropes: installed on", day=True)]  # fmt: skip
    found += [
        _of_field(ROPE + one.name, f"Ropes: {_within(one.label)}", one) for one in rope.fields
    ]
    found += [Target(NOTE, "Keep as a note"), Target(NOTHING, "Leave out")]
    return {one.key: one for one in found}


def _within(label: str) -> str:
    """A label inside a sentence: only its first letter is lowered, DIN stays DIN."""
    return label[:1].lower() + label[1:]


def _of_field(key: str, words: str, field: Field) -> Target:
    return Target(key, words, field.dimension, field.type == "date")
