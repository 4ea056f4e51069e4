"""A part through its life: where it was before, and what stood in its position before and after."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from venue.models import Part

LONGEST_LINE = 100  # a line of parts longer than this is a fault in the data


@dataclass(frozen=True)
class Spell:
    """One part in one position; `moved_on` when the same thing went on to another position."""

    part: Part
    moved_on: bool


def spells(part: Part) -> list[Spell]:
    """The line of parts this one belongs to, oldest first: by moves and by replacements. One query
    more for each link of the line, two for most parts."""
    linked = _linked(part)
    before = {row.successor_id: row for row in linked.values() if row.successor_id}
    here: Part | None = linked[part.pk]
    while here and here.pk in before:
        here = before[here.pk]
    found = []
    while here:
        follows = linked.get(here.successor_id) if here.successor_id else None
        found.append(Spell(here, follows is not None and _elsewhere(here, follows)))
        here = follows
    return found


def _elsewhere(part: Part, successor: Part) -> bool:
    # What takes a part's place stands in its position; the same thing elsewhere does not.
    return (part.equipment_id, part.code) != (successor.equipment_id, successor.code)


def _linked(part: Part) -> dict[int, Part]:
    found: dict[int, Part] = {}
    wanted = Q(pk=part.pk)
    for _ in range(LONGEST_LINE):
        rows = Part.objects.filter(wanted).select_related("equipment")
        new = {row.pk: row for row in rows if row.pk not in found}
        if not new:
            break
        found |= new
        ahead = [row.successor_id for row in new.values() if row.successor_id]
        wanted = Q(pk__in=ahead) | Q(successor__in=list(new))
    return found


def same_thing(part: Part, line: list[Spell]) -> list[Part]:
    """The rows of this very thing among its line, oldest first: one for each position it had."""
    runs: list[list[Part]] = [[]]
    for spell in line:
        runs[-1].append(spell.part)
        if not spell.moved_on:
            runs.append([])
    return next(run for run in runs if part.pk in {row.pk for row in run})


def position_on(part: Part, day: date) -> Part | None:
    """The row that says where this very thing was on a day: its equipment and its code. On the day
    of a move that is where it came to. None where the register does not know."""
    for row in reversed(same_thing(part, spells(part))):
        if row.installed_on is not None and row.installed_on <= day:
            return row if row.retired_on is None or day <= row.retired_on else None
    return None
