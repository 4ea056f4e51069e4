"""A long list as a table: which columns, what it is filtered and sorted by, how the address says so.
Pure: rows come in as they are, and what is shown of them goes out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Generic

from venue.list_order import PAGE, PAST, address, in_order, natural
from venue.table_shapes import (
    Cell,
    Column,
    Filter,
    FilterField,
    Head,
    Line,
    LongTable,
    Row,
    Stretch,
)

ROWS_A_PAGE = 400
SORT, COLUMNS = "sort", "columns"


@dataclass(frozen=True)
class TableKind(Generic[Row]):
    """`sort`: the column it is sorted by at first; empty: in the order in which the rows come.
    `also`: names in the address that belong to the page, such as the days that it shows."""

    name: str
    caption: str
    columns: Sequence[Column[Row]]
    filters: Sequence[Filter[Row]] = ()
    state: Callable[[Row], str] = field(default=lambda row: "")
    sort: str = ""
    also: Sequence[str] = ()

    def shown(
        self, read: Sequence[Row] | Stretch[Row], asked: Mapping[str, str], kept_columns: str = ""
    ) -> LongTable:
        """The rows as the address asks; a name that it has wrong is as if it were not there. Of a
        stretch, filters, order and totals are of what was read, and the page says so."""
        stretch = read if isinstance(read, Stretch) else Stretch(read)
        rows = stretch.rows
        known = self._known(asked)
        chosen = self.chosen_columns(asked.get(COLUMNS, "") or kept_columns)
        heads = [self._head(column, known) for column in chosen]
        found = self._found(rows, known)
        pages = max(1, -(-len(found) // ROWS_A_PAGE))
        page = min(max(_number(asked.get(PAGE, "")), 1), pages)
        here = found[(page - 1) * ROWS_A_PAGE : page * ROWS_A_PAGE]
        return LongTable(
            self.name, self.caption, heads, [self._line(row, chosen, heads) for row in here],
            _totals(found, chosen, heads), [self._field(each, rows, known) for each in self.filters],
            [(each.name, each.label, each in chosen) for each in self.columns if each.form != "head"],
            self._orders(), known, known.get(SORT, self.sort),
            [(name, known[name]) for name in (*self.also, PAST, COLUMNS) if name in known],
            len(found), len(rows), page, pages, stretch.more, stretch.begun,
        )  # fmt: skip

    def _found(self, rows: Sequence[Row], known: Mapping[str, str]) -> list[Row]:
        found = [row for row in rows if self._keeps(row, known)]
        sort = self._sort(known)
        return in_order(found, sort[0].order, sort[1]) if sort and sort[0].order else found

    def chosen_columns(self, said: str) -> list[Column[Row]]:
        """Those named, "tag.place", in the table's own order; where none is known, those at first."""
        names = set(said.split(".")) & {each.name for each in self.columns}
        if not names:
            return [each for each in self.columns if each.at_first or each.form == "head"]
        return [each for each in self.columns if each.name in names or each.form == "head"]

    def said_columns(self, names: Iterable[str]) -> str:
        """How the address names a choice of columns; the choice at first is not named."""
        chosen = self.chosen_columns(".".join(names))
        if chosen == self.chosen_columns(""):
            return ""
        return ".".join(each.name for each in chosen if each.form != "head")

    def _known(self, asked: Mapping[str, str]) -> dict[str, str]:
        """What the address says and this table understands, in an order of its own."""
        names = (*self.also, *(each.name for each in self.filters), SORT, PAST, COLUMNS)
        known = {name: asked[name].strip() for name in names if asked.get(name, "").strip()}
        if SORT in known and not self._sort(known):
            del known[SORT]
        return known

    def _keeps(self, row: Row, known: Mapping[str, str]) -> bool:
        return all(each.takes(row, known[each.name]) for each in self.filters if each.name in known)

    def _sort(self, known: Mapping[str, str]) -> tuple[Column[Row], bool] | None:
        said = known.get(SORT, self.sort)
        for column in self.columns:
            if column.order and said.removeprefix("-") == column.name:
                return column, said.startswith("-")
        return None

    def _head(self, column: Column[Row], known: Mapping[str, str]) -> Head:
        if not column.order:
            return Head(column.label, column.form, "", "")
        now = known.get(SORT, self.sort)
        turned = {column.name: "ascending", f"-{column.name}": "descending"}.get(now, "")
        url = address(known, {SORT: f"-{column.name}" if now == column.name else column.name})
        return Head(column.label, column.form, url, turned)

    def _line(self, row: Row, chosen: Sequence[Column[Row]], heads: list[Head]) -> Line:
        cells = [_cell(column, row) for column in chosen]
        return Line(self.state(row), list(zip(heads, cells, strict=True)))

    def _field(
        self, each: Filter[Row], rows: Sequence[Row], known: Mapping[str, str]
    ) -> FilterField:
        """What can be chosen is what there is; a value of the address that no row has stays to be seen."""
        value, words = known.get(each.name, ""), each.words or each.of
        if each.search:
            return FilterField(each.name, each.label, value, search=True, choices=[])
        if each.day:
            return FilterField(each.name, each.label, value, search=False, choices=[], day=True)
        if each.choices is None:
            there = {each.of(row): words(row) for row in rows if each.of(row)}
            choices = sorted(there.items(), key=lambda choice: natural(choice[1]))
        else:
            choices = list(each.choices)
        choices += [(value, value)] if value and value not in dict(choices) else []
        return FilterField(each.name, each.label, value, search=False, choices=choices)

    def _orders(self) -> list[tuple[str, str, bool]]:
        """For the choice that stands in for the heads on a phone: value, label, whether turned."""
        there = [(each.name, each.label) for each in self.columns if each.order]
        both = [[(name, label, False), (f"-{name}", label, True)] for name, label in there]
        return [choice for pair in both for choice in pair]


def _cell(column: Column[Row], row: Row) -> Cell:
    made = column.cell(row)
    return made if isinstance(made, Cell) else Cell(made)


def _totals(
    rows: Sequence[Row], chosen: Sequence[Column[Row]], heads: Sequence[Head]
) -> list[tuple[Head, str]]:
    """Of all rows that were found, on whichever page they stand; none where no column has one."""
    said = [column.total(rows) if column.total else "" for column in chosen]
    return list(zip(heads, said, strict=True)) if any(said) else []


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 6 else 1
