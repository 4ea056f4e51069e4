"""A long table: filtered, sorted and its columns chosen by the address alone."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from venue import long_table
from venue.long_table import TableKind
from venue.table_shapes import Cell, Column, Filter, LongTable


@dataclass(frozen=True)
class Piece:
    tag: str
    place: str
    hours: int | None


PIECES = [
    Piece("CW10", "Fly gallery", 3), Piece("CW2", "Gridiron", None), Piece("cw1", "Fly gallery", 1),
]  # fmt: skip
KIND = TableKind(
    "pieces",
    "Pieces",
    [
        Column("tag", "Tag", lambda row: Cell(row.tag, "/x"), lambda row: row.tag, "head",
               total=lambda rows: f"{len(rows)} pieces"),
        Column("place", "Place", lambda row: row.place, lambda row: row.place),
        Column("hours", "Hours", lambda row: str(row.hours or "Not known"), lambda row: row.hours, "figure",
               total=lambda rows: str(sum(row.hours or 0 for row in rows))),
        Column("more", "More", lambda row: "more", at_first=False),
    ],
    [
        Filter("words", "Words", lambda row: f"{row.tag} {row.place}", search=True),
        Filter("place", "Place", lambda row: row.place),
    ],
    also=("show",),
)  # fmt: skip


def shown(kept: str = "", **asked: str) -> LongTable:
    return KIND.shown(PIECES, asked, kept)


def tags(table: LongTable) -> list[str]:
    return [line.cells[0][1].text for line in table.lines]


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({}, ["CW10", "CW2", "cw1"]),
        ({"sort": "tag"}, ["cw1", "CW2", "CW10"]),
        ({"sort": "-tag"}, ["CW10", "CW2", "cw1"]),
        ({"sort": "hours"}, ["cw1", "CW10", "CW2"]),
        ({"sort": "-hours"}, ["CW10", "cw1", "CW2"]),  # not known is last either way
        ({"sort": "nonsense"}, ["CW10", "CW2", "cw1"]),
        ({"sort": "more"}, ["CW10", "CW2", "cw1"]),  # cannot be sorted by
        ({"words": "GALLERY cw1"}, ["CW10", "cw1"]),
        ({"place": "Gridiron"}, ["CW2"]),
        ({"place": "Nowhere"}, []),
    ],
)
def test_the_address_filters_and_sorts(asked: dict[str, str], expected: list[str]) -> None:
    assert tags(shown(**asked)) == expected


def test_totals_are_of_all_rows_found_and_not_of_one_page(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(long_table, "ROWS_A_PAGE", 2)
    table = shown(page="2")
    assert (tags(table), table.pages) == (["cw1"], 2)
    assert [said for _, said in table.totals] == ["3 pieces", "", "4"]
    assert [said for _, said in shown(place="Gridiron").totals] == ["1 pieces", "", "0"]
    assert tags(shown(page="99")) == ["cw1"]  # there is none so late: the last


def test_a_head_sorts_and_turns_and_keeps_what_was_asked() -> None:
    table = shown(show="late", place="Gridiron", sort="tag", nonsense="x")
    assert table.heads[0].sorted == "ascending"
    assert table.heads[0].url == "?show=late&place=Gridiron&sort=-tag"
    assert table.heads[1].url == "?show=late&place=Gridiron&sort=place"
    assert table.without_filters == "?show=late&sort=tag"


def test_columns_are_those_of_the_address_then_those_kept_then_those_at_first() -> None:
    def labels(table: LongTable) -> list[str]:
        return [head.label for head in table.heads]

    assert labels(shown()) == ["Tag", "Place", "Hours"]
    assert labels(shown(columns="more")) == ["Tag", "More"]
    assert labels(shown("more.place", columns="hours")) == ["Tag", "Hours"]
    assert labels(shown("more.place")) == ["Tag", "Place", "More"]
    assert labels(shown("nonsense")) == ["Tag", "Place", "Hours"]
    assert KIND.said_columns(["hours", "place"]) == ""  # as at first: not said
    assert KIND.said_columns(["hours", "more"]) == "hours.more"


def test_a_filter_offers_what_there_is_and_shows_a_value_that_nothing_has() -> None:
    assert [choice for choice, _ in shown().filters[1].choices] == ["Fly gallery", "Gridiron"]
    assert ("Nowhere", "Nowhere") in shown(place="Nowhere").filters[1].choices
