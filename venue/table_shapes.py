"""The pieces of a long table: its columns and filters, and what the page draws of it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from venue.folding import folded, typed
from venue.list_order import PAGE, PAST, address

Row = TypeVar("Row")


@dataclass(frozen=True)
class Stretch(Generic[Row]):
    """What is read at once of a list that may be longer. `more`: the key past which the next stretch
    lies, empty where nothing follows; `begun`: whether something lies before this one."""

    rows: Sequence[Row]
    more: str = ""
    begun: bool = False


@dataclass(frozen=True)
class Deed:
    """What can be done from a row: a way, or with `post` a button that does it."""

    text: str
    url: str
    post: bool = False


@dataclass(frozen=True)
class Cell:
    """What stands in one field: words, perhaps as a link or with the mark of a state. `mono`: signs
    that are compared one by one, such as a hash."""

    text: str
    url: str = ""
    state: str = ""
    more: str = ""
    mono: bool = False
    deeds: Sequence[Deed] = ()


@dataclass(frozen=True)
class Column(Generic[Row]):
    """`order`: what rows are sorted by; without it nobody sorts by this column. `form`: "head" for
    what the row is about, which always shows; "date" and "figure". `total`: said of all rows."""

    name: str
    label: str
    cell: Callable[[Row], Cell | str]
    order: Callable[[Row], Any] | None = None
    form: str = ""
    at_first: bool = True
    total: Callable[[Sequence[Row]], str] | None = None


@dataclass(frozen=True)
class Filter(Generic[Row]):
    """`of`: the value of a row; with `search`, the words that are looked through. `keeps` and
    `choices` where a choice takes more than the rows with its own value."""

    name: str
    label: str
    of: Callable[[Row], str]
    words: Callable[[Row], str] | None = None
    search: bool = False
    day: bool = False  # a day is asked for
    keeps: Callable[[Row, str], bool] | None = None
    choices: Sequence[tuple[str, str]] | None = None

    def takes(self, row: Row, value: str) -> bool:
        if self.keeps:
            return self.keeps(row, value)
        if not self.search:
            return self.of(row) == value
        there = folded(self.of(row))
        return all(word in there for word in typed(value).split())


@dataclass(frozen=True)
class FilterField:
    name: str
    label: str
    value: str
    search: bool
    choices: list[tuple[str, str]]
    day: bool = False

    @property
    def value_words(self) -> str:
        return dict(self.choices).get(self.value, self.value)


@dataclass(frozen=True)
class Head:
    label: str
    form: str
    url: str
    sorted: str  # "ascending", "descending" or nothing, as aria-sort says it


@dataclass(frozen=True)
class Line:
    state: str
    cells: list[tuple[Head, Cell]]


@dataclass(frozen=True)
class LongTable:
    """What the page shows; `templates/parts/long_table.html` draws it."""

    name: str
    caption: str
    heads: list[Head]
    lines: list[Line]
    totals: list[tuple[Head, str]]
    filters: list[FilterField]
    columns: list[tuple[str, str, bool]]  # name, label, whether it is shown
    orders: list[tuple[str, str, bool]]  # as the address names it, label, whether turned
    known: dict[str, str]  # what the address asks for
    sort: str
    kept: list[tuple[str, str]]  # of the address, what the filters leave alone
    found: int
    of: int
    page: int
    pages: int
    more: str = ""  # as in Stretch
    begun: bool = False

    @property
    def cut(self) -> bool:
        """Whether there are rows of this list that were not read."""
        return bool(self.more or self.begun)

    @property
    def next_stretch(self) -> str:
        return address(self.known, {PAST: self.more}) if self.more else ""

    @property
    def first_stretch(self) -> str:
        return address(self.known, {PAST: ""}) if self.begun else ""

    @property
    def earlier(self) -> str:
        return address(self.known, {PAGE: str(self.page - 1)}) if self.page > 1 else ""

    @property
    def later(self) -> str:
        return address(self.known, {PAGE: str(self.page + 1)}) if self.page < self.pages else ""

    @property
    def without_filters(self) -> str:
        return address(self.known, {each.name: "" for each in self.filters})

    @property
    def filtered(self) -> list[FilterField]:
        return [each for each in self.filters if each.value]

    @property
    def narrowed(self) -> bool:
        """Whether another filter than the words that are searched for is set."""
        return any(each.value for each in self.filters if not each.search)

    @property
    def asked_beside_columns(self) -> list[tuple[str, str]]:
        return [(name, value) for name, value in self.known.items() if name != "columns"]
