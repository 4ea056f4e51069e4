"""Register files as they come: encodings, separators, workbook cells, hostile files."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime, time

import pytest

from tests.venue.register_samples import (
    HEAD,
    ROPE,
    WINCH,
    compared,
    csv_of,
    empty_house,
    faults_of,
    xlsx_of,
)
from venue.register.grid import Refused, UnreadableFile
from venue.register.reading import read_file
from venue.register.xlsx_sheet import read_xlsx, write_xlsx


def refused(content: bytes) -> str:
    with pytest.raises(UnreadableFile) as refusal:
        read_file(content, empty_house())
    return str(refusal.value)


def cells(rows: list[list], formats: dict[str, str] | None = None) -> list:
    return list(read_xlsx(xlsx_of(rows, formats)))[-1][1]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_every_usual_separator_and_both_forms_of_utf_8_read_the_same(delimiter, encoding):
    content = csv_of(WINCH | {"name": "Galería é"}, delimiter=delimiter, encoding=encoding)
    [change] = compared(content).created("equipment")
    assert change.after.name == "Galería é"


def test_a_separator_line_of_a_spreadsheet_counts_as_a_row():
    content = b"sep=;\r\n" + csv_of(WINCH | {"row": "lift"}, delimiter=";")
    assert compared(content).faults[0].row == 3


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "cp850", "mac_roman"])
def test_another_encoding_is_refused_with_what_to_do(encoding):
    words = refused(csv_of(WINCH | {"name": "Galería"}, encoding=encoding))
    assert "line 2" in words
    assert "CSV UTF-8" in words


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le"])
def test_wide_text_is_refused_with_what_to_do(encoding):
    assert "CSV UTF-8" in refused(csv_of(WINCH, encoding=encoding))


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("GalerÃ­a", "garbled"),
        ("Ã©chelle", "garbled"),
        ("Gal\ufffdria", "lost"),
        ("a\x07b", "control"),
    ],
)
def test_garbled_text_is_a_fault_and_never_taken_over(name, word):
    [fault] = faults_of(WINCH | {"name": name})
    assert fault.startswith("Row 2, column “name”")
    assert word in fault


def test_an_unclosed_quotation_mark_is_said_by_row():
    assert "Row 3" in refused(b'row,tag,name\nequipment,A,ok\nequipment,B,"open\nequipment,C,x\n')


def test_inch_marks_inside_a_cell_are_ordinary_text():
    content = csv_of(WINCH, ROPE | {"field: nominal_diameter": '1/4"'})
    [part] = compared(content).created("part")
    assert part.after.fields["nominal_diameter"]["typed"] == '1/4"'


@pytest.mark.parametrize("content", [b"", b"  \n", b"\xef\xbb\xbf", b",,,\n,,\n"])
def test_an_empty_file_is_said_to_be_empty(content):
    assert "empty" in refused(content)


def test_old_workbooks_are_refused_with_what_to_do():
    assert ".xlsx" in refused(b"\xd0\xcf\x11\xe0" + b"x" * 600)


def test_too_many_columns_or_rows_are_refused_without_reading_on():
    assert "100,000 columns" in refused(",".join(f"c{n}" for n in range(100_000)).encode())
    assert "rows" in refused(b"row,tag\n" + b"equipment,x\n" * 25_000)
    assert "columns" in refused(xlsx_of([HEAD + [f"c{n}" for n in range(2_000)]]))


def test_a_file_beyond_25_mb_is_refused():
    assert "25 MB" in refused(b"x" * 25_000_001)


def test_a_huge_cell_is_a_fault_of_that_cell():
    assert "5,000 characters" in faults_of(WINCH | {"name": "x" * 5_000})[0]


def test_unknown_columns_suggest_the_nearest_known_one():
    faults = faults_of(
        WINCH | {"seriel": "1", "field: nominal_diametre": "2 mm", "rated: movin": "1 t"}
    )
    assert [fault.split("mean ")[1] for fault in faults] == [
        "“field: nominal_diameter”?", "“rated: moving”?", "“serial”?",
    ]  # fmt: skip


def test_a_column_given_twice_or_missing_and_a_cell_without_heading_are_faults():
    assert any("twice" in str(one) for one in compared(b"row,tag,Tag\nequipment,a,b\n").faults)
    assert any("missing" in str(one) for one in compared(b"row,name\nequipment,a\n").faults)
    stray = compared(b"row,tag,\nequipment,a,stray\n").faults
    assert any("stray" in str(one) for one in stray)


def test_headings_may_have_capitals_spaces_and_underlines():
    rows = {
        {"tag": "TAG", "field: travel": "Field:  Travel", "row": " Row "}.get(k, k): v
        for k, v in WINCH.items()
    }
    assert compared(csv_of(rows)).faults == []


def test_workbook_numbers_dates_and_ticks_become_what_a_person_would_type():
    midnight = datetime.fromisoformat("2021-03-04")
    row = [9.5, 1997, 0.1 + 0.2, date(2021, 3, 4), midnight, True, "9,5 mm", 1997.0]
    assert cells([row]) == [
        "9.5",
        "1997",
        "0.3",
        "2021-03-04",
        "2021-03-04",
        "yes",
        "9,5 mm",
        "1997",
    ]


def test_a_percentage_keeps_its_sign():
    assert cells([[0.35]], {"A1": "0%"}) == ["35 %"]


def test_a_number_shown_with_a_unit_of_its_format_is_refused_not_read_without_it():
    [cell] = cells([[9.5]], {"A1": '0.0" in"'})
    assert isinstance(cell, Refused)
    assert "unit as text" in cell.words


def test_a_time_of_day_and_an_error_value_are_refused():
    assert all(isinstance(cell, Refused) for cell in cells([[time(9, 30), "#REF!"]]))


def test_a_formula_without_a_stored_value_is_refused():
    [cell] = cells([["=1+1"]])
    assert isinstance(cell, Refused)
    assert "formula" in cell.words


def test_a_refused_cell_is_one_fault_and_not_also_a_missing_value():
    content = xlsx_of([[*WINCH], [*(WINCH | {"name": "=A1"}).values()]])
    assert [fault.column for fault in compared(content).faults] == ["name"]


def test_the_sheet_named_register_is_read_wherever_it_stands():
    content = write_xlsx({"Notes": [["hello"]], "Register": [["row", "tag"], ["equipment", "W1"]]})
    assert list(read_xlsx(content))[1] == (2, ["equipment", "W1"])


def zip_of(**members: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def test_a_workbook_that_unpacks_to_far_too_much_is_not_opened():
    bomb = zip_of(**{"xl/worksheets/sheet1.xml": b"<row/>" * 30_000_000})
    assert len(bomb) < 2_000_000
    assert "150 MB" in refused(bomb)


def with_member(content: bytes, name: str, change) -> bytes:
    """The same workbook with one member changed."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = {one: archive.read(one) for one in archive.namelist()}
    members[name] = change(members.get(name, b""))
    return zip_of(**members)


def test_a_workbook_that_declares_entities_is_not_opened():
    laughs = b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaa">]>'
    content = with_member(xlsx_of([HEAD]), "xl/workbook.xml", lambda member: laughs + member)
    assert "entities" in refused(content)


def test_a_broken_or_foreign_zip_is_refused_in_plain_words():
    whole = xlsx_of([HEAD, ["equipment", "W1"]])
    broken = [whole[:-200], whole[:200], zip_of(hello=b"x"), b"PK\x03\x04" + b"\x00" * 400]
    broken.append(with_member(whole, "xl/worksheets/sheet1.xml", lambda member: member[:-40]))
    assert [refused(content)[:32] for content in broken] == ["The file is not a readable .xlsx"] * 5


def test_a_far_row_number_in_a_workbook_does_not_make_a_million_rows():
    far = lambda member: member.replace(b'<row r="2"', b'<row r="999999999"')  # noqa: E731
    content = with_member(xlsx_of([HEAD, ["equipment", "W1"]]), "xl/worksheets/sheet1.xml", far)
    assert "rows" in refused(content)


@pytest.mark.parametrize(
    ("name", "repeated"),
    [("xl/worksheets/sheet1.xml", b'<row r="1">' + b"<c/>" * 200_000 + b"</row>"),
     ("xl/sharedStrings.xml", b"<sst>" + b"<si/>" * 3_000_000 + b"</sst>")],
)  # fmt: skip
def test_a_workbook_dense_with_empty_elements_is_not_opened(name, repeated):
    assert "far too many" in refused(with_member(xlsx_of([HEAD]), name, lambda _: repeated))
