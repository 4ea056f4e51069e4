"""A bundle tells which ropes and other parts left their position, and the log stands behind it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from inspections.queries.evidence import Span, counts_in, counts_in_all
from inspections.queries.retired_part_rows import HEADING, retired_part_rows
from tests.house import NOW, TODAY, make_equipment, make_house, make_rope
from tests.inspections.season import completeness, run, table
from tests.tamper.parts import table_of, write_table
from venue.actions.parts import move_part, retire_part

pytestmark = pytest.mark.django_db


def test_a_retired_and_a_moved_rope_are_told_with_what_came_after() -> None:
    house = make_house()
    manager, other = house.people["manager"], make_equipment(house.venue, "W2")
    moved = make_rope(other)
    retire_part(
        part=house.rope, why="Six breaks", successor_identifier="WR-NEW", installed_on=None,
        by=manager, at=NOW,
    )  # fmt: skip
    move_part(
        part=moved, to=other, code="line 9", moved_on="", why="Worn sheave", by=manager, at=NOW
    )
    span = Span(house.venue, TODAY, TODAY)
    rows = [dict(zip(HEADING, row, strict=True)) for row in retired_part_rows(span, TODAY)]
    assert [(row["how"], row["why"]) for row in rows] == [
        ("retired", "Six breaks"), ("moved to another position", "Moved to W2, line 9: Worn sheave"),
    ]  # fmt: skip
    assert rows[0]["successor identifier"] == "WR-NEW"
    assert counts_in(span)["retired_parts"] == counts_in_all(house.venue)["retired_parts"] == 2
    before = Span(house.venue, date(2020, 1, 1), date(2020, 1, 2))
    assert counts_in(before)["retired_parts"] == 0


def test_the_bundle_has_it_and_a_row_that_is_missing_or_changed_is_found(bundle: Path) -> None:
    (row,) = table(bundle, "retired_parts")
    assert (row["identifier"], row["left on"], row["why"]) == ("WR-3", "2026-02-10", "Broken wires")
    assert completeness(bundle)["by outcome"]["retired_parts"] == {"wire_rope": 1}
    heading, cells = table_of(bundle, "retired_parts")
    cells[heading.index("why")] = "Moved"
    write_table(bundle, "retired_parts", [heading, cells])
    done = run("python3 -I verify_tables.py", bundle)
    assert (done.returncode, "another why than the log" in done.stdout) == (1, True)
    write_table(bundle, "retired_parts", [heading])
    done = run("python3 -I verify_complete.py", bundle)
    assert (done.returncode, "left its position" in done.stdout) == (1, True)
