"""The house in section with the state of everything that stands in it, in a fixed number of queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Min
from django.utils.formats import date_format
from django.utils.translation import gettext, gettext_lazy, ngettext

from inspections.models import Task
from inspections.queries.state import EquipmentState, states_of
from inspections.section.chips import chips_of
from inspections.section.floors import floor_of
from inspections.section.layout import drawing_of
from inspections.section.shapes import (
    DESK,
    PHONE,
    SMALL,
    STATES,
    Chip,
    Drawing,
    Piece,
    Room,
    Size,
    Spot,
)
from venue.language_now import said
from venue.models import Equipment, Place, Venue
from venue.place_sides import LEFT, RIGHT, SIDES
from venue.queries.places import Branch, tree_of

SOON = timedelta(days=14)
DUE = "due"
ALIKE = {
    "out of service": gettext_lazy("out of service"),
    "late": gettext_lazy("late"),
    "restrict": gettext_lazy("restricted"),
    "cannot be decided": gettext_lazy("not known"),
    "watch": gettext_lazy("to watch"),
    DUE: gettext_lazy("due soon"),
    "fit": gettext_lazy("in order"),
}
IN_ORDER = gettext_lazy("in order at the last check")  # said wherever there is room for it


@dataclass(frozen=True)
class WhereItIs:
    """The house small, for the page of one thing: no states, its own place filled."""

    drawing: Drawing
    place: int
    path: str


@dataclass(frozen=True)
class PlaceRow:
    """One place in words: what stands in it alone, by state, the worst first."""

    branch: Branch
    chips: tuple[Chip, ...]
    holds_places: bool

    @property
    def side(self) -> str:
        """As it was said of this very place."""
        place = self.branch.place
        return said(SIDES[place.side]) if place.side else ""


@dataclass(frozen=True)
class HouseSection:
    desk: Drawing | None
    phone: Drawing | None
    rows: list[PlaceRow]
    states: list[tuple[str, str]]  # those that are shown, with their words
    holding: frozenset[int]  # places that hold other places
    all_at_one_height: bool
    has_sides: bool


def house_section(venue: Venue, day: date) -> HouseSection:
    places = list(Place.objects.filter(venue=venue))
    pieces = list(Equipment.objects.filter(venue=venue).exclude(standing=Equipment.Standing.GONE))
    seen = _seen(pieces, day)
    by_place: dict[int, list[Piece]] = defaultdict(list)
    kinds: dict[int, set[str]] = defaultdict(set)
    for piece in pieces:
        by_place[piece.place_id].append(seen[piece.pk])
        kinds[piece.place_id].add(piece.kind)
    spots = _spots(places, kinds)
    shown = {piece.state for piece in seen.values()}
    return HouseSection(
        desk=_drawn(spots, by_place, DESK),
        phone=_drawn(spots, by_place, PHONE),
        rows=_rows(places, by_place),
        states=[(state, in_words(state)) for state in STATES if state in shown],
        holding=frozenset(place.parent_id for place in places if place.parent_id),
        all_at_one_height=len(places) > 1 and len({place.level for place in places}) == 1,
        has_sides=any(spot.side in (LEFT, RIGHT) for spot in spots),
    )


def where_it_is(equipment: Equipment) -> WhereItIs | None:
    """In two queries. None of a house of one place, which tells nothing."""
    places = list(Place.objects.filter(venue=equipment.venue_id))
    kinds: dict[int, set[str]] = defaultdict(set)
    there = Equipment.objects.filter(venue=equipment.venue_id)
    for place, kind in there.order_by().values_list("place", "kind").distinct():
        kinds[place].add(kind)
    spots = _spots(places, kinds)
    holding = {spot.parent for spot in spots}
    own = equipment.place_id
    rooms = [Room(s, s.name, ()) for s in spots if s.key not in holding or s.key == own]
    drawing = drawing_of(spots, rooms, SMALL) if len(rooms) > 1 else None
    path = next(branch.path for branch in tree_of(places) if branch.place.pk == own)
    return WhereItIs(drawing, own, path) if drawing else None


def due_soon(pieces: Iterable[Equipment], day: date) -> dict[int, date]:
    """Of these, what has to be looked at within two weeks, and by when; in one query."""
    rows = Task.objects.filter(
        equipment__in=[piece.pk for piece in pieces], state=Task.State.OPEN,
        last_lawful_on__range=(day, day + SOON),
    )  # fmt: skip
    return dict(rows.order_by().values_list("equipment").annotate(Min("last_lawful_on")))


def shown_state(state: EquipmentState, due: date | None) -> str:
    """What is in order and due within two weeks is marked as due; whatever is worse stays that."""
    return DUE if due and state.state == "fit" else state.state


def _seen(pieces: Sequence[Equipment], day: date) -> dict[int, Piece]:
    states, due = states_of(pieces, day), due_soon(pieces, day)
    return {
        piece.pk: Piece(
            piece.pk, piece.tag, piece.name, piece.place_id,
            shown_state(states[piece.pk], due.get(piece.pk)),
            _words(states[piece.pk], due.get(piece.pk)),
        )
        for piece in pieces
    }  # fmt: skip


def _words(state: EquipmentState, due: date | None) -> str:
    words = said(state.words)
    if due is None:
        return words
    both = gettext("%(state)s, due by %(day)s")
    return both % {"state": words, "day": date_format(due, "j F")}


def _spots(places: list[Place], kinds: dict[int, set[str]]) -> list[Spot]:
    """What stands in a place lies on its side, unless it says its own."""
    sides: dict[int, str] = {}
    for branch in tree_of(places):  # children come after what they stand in
        place = branch.place
        sides[place.pk] = place.side or sides.get(place.parent_id or 0, "")
    return [
        Spot(
            place.pk, place.name, place.parent_id, place.level, "stage_clear" in place.access,
            floor_of(sorted(kinds[place.pk])), sides.get(place.pk, ""),
        )
        for place in places
    ]  # fmt: skip


def _drawn(spots: list[Spot], by_place: dict[int, list[Piece]], size: Size) -> Drawing | None:
    """A place that holds only other places is a part of the building and is not drawn by itself."""
    holding = {spot.parent for spot in spots}
    rooms = [
        Room(spot, _said(spot, by_place[spot.key]), chips_of(by_place[spot.key], size.most, _alike))
        for spot in spots
        if by_place[spot.key] or spot.key not in holding
    ]
    return drawing_of(spots, rooms, size)


def _rows(places: list[Place], by_place: dict[int, list[Piece]]) -> list[PlaceRow]:
    holding = {place.parent_id for place in places}
    return [
        PlaceRow(branch, chips_of(by_place[branch.place.pk], 0, _alike), branch.place.pk in holding)
        for branch in tree_of(places)
    ]


def _alike(state: str, number: int) -> tuple[str, str]:
    return f"{number} {ALIKE[state]}", f"{number} {in_words(state)}"


def in_words(state: str) -> str:
    """A state as lists and drawings count it: never "fit", which says more than a look can."""
    return str(IN_ORDER if state == "fit" else ALIKE[state])


def _said(spot: Spot, pieces: list[Piece]) -> str:
    """The place in words, for whoever hears the drawing."""
    name = f"{spot.name}, {said(SIDES[spot.side])}" if spot.side else spot.name
    if not pieces:
        return gettext("%(place)s: nothing stands here") % {"place": name}
    number = len(pieces)
    head = ngettext("%(place)s: %(number)d piece", "%(place)s: %(number)d pieces", number)
    count = Counter(piece.state for piece in pieces)
    parts = [_alike(state, count[state])[1] for state in STATES if count[state]]
    return ", ".join([head % {"place": name, "number": number}, *parts])
