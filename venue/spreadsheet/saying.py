"""What a person has said of a spreadsheet: only what differs from the proposal. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

OUT = "out"  # a word or a sheet that is left out


@dataclass(frozen=True)
class SaidOfSheet:
    out: bool = False
    heading_row: int | None = None
    columns: Mapping[int, str] = field(default_factory=dict)  # place -> target


@dataclass(frozen=True)
class Said:
    encoding: str = ""
    order: str = ""  # how 03/04/2026 is meant
    place: str = ""  # where the file does not say
    sheets: Mapping[str, SaidOfSheet] = field(default_factory=dict)
    kinds: Mapping[str, str] = field(default_factory=dict)  # the file's word -> kind, or OUT
    common: Mapping[str, str] = field(default_factory=dict)  # "kind.field" -> text for all

    def of_sheet(self, name: str) -> SaidOfSheet:
        return self.sheets.get(name, SaidOfSheet())

    def stored(self) -> dict[str, Any]:
        """Fit for a JSON field; undone by `from_stored`."""
        sheets = {
            name: {
                "out": one.out, "heading_row": one.heading_row,
                "columns": {str(place): target for place, target in one.columns.items()},
            }
            for name, one in self.sheets.items()
        }  # fmt: skip
        return {
            "encoding": self.encoding, "order": self.order, "place": self.place,
            "sheets": sheets, "kinds": dict(self.kinds), "common": dict(self.common),
        }  # fmt: skip

    @classmethod
    def from_stored(cls, stored: Mapping[str, Any]) -> Said:
        """
        >>> said = Said(order="dmy", sheets={"Sets": SaidOfSheet(columns={2: "tag"})})
        >>> Said.from_stored(said.stored()) == said
        True
        """
        sheets = {
            name: SaidOfSheet(
                bool(one.get("out")), one.get("heading_row"),
                {int(place): target for place, target in one.get("columns", {}).items()},
            )
            for name, one in stored.get("sheets", {}).items()
        }  # fmt: skip
        texts = {name: stored.get(name, "") for name in ("encoding", "order", "place")}
        kinds, common = stored.get("kinds", {}), stored.get("common", {})
        return cls(**texts, sheets=sheets, kinds=kinds, common=common)
