"""Messy lists, made here, and what is understood of each of them."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import openpyxl
import pytest

from tests.first_hour_files import HOISTS, SETS, season_list
from venue.register.compare import compare
from venue.register.grid import UnreadableFile
from venue.register.held import House
from venue.register.reading import read_file
from venue.spreadsheet.saying import OUT, Said, SaidOfSheet
from venue.spreadsheet.sheets import MAX_BYTES, read_sheets
from venue.spreadsheet.understanding import Understood, understand
from venue.spreadsheet.words import guess_kind

TODAY = date(2026, 11, 26)
HEAD = ["Tag", "Kind", "Name", "Place"]
ONE = ["W1", "Drum winch", "Paint frame winch", "Paint frame"]


def text_of(rows: list[list[str]], delimiter: str = ",", encoding: str = "utf-8") -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter).writerows(rows)
    return out.getvalue().encode(encoding)


def book_of(**sheets: list[list[Any]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read(content: bytes, said: Said | None = None, unit_habit: str = "metric") -> Understood:
    said = said or Said()
    raw = read_sheets(content, said.encoding)
    return understand(raw, said, unit_habit=unit_habit, dialect="en-GB", today=TODAY)


def targets(found: Understood, sheet: int = 0) -> dict[str, str]:
    return {one.heading: one.target for one in found.sheets[sheet].columns}


def only(found: Understood) -> dict[str, str]:
    (row,) = found.rows
    assert not row.out, row.out
    return row.cells


def faults(found: Understood) -> list[str]:
    house = House("metric", "en-GB", TODAY)
    return [str(one) for one in compare(read_file(found.register_file(), house), house).faults]


def test_the_list_of_the_first_hour_becomes_a_register_without_a_fault() -> None:
    found = read(season_list(), Said(order="dmy"))
    assert len(found.ready) == SETS + 2 + 2 + HOISTS + 3
    assert [row.out for row in found.left_out] == ["no kind is known for it"] * 2
    assert faults(found) == []
    assert {row.cells["field: installed_on"] for row in found.ready if row.tag == "CW2"} == {
        "1998-04-03"
    }


def test_the_heading_is_found_below_titles_and_totals_are_passed_over() -> None:
    rows = [["THE LARKSPUR"], ["list of 2026", "", "ask Tam"], [], HEAD, ONE, ["Total", "1"], [],
            ["* the rest is in the old book, ask Odile before you believe any of this at all"]]  # fmt: skip
    found = read(text_of(rows))
    assert found.sheets[0].table.heading_row == 4
    assert [row.tag for row in found.ready] == ["W1"]
    assert len(found.sheets[0].skipped) == 3


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_any_sign_may_part_the_cells(delimiter: str) -> None:
    assert only(read(text_of([HEAD, ONE], delimiter)))["name"] == "Paint frame winch"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252", "cp850"])
def test_accents_come_through_in_any_of_the_usual_encodings(encoding: str) -> None:
    rows = [HEAD, ["W1", "Drum winch", "Bühne, Höhe 3 é", "Café"]]
    found = read(text_of(rows, encoding=encoding))
    assert (only(found)["name"], only(found)["place"]) == ("Bühne, Höhe 3 é", "Café")


def test_an_encoding_that_was_guessed_is_told_with_a_line_and_can_be_said() -> None:
    content = text_of([HEAD, ["W1", "Drum winch", "Höhe", "Café"]], encoding="mac_roman")
    raw = read_sheets(content)
    assert raw.guessed
    assert any("W1" in line for line in raw.in_doubt)
    assert only(read(content, Said(encoding="mac_roman")))["name"] == "Höhe"


def test_columns_may_be_called_anything() -> None:
    rows = [["Line set", "Type of equipment", "Pipe length (ft)", "Cable dia", "WLL lb", "Supplier"],
            ["12", "Single purchase", "42", '1/4"', "1200", "Tern Ropes"]]  # fmt: skip
    found = read(text_of(rows), unit_habit="us")
    assert targets(found) == {
        "Line set": "tag", "Type of equipment": "kind", "Pipe length (ft)": "field: batten_length",
        "Cable dia": "rope: nominal_diameter", "WLL lb": "rated", "Supplier": "note",
    }  # fmt: skip
    cells = only(found)
    assert (cells["tag"], cells["field: set_number"]) == ("CW12", "12")
    assert cells["field: batten_length"] == "42 ft"
    assert cells["rated: whole"] == "1200 lb"
    assert cells["rated source: whole"] == "The house’s list, column “WLL lb”"
    assert cells["note"] == "Supplier: Tern Ropes"


@pytest.mark.parametrize(
    ("heading", "target"),
    [
        ("Last inspected", "last done"), ("Date tested", "last done"), ("Geprüft am", "last done"),
        ("Letzte UVV-Prüfung", "last done"), ("Última revisión", "last done"),
        ("Fecha de inspección", "last done"), ("Last LOLER inspection", "last done"),
        ("Next inspection", "note"), ("Date of next inspection", "note"),
        ("Inspection date due", "note"), ("Nächste Prüfung", "note"), ("Próxima revisión", "note"),
        ("LOLER", "note"), ("Re-test date", "note"), ("Retest date", "note"),
        ("To be inspected on", "note"), ("Nächsten Prüfung am", "note"),
        ("Inspection date planned", "note"), ("Inspection date 2027", "note"),
        ("Inspection date scheduled", "note"), ("Renewal inspection date", "note"),
        ("Fecha de inspección prevista", "note"), ("Fecha de la siguiente inspección", "note"),
        ("Inspection date 2026", "last done"), ("Test date", "last done"),
    ],
)  # fmt: skip
def test_the_day_of_the_last_look_is_known_in_three_languages_and_never_that_of_the_next(
    heading: str, target: str
) -> None:
    found = read(text_of([[*HEAD, heading], [*ONE, "2026-02-03"]]))
    assert targets(found)[heading] == target
    assert [str(row.last and row.last.day) for row in found.rows] == [
        "2026-02-03" if target == "last done" else "None"
    ]


@pytest.mark.parametrize("ahead", ["2027-01-05", "05/01/27", "01/2027", "2027"])
def test_a_column_with_one_day_ahead_is_no_column_of_last_looks(ahead: str) -> None:
    """A thing whose coming test went by unheeded is overdue, not looked at on that day."""
    rows = [[*HEAD, "Test date"], [*ONE, "2026-02-03"], ["W2", *ONE[1:], "13/03/2026"],
            ["W3", *ONE[1:], ahead]]  # fmt: skip
    for said in (Said(), Said(sheets={"": SaidOfSheet(columns={4: "last done"})})):
        found = read(text_of(rows), said)
        assert targets(found)["Test date"] == "last done"
        assert found.last_looks == {}
        assert f"“{ahead}” lies in the future" in found.sheets[0].columns[4].doubt
        assert [row.cells["note"] for row in found.rows] == [
            "Test date: 2026-02-03", "Test date: 13/03/2026", f"Test date: {ahead}",
        ]  # fmt: skip
    assert len(read(text_of(rows[:3])).last_looks) == 2


def test_of_two_columns_of_last_looks_the_older_day_counts() -> None:
    rows = [[*HEAD, "Last inspected", "Seen"], [*ONE, "2026-02-03", "2024-01-02"],
            ["W2", *ONE[1:], "2023-01-02", "2026-02-03"]]  # fmt: skip
    found = read(text_of(rows), Said(sheets={"": SaidOfSheet(columns={5: "last done"})}))
    told = {tag: (str(one.day), one.heading) for tag, one in found.last_looks.items()}
    assert told == {"W1": ("2024-01-02", "Seen"), "W2": ("2023-01-02", "Last inspected")}


def test_a_column_whose_cells_are_otherwise_than_its_heading_is_not_believed() -> None:
    rows = [
        ["Tag", "Kind", "Travel"],
        ["W1", "Drum winch", "500 kg"],
        ["W2", "Drum winch", "300 kg"],
    ]
    assert targets(read(text_of(rows)))["Travel"] == "note"


def test_what_a_person_says_of_a_column_holds() -> None:
    rows = [["Tag", "Kind", "Blurb"], ["W1", "Drum winch", "Paint frame"]]
    said = Said(sheets={"": SaidOfSheet(columns={2: "place"})})
    assert only(read(text_of(rows), said))["place"] == "Paint frame"


def test_a_word_that_may_be_two_kinds_is_a_doubt_until_somebody_looks() -> None:
    content = text_of([HEAD, ["1", "CW set", "Tabs", "Fly gallery"]])
    (row,) = read(content).rows
    assert row.doubts == ["“CW set” is taken for counterweight set, single purchase"]
    (row,) = read(content, Said(kinds={"CW set": "counterweight_set_double"})).rows
    assert (row.doubts, row.cells["kind"]) == ([], "counterweight_set_double")


def test_a_word_nobody_knows_leaves_its_rows_out_and_says_so() -> None:
    content = text_of([HEAD, ONE, ["P1", "Piano", "Steinway", "Store"]])
    found = read(content)
    assert [(row.tag, row.out) for row in found.left_out] == [("P1", "no kind is known for it")]
    assert len(read(content, Said(kinds={"Piano": OUT})).ready) == 1


@pytest.mark.parametrize(
    ("words", "slug"),
    [
        ("Chain hoists", "chain_hoist"), ("Beam Smoke Detector", "beam_smoke_detector"),
        ("THE IRON", "fire_safety_curtain"), ("Eye-bolt", "fall_arrest_anchor"),
        ("double purchase c/w set", "counterweight_set_double"), ("Grid", "gridiron"),
    ],
)  # fmt: skip
def test_kinds_are_known_by_the_words_of_the_trade(words: str, slug: str) -> None:
    guess = guess_kind(words)
    assert guess
    assert guess.slug == slug


def test_a_day_that_may_be_two_holds_the_reading_in_until_it_is_said() -> None:
    content = text_of([[*HEAD, "Installed"], [*ONE, "03/04/2019"]])
    found = read(content)
    assert found.ambiguous == ("03/04/2019",)
    assert found.rows[0].cells["note"] == "Installed: 03/04/2019"
    assert "3 April 2019 or 4 March 2019" in found.rows[0].doubts[0]
    assert only(read(content, Said(order="mdy")))["field: installed_on"] == "2019-03-04"


def test_nothing_of_a_row_is_lost() -> None:
    rows = [[*HEAD, "Travel", "Lines", "Colour", "Last inspection"],
            [*ONE, "about ten", "two", "red", "2026-02-03"]]  # fmt: skip
    (row,) = read(text_of(rows)).rows
    for text in ("about ten", "two", "red", "2026-02-03"):
        assert text in row.cells["note"]
    assert len(row.doubts) == 2


def test_what_a_kind_needs_and_nobody_says_is_not_known_or_the_same_for_all() -> None:
    content = text_of([HEAD, ONE])
    found = read(content)
    assert {one.key for one in found.missing} == {
        "drum_winch.service", "drum_winch.line_count", "drum_winch.over_people",
    }  # fmt: skip
    assert only(found)["field: service"] == "(not known)"
    assert faults(found) == []
    said = Said(common={"drum_winch.service": "heavy"})
    assert only(read(content, said))["field: service"] == "heavy"


def test_the_ropes_of_a_row_are_as_many_as_its_lines() -> None:
    rows = [[*HEAD, "Lines", "Wire rope dia", "Rope construction", "Ropes fitted"],
            [*ONE, "4", "6 mm", "7x19", "2021-03-04"]]  # fmt: skip
    found = read(text_of(rows))
    (row,) = found.rows
    assert [one["part code"] for one in row.parts] == ["line 1", "line 2", "line 3", "line 4"]
    assert row.parts[0]["installed on"] == "2021-03-04"
    assert row.parts[3]["field: nominal_diameter"] == "6 mm"
    assert faults(found) == []


def test_a_tag_that_stands_twice_is_left_out_the_second_time_and_a_missing_one_made_up() -> None:
    found = read(text_of([HEAD, ONE, ONE, ["", "Drum winch", "Spare", "Store"]]))
    assert [(row.tag, row.out) for row in found.rows] == [
        ("W1", ""), ("W1", "the tag W1 stands in row 2 already"), ("W2", ""),
    ]  # fmt: skip


def test_headings_between_the_rows_say_kind_and_place() -> None:
    rows = [["Tag", "Name", "Serial"], ["CHAIN HOISTS"], ["H1", "Left", "A-1"], ["PAINT SHOP"],
            ["H2", "Chain hoist, right", "A-2"]]  # fmt: skip
    first, second = read(text_of(rows)).ready
    assert (first.cells["kind"], first.cells["place"]) == ("chain_hoist", "The house")
    assert (second.cells["kind"], second.cells["place"]) == ("chain_hoist", "PAINT SHOP")
    assert first.cells["field: serial_number"] == "A-1"


def test_every_sheet_is_read_and_one_can_be_left_out() -> None:
    content = book_of(Winches=[HEAD, ONE], Old=[HEAD, ["W9", "Drum winch", "Old", "Store"]])
    assert [row.tag for row in read(content).ready] == ["W1", "W9"]
    assert [
        row.tag for row in read(content, Said(sheets={"Old": SaidOfSheet(out=True)})).ready
    ] == ["W1"]


def test_a_number_whose_unit_is_only_in_the_format_of_its_cell_keeps_it() -> None:
    book = openpyxl.Workbook()
    book.active.append(["Tag", "Kind", "Capacity"])
    book.active.append(["W1", "Drum winch", 500])
    book.active["C2"].number_format = '0.0" kg"'
    out = io.BytesIO()
    book.save(out)
    assert only(read(out.getvalue()))["rated: whole"] == "500 kg"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"), (b"  \n ", "empty"), (b"\xd0\xcf\x11\xe0old", "old"), (b"%PDF-1.7", "PDF"),
        (b"PK\x03\x04broken", "readable"), (b"a,b\n\x00\x01", "neither"), (b"x" * (MAX_BYTES + 1), "5 MB"),
    ],
)  # fmt: skip
def test_what_is_no_list_is_refused_with_what_to_do(content: bytes, words: str) -> None:
    with pytest.raises(UnreadableFile, match=words):
        read_sheets(content)


def test_a_file_of_nothing_but_numbers_is_understood_as_nothing() -> None:
    found = read(b"1,2,3\n4,5,6\n")
    assert found.ready == []
    assert found.register_file() == b""


def test_what_was_said_comes_back_as_it_was_kept() -> None:
    said = Said(
        "cp1252", "dmy", "House", {"A": SaidOfSheet(True, 3, {1: "tag"})}, {"x": OUT}, {"a.b": "1"}
    )
    assert Said.from_stored(said.stored()) == said
