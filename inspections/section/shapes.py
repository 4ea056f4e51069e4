"""What a section is drawn from, and what it is made of once it is laid out. Pure."""

from __future__ import annotations

from dataclasses import dataclass

INSET, MARK = 7, 18  # of a chip: the room before its mark and its text, and the mark
# Worst first: what nobody may use, what may be used with care, what nothing is known of, the rest.
STATES = ("out of service", "late", "restrict", "cannot be decided", "watch", "due", "fit")


@dataclass(frozen=True)
class Spot:
    """A place of the tree; `level` is its height order, from the lowest pit up."""

    key: int
    name: str
    parent: int | None
    level: int
    is_stage: bool = False  # the ground that the house stands on is at its height
    floor: str = "solid"  # one of the names in floors.toml
    side: str = ""  # one of the names in venue/place_sides.py, empty where nobody said


@dataclass(frozen=True)
class Piece:
    """A piece of equipment at a place, with its state in words for whoever hears the drawing."""

    key: int
    tag: str
    name: str
    place: int
    state: str
    words: str


@dataclass(frozen=True)
class Chip:
    """One mark of a place: a piece of equipment, or, without `piece`, a number of them alike."""

    text: str
    said: str
    state: str
    piece: int | None = None


@dataclass(frozen=True)
class Room:
    """A place as it is drawn."""

    spot: Spot
    said: str
    chips: tuple[Chip, ...]


@dataclass(frozen=True)
class Put:
    """Something at its spot in the drawing: the left upper corner, and how large it is."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True)
class PutChip:
    """A chip at its spot: its mark, then its text, in the middle of its height."""

    chip: Chip
    at: Put

    @property
    def mark_x(self) -> int:
        return self.at.x + INSET

    @property
    def mark_y(self) -> int:
        return self.at.y + (self.at.height - MARK) // 2

    @property
    def text_x(self) -> int:
        return self.mark_x + MARK + INSET

    @property
    def text_y(self) -> int:
        return self.at.y + self.at.height // 2 + 5


@dataclass(frozen=True)
class PutRoom:
    room: Room
    at: Put
    title: tuple[tuple[int, int, str], ...]  # where each line of the name begins
    title_at: Put
    chips: tuple[PutChip, ...]


@dataclass(frozen=True)
class Line:
    """A piece of the building: a wall, a roof, a floor, a rail. `look` names its class."""

    look: str
    x1: int
    y1: int
    x2: int
    y2: int


@dataclass(frozen=True)
class Drawing:
    """The whole section: in reading order, from the top of the house down."""

    width: int
    height: int
    bodies: tuple[tuple[int, int, str], ...]  # names of the parts of the building
    earth: tuple[Put, ...]
    lines: tuple[Line, ...]
    rooms: tuple[PutRoom, ...]


@dataclass(frozen=True)
class Size:
    """The measures of one size of the drawing, in its own units."""

    width: int
    beside: int  # bodies of the building next to each other, at most
    chip: int  # height of a chip
    letter: int  # size of the letters
    narrowest: int  # of a room
    most: int  # chips of a room before those alike are counted


DESK = Size(width=1136, beside=4, chip=30, letter=14, narrowest=180, most=10)
SMALL = Size(width=358, beside=3, chip=24, letter=12, narrowest=96, most=0)  # where a thing stands
PHONE = Size(width=358, beside=1, chip=44, letter=16, narrowest=300, most=6)
