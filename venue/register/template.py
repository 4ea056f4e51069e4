"""The empty register file with a few example rows, and the sheets that explain it. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from venue.kind_files import Field, PartKind, kinds, part_kinds
from venue.quantities import DIMENSIONS, units_of
from venue.register.columns import (
    EXAMPLE,
    FIXED,
    field_column,
    rated_column,
    source_column,
)
from venue.register.kind_words import known_columns
from venue.register.xlsx_sheet import SHEET

# Example rows are shown and skipped, so a template sent back untouched imports nothing.
_EXAMPLES: tuple[dict[str, str], ...] = (
    {
        "row": f"{EXAMPLE} place",
        "place": "Stage house / Gridiron",
        "walking order": "40",
        "place level": "4",
        "place side": "centre",
        "place hazards": "Openings between the channels | Turning blocks",
        "place access": "grid_empty | nobody_below",
    },
    {
        "row": f"{EXAMPLE} equipment",
        "place": "Stage house / Machine pit",
        "tag": "L1",
        "kind": "pit_lift_screw",
        "name": "Forestage lift north",
        "standing": "installed",
        "walking order": "10",
        "made on": "1997",
        rated_column("moving"): "4500 kg",
        source_column("moving"): "Plate on the frame",
        rated_column("at_rest"): "9000 kg",
        field_column("screw_count"): "4",
        field_column("carries_people"): "yes",
        field_column("travel"): "3.2 m",
        field_column("blind_edges"): "2",
    },
    {
        "row": f"{EXAMPLE} equipment",
        "place": "Stage house / Gridiron",
        "tag": "W1",
        "kind": "multi_line_winch",
        "name": "Canopy winch",
        "made on": "unknown",
        rated_column("whole"): "1,200 lb",
    },
    {
        "row": f"{EXAMPLE} part",
        "tag": "W1",
        "part code": "line 1",
        "kind": "wire_rope",
        "name": "Canopy line 1",
        "identifier": "LR-0117",
        "installed on": "2021-03-04",
        field_column("construction"): "7x19",
        field_column("nominal_diameter"): "1/4 in",
        field_column("duty"): "running",
    },
)


def template_rows() -> Iterator[list[str]]:
    """Every column of every kind, and the example rows."""
    columns = known_columns()
    yield list(columns)
    for example in _EXAMPLES:
        yield [example.get(column, "") for column in columns]


def template_sheets() -> dict[str, Iterator[list[str]]]:
    """The sheets of the workbook: the register to fill in, then what its words mean."""
    return {
        SHEET: template_rows(),
        "Columns": _column_rows(),
        "Kinds": _kind_rows(),
        "Fields": _field_rows(),
        "Units": _unit_rows(),
    }


def _column_rows() -> Iterator[list[str]]:
    yield ["column", "in rows of", "what it holds"]
    for column, (row_types, words) in FIXED.items():
        yield [column, ", ".join(sorted(row_types)), words]
    yield ["rated: …", "equipment", "A rated load for one purpose, with its unit: 4500 kg."]
    yield ["rated source: …", "equipment", "Where that figure stands: plate, certificate, drawing."]
    yield ["field: …", "equipment, part", "A field of the row's kind; see the sheet Fields."]
    yield ["", "", "An empty cell leaves what is known as it is. (none) empties it."]
    yield ["", "", "Rows whose first cell begins with the word example are skipped."]


def _kind_rows() -> Iterator[list[str]]:
    yield ["kind", "of", "American words", "British words", "what it is", "its parts"]
    for kind in kinds().values():
        parts = ", ".join(slot.kind for slot in kind.part_kinds)
        yield [kind.slug, "equipment", *_both_labels(kind), kind.description, parts]
    for part in part_kinds().values():
        yield [part.slug, "part", *_both_labels(part), part.description, ""]


def _both_labels(kind: PartKind) -> tuple[str, str]:
    return kind.label("en-US"), kind.label("en-GB")


def _field_rows() -> Iterator[list[str]]:
    yield ["kind", "column", "label", "needed", "what to write", "help"]
    for kind in kinds().values():
        for load in kind.rated_loads:
            units = _units(load.dimension)
            yield [kind.slug, rated_column(load.purpose), load.label, "no", units, load.help]
    every: list[PartKind] = [*kinds().values(), *part_kinds().values()]
    for one in every:
        for field in one.fields:
            needed = "yes" if field.required else "no"
            column = field_column(field.name)
            yield [one.slug, column, field.label, needed, _how_to_write(field), field.help]


def _how_to_write(field: Field) -> str:
    if field.type == "quantity":
        return f"{_units(field.dimension)}; without a unit: {field.unit_metric} or {field.unit_us}"
    return {
        "choice": f"one of: {', '.join(field.choices)}",
        "yes_no": "yes or no",
        "date": "year-month-day: 2021-03-04",
        "whole_number": "a whole number",
        "text": "text",
    }[field.type]


def _units(dimension: str) -> str:
    return f"a number and its unit: {', '.join(unit.code for unit in units_of(dimension))}"


def _unit_rows() -> Iterator[list[str]]:
    yield ["what is measured", "unit", "also written"]
    for dimension in DIMENSIONS:
        for unit in units_of(dimension):
            yield [dimension, unit.code or unit.label, ", ".join(unit.spellings)]
