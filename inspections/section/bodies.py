"""The parts of the building: which places stand in which, and how high each part reaches. Pure.

A place at the top of the tree that holds others is a part of the building with walls of its own. A
place at the top that holds none lies over the whole house when nothing is higher, under it when
nothing is lower, and is otherwise a part by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from inspections.section.shapes import Room, Spot
from venue.place_sides import LEFT, RIGHT

ACROSS = {RIGHT: -1, LEFT: 1}  # from the left of the sheet to its right


@dataclass(frozen=True)
class Body:
    name: str
    rooms: tuple[Room, ...]

    @property
    def highest(self) -> int:
        return max(room.spot.level for room in self.rooms)

    @property
    def lowest(self) -> int:
        return min(room.spot.level for room in self.rooms)

    def at(self, level: int) -> list[Room]:
        """As the house sees it: stage right on the left. What has no side keeps its order between."""
        there = [room for room in self.rooms if room.spot.level == level]
        return sorted(there, key=lambda room: ACROSS.get(room.spot.side, 0))


@dataclass(frozen=True)
class Building:
    above: tuple[Room, ...]
    bodies: tuple[Body, ...]
    below: tuple[Room, ...]
    ground: int


def top_of(spot: Spot, spots: Mapping[int, Spot]) -> int:
    """The place at the top of the tree that it stands in. A ring, which no form lets in, ends."""
    seen: set[int] = set()
    while spot.parent is not None and spot.parent in spots and spot.key not in seen:
        seen.add(spot.key)
        spot = spots[spot.parent]
    return spot.key


def building_of(spots: Sequence[Spot], rooms: Iterable[Room]) -> Building:
    """`rooms`: the places that are drawn, in walking order. A place that only holds others and has
    nothing of its own is a part of the building and no room."""
    known = {spot.key: spot for spot in spots}
    by_top: dict[int, list[Room]] = {}
    for room in rooms:
        by_top.setdefault(top_of(room.spot, known), []).append(room)
    holding = {spot.parent for spot in spots}
    bodies = [
        Body(known[top].name, tuple(found)) for top, found in by_top.items() if top in holding
    ]
    alone = [found[0] for top, found in by_top.items() if top not in holding]
    if not bodies:
        return Building((), (Body("", tuple(alone)),) if alone else (), (), _ground(alone))
    high, low = max(body.highest for body in bodies), min(body.lowest for body in bodies)
    above = [room for room in alone if room.spot.level > high]
    below = [room for room in alone if room.spot.level < low]
    beside = [Body("", (room,)) for room in alone if low <= room.spot.level <= high]
    every = [room for body in bodies for room in body.rooms]
    return Building(_downwards(above), (*bodies, *beside), _downwards(below), _ground(every))


def _ground(rooms: Sequence[Room]) -> int:
    """The height of the stage, where the house stands on the ground; unknown, the lowest of all."""
    stages = [room.spot.level for room in rooms if room.spot.is_stage]
    return min(stages or [room.spot.level for room in rooms], default=0)


def _downwards(rooms: Iterable[Room]) -> tuple[Room, ...]:
    return tuple(sorted(rooms, key=lambda room: -room.spot.level))
