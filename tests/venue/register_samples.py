"""Register files for tests, written the way a person's spreadsheet would write them."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import openpyxl

from venue.register.compare import compare
from venue.register.comparison import Comparison
from venue.register.held import House
from venue.register.reading import read_file

HEAD = ["row", "tag", "part code", "place", "kind", "name", "identifier"]
WINCH = {
    "row": "equipment", "tag": "W7", "place": "Stage house / Gridiron", "kind": "drum_winch",
    "name": "Paint frame winch", "field: service": "normal", "field: line_count": "2",
    "field: over_people": "no", "field: travel": "9.5 m", "rated: whole": "500 kg",
}  # fmt: skip
ROPE = {
    "row": "part", "tag": "W7", "part code": "line 1", "kind": "wire_rope", "identifier": "R-7",
    "installed on": "2021-03-04", "field: construction": "7x19",
    "field: nominal_diameter": "1/4 in", "field: duty": "running",
}  # fmt: skip


def csv_of(*rows: dict[str, str], delimiter: str = ",", encoding: str = "utf-8") -> bytes:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(columns)
    writer.writerows([row.get(column, "") for column in columns] for row in rows)
    return out.getvalue().encode(encoding)


def xlsx_of(rows: list[list[Any]], formats: dict[str, str] | None = None) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for cell, number_format in (formats or {}).items():
        book.active[cell].number_format = number_format
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def winches(count: int, **changed: str) -> list[dict[str, str]]:
    """Equipment and a rope each, in places of ten."""
    rows: list[dict[str, str]] = []
    for number in range(count):
        tag, place = f"W{number:05d}", f"Stage house / Bay {number // 10}"
        rows.append(WINCH | {"tag": tag, "place": place} | changed)
        rows.append(ROPE | {"tag": tag, "identifier": f"R-{number}"})
    return rows


def empty_house() -> House:
    return House(unit_habit="metric", dialect="en-US", today=date(2026, 5, 4))


def compared(content: bytes, house: House | None = None) -> Comparison:
    house = house or empty_house()
    return compare(read_file(content, house), house)


def faults_of(*rows: dict[str, str], house: House | None = None) -> list[str]:
    return [str(fault) for fault in compared(csv_of(*rows), house).faults]
