"""Every rope in use, with when it was last looked at and the worst verdict of that look."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from inspections.consequences import STATES, worst
from inspections.models import Judged
from inspections.queries.looked_at import looked_at
from inspections.queries.state import EquipmentState, states_of
from rigging.models import RopeObserved
from venue.kind_fields import show_field
from venue.kind_files import part_kinds
from venue.models import Part, Venue
from venue.quantities import Quantity

WIRE_ROPE = "wire_rope"
UNDECIDED = "cannot be decided"


@dataclass(frozen=True)
class RopeRow:
    rope: Part
    last_at: datetime | None
    state: str  # of the last look; a rope nobody looked at cannot be decided
    piece: EquipmentState  # of the equipment it is on, now

    @property
    def badness(self) -> int:
        return STATES.index(self.state)

    @property
    def construction(self) -> str:
        return _fact(self.rope, "construction")

    @property
    def diameter(self) -> str:
        return _fact(self.rope, "nominal_diameter")

    @property
    def exact_diameter(self) -> Fraction | None:
        stored = self.rope.fields.get("nominal_diameter")
        return Fraction(Quantity.from_stored(stored).si) if stored else None


def rope_rows(venue: Venue, day: date) -> list[RopeRow]:
    """Nine queries, however many ropes there are."""
    ropes = (
        Part.objects.filter(equipment__venue=venue, kind=WIRE_ROPE, retired_on=None)
        .exclude(equipment__standing="gone")
        .select_related("equipment__place")
        .order_by("equipment__place__walking_order", "equipment__walking_order", "equipment__tag",
                  "walking_order", "code")
    )  # fmt: skip
    last = _last_looks(venue)
    states = _states(venue, [look for look, _ in last.values()])
    pieces = states_of({rope.equipment_id: rope.equipment for rope in ropes}.values(), day)
    found = []
    for rope in ropes:
        look, at = last.get(rope.pk, (None, None))
        state = worst(states[look] or [UNDECIDED]) if look else UNDECIDED
        found.append(RopeRow(rope, at, state, pieces[rope.equipment_id]))
    return found


def _last_looks(venue: Venue) -> dict[int, tuple[int, datetime]]:
    """By rope: its newest observation and when that was made: not when a phone sent it."""
    rows = RopeObserved.objects.filter(part__equipment__venue=venue, part__retired_on=None)
    looks = (
        rows.annotate(looked_at=looked_at("answer__record__"))
        .order_by("looked_at", "at", "pk")
        .values_list("part_id", "pk", "looked_at")
    )
    return {part: (pk, at) for part, pk, at in looks}


def _states(venue: Venue, looks: list[int]) -> dict[int, list[str]]:
    wanted, found = set(looks), defaultdict(list)
    rows = Judged.objects.filter(
        answer__observation__part__equipment__venue=venue,
        answer__observation__part__retired_on=None,
    )
    for look, state in rows.values_list("answer__observation_id", "state"):
        if look in wanted:
            found[look].append(state)
    return found


def _fact(rope: Part, name: str) -> str:
    kind = part_kinds()[rope.kind]
    field = next(each for each in kind.fields if each.name == name)
    return show_field(field, rope.fields.get(name))
