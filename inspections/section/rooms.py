"""One place as it is drawn: its name, its marks in lines, and how much room all that needs. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.section.shapes import INSET, MARK, Chip, Put, PutChip, PutRoom, Room, Size
from inspections.section.text_widths import broken_lines, text_width

EDGE, GAP = 12, 6


@dataclass(frozen=True)
class Block:
    """A room with everything in it, seen from its own left upper corner."""

    room: Room
    width: int
    height: int
    title: tuple[tuple[int, int, str], ...]
    title_at: Put
    chips: tuple[PutChip, ...]

    def put(self, x: int, y: int, height: int) -> PutRoom:
        """Where the room goes. What is in it stands on its floor."""
        down = y + height - self.height
        chips = tuple(PutChip(each.chip, _moved(each.at, x, down)) for each in self.chips)
        title = tuple((x + left, down + base, words) for left, base, words in self.title)
        at = Put(x, y, self.width, height)
        return PutRoom(self.room, at, title, _moved(self.title_at, x, down), chips)


def chip_width(chip: Chip, size: Size) -> int:
    return 3 * INSET + MARK + text_width(chip.text, size.letter, bold=True)


def natural_width(room: Room, size: Size) -> int:
    """What the room would take if its marks stood in two lines."""
    name = text_width(room.spot.name, size.letter, bold=True)
    chips = sum(chip_width(chip, size) + GAP for chip in room.chips)
    return 2 * EDGE + max(size.narrowest, (name + chips) // 2)


def block_of(room: Room, width: int, size: Size) -> Block:
    inside = width - 2 * EDGE
    lines = broken_lines(room.spot.name, inside, size.letter)
    high = max(24, size.letter + 8)
    title_width = max(text_width(line, size.letter, bold=True) for line in lines)
    beside = _beside(room, lines, title_width, inside, size)
    top = EDGE // 2
    down = (size.chip - high) // 2 if beside else 0  # the name in the middle of its line of marks
    title = tuple(
        (EDGE, top + down + number * high + high - 7, line) for number, line in enumerate(lines)
    )
    title_at = Put(EDGE - 4, top + down, title_width + 8, high * len(lines))
    first = EDGE + title_width + 12 if beside else EDGE
    start = top if beside else top + high * len(lines) + 2
    chips, bottom = _flow(room.chips, first, start, width, size)
    return Block(room, width, max(bottom, title_at.y + title_at.height) + 8, title, title_at, chips)


def _beside(room: Room, lines: Sequence[str], title: int, inside: int, size: Size) -> bool:
    """Whether the first marks stand in the line of the name."""
    if len(lines) > 1 or not room.chips:
        return False
    return title + 12 + chip_width(room.chips[0], size) <= inside


def _flow(
    chips: Sequence[Chip], first: int, top: int, width: int, size: Size
) -> tuple[tuple[PutChip, ...], int]:
    """The marks one after the other, in as many lines as they need, and where the last one ends."""
    x, y, found = first, top, []
    for chip in chips:
        wide = min(chip_width(chip, size), width - 2 * EDGE)
        if x + wide > width - EDGE and x > EDGE:
            x, y = EDGE, y + size.chip + GAP
        found.append(PutChip(chip, Put(x, y, wide, size.chip)))
        x += wide + GAP
    return tuple(found), (y + size.chip if found else top)


def _moved(at: Put, x: int, y: int) -> Put:
    return Put(at.x + x, at.y + y, at.width, at.height)
