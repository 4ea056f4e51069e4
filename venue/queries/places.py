from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from venue.kind_shapes import ACCESS_WORDS
from venue.models import Place, Venue
from venue.register.held import PlaceHeld
from venue.register.written import place_cells


@dataclass(frozen=True)
class Branch:
    place: Place
    depth: int
    path: str

    @property
    def access(self) -> list[str]:
        return [ACCESS_WORDS.get(state, state) for state in self.place.access]


def place_tree(venue: Venue) -> list[Branch]:
    """The places in walking order, children after their parent, in one query."""
    return tree_of(Place.objects.filter(venue=venue))


def tree_of(places: Iterable[Place]) -> list[Branch]:
    """Of places that were read already."""
    children: dict[int | None, list[Place]] = {}
    for place in places:
        children.setdefault(place.parent_id, []).append(place)
    found: list[Branch] = []
    _walk(children, None, 0, "", found)
    return found


def places_within(tree: Iterable[Branch], number: str, alone: bool = False) -> set[int]:
    """A place of the tree and all that stands in it, or the place alone; what is no place is empty."""
    found: set[int] = set()
    for branch in tree:  # children come after their parent
        place = branch.place
        if str(place.pk) == number or (place.parent_id in found and not alone):
            found.add(place.pk)
    return found


def place_entry(place: Place) -> dict[str, str]:
    """A place as its form shows it: `place` is its own name, `parent` the number of what it stands
    in; the rest as the cells of a register file."""
    cells = place_cells(
        PlaceHeld(
            (place.name,), place.level, place.walking_order, tuple(place.hazards),
            tuple(place.access), place.side,
        )
    )  # fmt: skip
    del cells["row"]
    return cells | ({"parent": str(place.parent_id)} if place.parent_id else {})


def _walk(children, parent_id, depth, path, found) -> None:
    for place in children.get(parent_id, []):
        here = f"{path} / {place.name}" if path else place.name
        found.append(Branch(place, depth, here))
        _walk(children, place.pk, depth + 1, here, found)
