"""The grid of a year board: rows of places or people, columns of days, marks in the cells. Pure,
but for the planned tasks that it is given and only passes on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from inspections.board_grid import HALVES, Column, Period
from inspections.half_days import HALF_WORDS
from inspections.held_half_days import NOT_IN_IT, HalfDay, Hold
from inspections.planned_standing import CANCELLED, DONE, LATE, OPEN, PAST, Standing

if TYPE_CHECKING:
    from inspections.models import PlannedTask

PLACES, PEOPLE = "places", "people"
SHADES = 4
MOVED, LOCKED, PLANNED = "moved", "locked", "planned"
# Of several tasks in a cell the first of these is shown.
BY_ATTENTION = (LATE, PAST, MOVED, LOCKED, PLANNED, DONE, CANCELLED)
# Up to so many rows are printed at this height on one sheet; more go on over as many as they need.
CROWDS = ((8, "few"), (12, "some"), (16, "many"))
SIGNS = {PAST: "due", CANCELLED: "not-judged"}  # the others have a sign of their own


@dataclass(frozen=True)
class RowName:
    """A place or a person. `order` sorts the rows, `sign` tells them apart in addresses."""

    order: tuple[int, str]
    sign: str
    title: str
    more: str = ""


@dataclass(frozen=True)
class Mark:
    """A planned task in one half-day. `goes_on`: it began in an earlier one."""

    planned: PlannedTask
    standing: Standing
    moved: bool = False
    goes_on: bool = False

    @property
    def state(self) -> str:
        """What its mark shows first; the words tell all of it."""
        if self.standing.state != OPEN:
            return self.standing.state
        if self.moved:
            return MOVED
        return LOCKED if self.planned.locked else PLANNED

    @property
    def sign(self) -> str:
        """Its picture among the marks."""
        return SIGNS.get(self.state, self.state)

    @property
    def said(self) -> list[str]:
        """What there is to say of it beside that it is planned."""
        told = list(self.standing.words)
        told += ["moved by hand"] if self.moved else []
        told += ["locked"] if self.planned.locked else []
        return told + (["goes on"] if self.goes_on else [])


@dataclass
class Cell:
    """What happens in a row on a half-day, or in a week of it."""

    column: Column
    half: str
    hold: Hold
    marks: list[Mark] = field(default_factory=list)
    shade: int = 0

    @property
    def first(self) -> Mark:
        """Whose mark it shows: of several tasks that which needs most attention."""
        return min(self.marks, key=lambda mark: BY_ATTENTION.index(mark.state))

    @property
    def half_words(self) -> str:
        return HALF_WORDS[self.half]


@dataclass(frozen=True)
class Line:
    """One half of the days of a row."""

    half: str
    cells: tuple[Cell, ...]

    @property
    def half_words(self) -> str:
        return HALF_WORDS[self.half]


@dataclass(frozen=True)
class Row:
    name: RowName
    lines: tuple[Line, ...]
    count: int


@dataclass(frozen=True)
class WeekHeld:
    """How much of a week is held, for the zoom of a year: half-days of 14."""

    column: Column
    held: int
    unknown: int
    titles: tuple[str, ...]

    @property
    def shade(self) -> int:
        """From 0 (dark) to 4 (held whole)."""
        return -(-self.held * SHADES // 14)


@dataclass(frozen=True)
class Board:
    period: Period
    rows: tuple[Row, ...]
    house: tuple[Line, ...]
    weeks: tuple[WeekHeld, ...]
    marks: tuple[Mark, ...]
    """Every task of the period once, in the order of the days."""

    @property
    def crowd(self) -> str:
        """How low its rows must be for one sheet of paper."""
        return next((word for most, word in CROWDS if len(self.rows) <= most), "most")

    @property
    def late(self) -> int:
        return self._count(LATE)

    @property
    def past(self) -> int:
        return self._count(PAST)

    @property
    def done(self) -> int:
        return self._count(DONE)

    def _count(self, state: str) -> int:
        return sum(mark.state == state for mark in self.marks)

    @property
    def locked(self) -> int:
        return sum(mark.planned.locked for mark in self.marks)

    @property
    def moved(self) -> int:
        return sum(mark.moved for mark in self.marks)


Named = Iterable[tuple[RowName, Mark]]


def board_of(
    period: Period,
    marks: Sequence[Mark],
    names: Mapping[int, Sequence[RowName]],
    holds: Mapping[HalfDay, Hold],
) -> Board:
    """The board of a period. `names`: the rows of each task, by its number."""
    found: dict[RowName, dict[tuple[int, str], list[Mark]]] = {}
    for mark in marks:
        for name in names[mark.planned.pk]:
            for key, here in _where(period, mark):
                found.setdefault(name, {}).setdefault(key, []).append(here)
    weeks = tuple(_week(column, holds) for column in period.columns) if period.by_week else ()
    shades = [week.shade for week in weeks]
    rows = [_row(period, name, found[name], holds, shades) for name in sorted(found, key=_by_order)]
    house = () if period.by_week else _lines(period, {}, holds, shades)
    return Board(period, tuple(rows), house, weeks, tuple(marks))


def _by_order(name: RowName) -> tuple[tuple[int, str], str]:
    return (name.order, name.sign)


def _where(period: Period, mark: Mark) -> Iterable[tuple[tuple[int, str], Mark]]:
    """The cells of a task: every half-day it takes; its first week in a year."""
    slot = half_day_number(mark.planned.day, mark.planned.half)
    if period.by_week:
        yield ((mark.planned.day - period.first).days // 7, ""), mark
        return
    for number in range(slot, slot + mark.planned.half_days):
        day, half = half_day_at(number)
        if period.first <= day <= period.last:
            yield ((day - period.first).days, half), replace(mark, goes_on=number > slot)


def half_day_number(day: date, half: str) -> int:
    """Half-days counted from the first of all.

    >>> half_day_at(half_day_number(date(2027, 5, 4), "pm"))
    (datetime.date(2027, 5, 4), 'pm')
    """
    return 2 * day.toordinal() + HALVES.index(half)


def half_day_at(number: int) -> HalfDay:
    return date.fromordinal(number // 2), HALVES[number % 2]


def _row(
    period: Period,
    name: RowName,
    cells: Mapping[tuple[int, str], list[Mark]],
    holds: Mapping[HalfDay, Hold],
    shades: Sequence[int],
) -> Row:
    count = len({mark.planned.pk for marks in cells.values() for mark in marks})
    return Row(name, _lines(period, cells, holds, shades), count)


def _lines(
    period: Period,
    cells: Mapping[tuple[int, str], list[Mark]],
    holds: Mapping[HalfDay, Hold],
    shades: Sequence[int],
) -> tuple[Line, ...]:
    return tuple(
        Line(
            half,
            tuple(
                Cell(
                    column,
                    half,
                    holds.get((column.first, half), NOT_IN_IT),
                    cells.get((number, half), []),
                    shades[number] if shades else 0,
                )
                for number, column in enumerate(period.columns)
            ),
        )
        for half in period.halves
    )


# What is not counted as held in a look by weeks.
NOTHING_HELD = ("free", "dark", "unknown", "beside", "within")


def _week(column: Column, holds: Mapping[HalfDay, Hold]) -> WeekHeld:
    days = [column.first + timedelta(days=n) for n in range(column.days)]
    here = [holds[day, half] for day in days for half in HALVES if (day, half) in holds]
    held = [hold for hold in here if hold.what not in NOTHING_HELD]
    titles = dict.fromkeys(title for hold in held for title in hold.titles)
    unknown = sum(hold.what == "unknown" for hold in here)
    return WeekHeld(column, len(held), unknown, tuple(titles))
