"""The section laid out: what lies at the same height lies on one line, from the pit to the roof. Pure.

Heights of rows come from what stands in them and not from the building: nobody has measured it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from inspections.section.bodies import Body, building_of
from inspections.section.floors import SOLID
from inspections.section.rooms import Block, block_of, natural_width
from inspections.section.shapes import Drawing, Line, Put, PutRoom, Room, Size, Spot
from venue.place_sides import LEFT, RIGHT

MARGIN, HEAD, UNDER = 12, 28, 10


@dataclass
class _Sheet:
    """The drawing while it is made; `y` is how far down it has come."""

    size: Size
    ground: int
    y: int = MARGIN
    bodies: list[tuple[int, int, str]] = field(default_factory=list)
    earth: list[Put] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    rooms: list[PutRoom] = field(default_factory=list)

    @property
    def inside(self) -> int:
        return self.size.width - 2 * MARGIN

    def line(self, look: str, x1: int, y1: int, x2: int, y2: int) -> None:
        self.lines.append(Line(look, x1, y1, x2, y2))


@dataclass(frozen=True)
class _Column:
    """A part of the building between its two walls."""

    body: Body
    x: int
    width: int
    top: int  # the highest and the lowest height order that it reaches
    bottom: int
    head: int

    def reaches(self, level: int) -> bool:
        return self.bottom <= level <= self.top


Blocks = list[list[Block]]


def drawing_of(spots: Sequence[Spot], rooms: Iterable[Room], size: Size) -> Drawing | None:
    """None of a house without places."""
    building = building_of(spots, rooms)
    if not building.bodies:
        return None
    sheet = _Sheet(size, building.ground)
    _whole_rows(sheet, building.above)
    for start in range(0, len(building.bodies), size.beside):
        if start:
            sheet.y += 2 * MARGIN
        _tier(sheet, building.bodies[start : start + size.beside], roofed=bool(building.above))
    _whole_rows(sheet, building.below)
    return Drawing(
        size.width, sheet.y + MARGIN, tuple(sheet.bodies), tuple(sheet.earth), tuple(sheet.lines),
        tuple(sheet.rooms),
    )  # fmt: skip


def _whole_rows(sheet: _Sheet, rooms: Sequence[Room]) -> None:
    """Places over or under the whole house, each as wide as it is."""
    for room in rooms:
        line = [block_of(room, sheet.inside, sheet.size)]
        _put_lines(sheet, [line], MARGIN, sheet.y, sheet.inside)
        sheet.y += sheet.rooms[-1].at.height


def _tier(sheet: _Sheet, bodies: Sequence[Body], roofed: bool) -> None:
    """Parts of the building beside each other, row by row from the highest down."""
    ground = sheet.ground
    columns = _columns(sheet, bodies, max(b.highest for b in bodies) if roofed else None)
    levels = sorted(
        {room.spot.level for body in bodies for room in body.rooms}
        | {ground for column in columns if column.reaches(ground)},
        reverse=True,
    )
    tops: dict[int, int] = {}
    for level in levels:
        tops[level] = sheet.y
        _row(sheet, columns, level)
    _walls(sheet, columns, tops)
    if levels[-1] < ground:
        sheet.earth.append(Put(0, sheet.y, sheet.size.width, UNDER))
        sheet.y += UNDER


def _columns(sheet: _Sheet, bodies: Sequence[Body], roofed: int | None) -> list[_Column]:
    """Wider where more stands side by side. Every part stands on the ground or below it, and reaches
    up to what lies over the whole house."""
    needs = [_need(body, sheet.size) for body in bodies]
    least = min(sheet.size.narrowest, sheet.inside // len(bodies))
    spare = sheet.inside - least * len(bodies)
    columns, x = [], MARGIN
    for number, (body, need) in enumerate(zip(bodies, needs, strict=True)):
        last = number == len(bodies) - 1
        width = sheet.inside + MARGIN - x if last else least + spare * need // sum(needs)
        head = HEAD if body.name else 0
        top = body.highest if roofed is None else roofed
        columns.append(_Column(body, x, width, top, min(body.lowest, sheet.ground), head))
        x += width
    return columns


def _need(body: Body, size: Size) -> int:
    levels = {room.spot.level for room in body.rooms}
    return max(sum(natural_width(room, size) for room in body.at(level)) for level in levels)


def _row(sheet: _Sheet, columns: Sequence[_Column], level: int) -> None:
    """All that lies at one height. The highest row of a part also holds its name."""
    laid = [_blocks(column, level, sheet.size) for column in columns]
    heads = [column.head if level == column.top else 0 for column in columns]
    needed = [_high(blocks) + head for blocks, head in zip(laid, heads, strict=True)]
    height = max(*needed, sheet.size.chip)
    for column, blocks, head in zip(columns, laid, heads, strict=True):
        if head:
            sheet.bodies.append((column.x + MARGIN, sheet.y + 20, column.body.name))
        if blocks:
            _put_lines(sheet, blocks, column.x, sheet.y + height - _high(blocks), column.width)
        elif level < sheet.ground and not column.reaches(level):
            sheet.earth.append(Put(column.x, sheet.y, column.width, height))
    if level < sheet.ground:
        sheet.earth += [Put(0, sheet.y, MARGIN, height),
                        Put(sheet.size.width - MARGIN, sheet.y, MARGIN, height)]  # fmt: skip
    sheet.y += height
    if level == sheet.ground:
        sheet.line("ground", 0, sheet.y, sheet.size.width, sheet.y)


def _blocks(column: _Column, level: int, size: Size) -> Blocks:
    """The rooms of a part at one height, in lines of as many as have room side by side."""
    rooms = column.body.at(level)
    if not rooms:
        return []
    fit = max(1, column.width // size.narrowest)
    lines = -(-len(rooms) // fit)
    each = -(-len(rooms) // lines)
    return [
        _shared(rooms[start : start + each], column.width, size)
        for start in range(0, len(rooms), each)
    ]


def _shared(rooms: Sequence[Room], width: int, size: Size) -> list[Block]:
    """One line of rooms: the width goes by what stands in each. Rooms that all lie on one side leave
    the other free."""
    if _one_side(rooms):
        width = max(2 * width // 3, min(width, size.narrowest * len(rooms)))
    needs = [natural_width(room, size) for room in rooms]
    least = min(size.narrowest, width // len(rooms))
    spare = width - least * len(rooms)
    widths = [least + spare * need // sum(needs) for need in needs]
    widths[-1] = width - sum(widths[:-1])
    return [block_of(room, wide, size) for room, wide in zip(rooms, widths, strict=True)]


def _one_side(rooms: Sequence[Room]) -> str:
    """The side on which all of these lie: stage left or right, else none."""
    sides = {room.spot.side for room in rooms}
    return sides.pop() if sides in ({LEFT}, {RIGHT}) else ""


def _high(blocks: Blocks) -> int:
    return sum(max(block.height for block in line) for line in blocks)


def _put_lines(sheet: _Sheet, blocks: Blocks, x: int, y: int, width: int) -> None:
    for line in blocks:
        height, left = max(block.height for block in line), x
        if _one_side([block.room for block in line]) == LEFT:  # the right of the sheet
            left = x + width - sum(block.width for block in line)
        before: Block | None = None
        for block in line:
            sheet.rooms.append(block.put(left, y, height))
            _floor(sheet, sheet.rooms[-1])
            if before and not _across(before, block):
                sheet.line("partition", left, y, left, y + height)
            left, before = left + block.width, block
        y += height


def _across(one: Block, other: Block) -> bool:
    """Between what hangs on one side of the stage and on the other is air, and no wall."""
    return {one.room.spot.side, other.room.spot.side} == {LEFT, RIGHT}


def _floor(sheet: _Sheet, room: PutRoom) -> None:
    """A gallery hangs at the wall of its side and a bridge at none; both have a rail at their free
    end. On the stage and below it the floor is whole, whatever stands there."""
    at, floor = room.at, room.room.spot.floor
    left, right, base = at.x, at.x + at.width, at.y + at.height
    if room.room.spot.level <= sheet.ground:
        floor = SOLID
    if floor == "bridge":
        left, right = left + MARGIN, right - MARGIN
        sheet.line("rail", left, base - 9, left, base)
    hangs_right = floor == "gallery" and room.room.spot.side == LEFT  # at the right of the sheet
    if hangs_right:
        left += at.width // 8
    elif floor == "gallery":
        right -= at.width // 8
    if floor in ("bridge", "gallery"):
        free = left if hangs_right else right
        sheet.line("rail", free, base - 9, free, base)
    sheet.line(f"floor-{floor}", left, base, right, base)


def _walls(sheet: _Sheet, columns: Sequence[_Column], tops: dict[int, int]) -> None:
    """`tops`: how far down each height begins. Between two parts there is a way at the stage."""
    for number, column in enumerate(columns):
        left, right, ground = column.x, column.x + column.width, sheet.ground
        top, bottom = tops[column.top], _end(sheet, tops, column.bottom)
        sheet.line("wall", left, top, right, top)
        for x, beside in ((left, number - 1), (right, number + 1)):
            open_way = 0 <= beside < len(columns) and columns[beside].reaches(ground)
            if open_way and column.reaches(ground):
                sheet.line("wall", x, top, x, tops[ground])
                sheet.line("wall", x, _end(sheet, tops, ground), x, bottom)
            else:
                sheet.line("wall", x, top, x, bottom)
        if column.bottom < ground:
            sheet.line("wall", left, bottom, right, bottom)


def _end(sheet: _Sheet, tops: dict[int, int], level: int) -> int:
    """How far down a row ends: where the next lower one begins, or the last of all."""
    lower = [one for one in tops if one < level]
    return tops[max(lower)] if lower else sheet.y
