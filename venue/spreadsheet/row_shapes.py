"""What is known of a row of a spreadsheet on its way to a row of a register file. Pure."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from venue.kind_files import Field
from venue.spreadsheet.kinds_of_rows import NO_WORD


@dataclass(frozen=True)
class Typed:
    """A filled cell with the heading and the unit over it."""

    heading: str
    text: str
    unit: str


@dataclass(frozen=True)
class Missing:
    """A field that a kind needs and that rows do not fill."""

    kind: str
    field: Field
    rows: int
    said: str

    @property
    def key(self) -> str:
        return f"{self.kind}.{self.field.name}"


@dataclass(frozen=True)
class LastLooked:
    """When the list says that the thing was last looked at. It is a remark of the list, no record."""

    day: date
    heading: str
    text: str  # as it stands in the list


@dataclass
class UnderstoodRow:
    sheet: str
    number: int
    cells: dict[str, str] = field(default_factory=dict)
    parts: tuple[dict[str, str], ...] = ()
    last: LastLooked | None = None
    doubts: list[str] = field(default_factory=list)
    kept: list[tuple[str, str]] = field(default_factory=list)  # heading, text: in the note
    out: str = ""

    @property
    def tag(self) -> str:
        return self.cells.get("tag", "")

    @property
    def has_no_word(self) -> bool:
        """The list calls it nothing, so that it stands there under our words."""
        return self.cells.get("name") == NO_WORD

    def keep(self, typed: Typed, doubt: str = "") -> None:
        self.kept.append((typed.heading, typed.text))
        if doubt:
            self.doubts.append(f"{typed.heading}: {doubt}; kept in the note")
