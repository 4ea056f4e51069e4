"""What a file would do: created, changed, unchanged, and every fault by row and column."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.venue.register_samples import ROPE, WINCH, compared, csv_of, empty_house, faults_of
from venue.register.columns import FIXED, ROW_TYPES
from venue.register.csv_text import write_csv
from venue.register.guard import guarded, unguarded
from venue.register.held import EquipmentHeld, House, PartHeld, PlaceHeld, RatedLoadHeld
from venue.register.kind_words import export_columns
from venue.register.strange import strange_text
from venue.register.template import template_rows, template_sheets
from venue.register.written import register_rows
from venue.register.xlsx_sheet import write_xlsx


def house_after(*rows: dict[str, str], house: House | None = None) -> House:
    """The house once the file was taken over."""
    house = house or empty_house()
    comparison = compared(csv_of(*rows), house)
    assert comparison.faults == []
    places, equipment, parts = dict(house.places), dict(house.equipment), dict(house.parts)
    for change in comparison.changes:
        held = change.after
        if isinstance(held, PlaceHeld):
            places[held.path] = held
        elif isinstance(held, EquipmentHeld):
            equipment[held.tag] = held
        else:
            parts[held.tag, held.code] = held
    return replace(house, places=places, equipment=equipment, parts=parts)


def exported(house: House) -> list[list[str]]:
    return list(register_rows(house, export_columns(house)))


def test_a_new_file_creates_places_equipment_and_parts():
    comparison = compared(csv_of(WINCH, ROPE))
    assert [change.label for change in comparison.created("place")] == [
        "Stage house", "Stage house / Gridiron",
    ]  # fmt: skip
    [winch], [rope] = comparison.created("equipment"), comparison.created("part")
    assert winch.after.fields["travel"]["typed"] == "9.5 m"
    assert winch.after.rated["whole"].quantity["si"] == "500"
    assert rope.after.name == "Wire rope"
    assert rope.after.installed_on.isoformat() == "2021-03-04"


def test_the_same_file_twice_changes_nothing():
    again = compared(csv_of(WINCH, ROPE), house_after(WINCH, ROPE))
    assert again.changes_nothing
    assert again.unchanged == {"equipment": 1, "part": 1}


def test_a_bare_number_takes_the_unit_of_the_venue_and_twice_changes_nothing():
    bare = WINCH | {"field: travel": "9.5", "rated: whole": "500"}
    house = house_after(bare)
    assert house.equipment["W7"].fields["travel"]["unit"] == "m"
    assert compared(csv_of(bare), house).changes_nothing
    assert compared(csv_of(WINCH), replace(house, unit_habit="us")).changes_nothing


def test_a_change_is_shown_field_by_field():
    changed = WINCH | {"field: travel": "31 ft", "name": "Paint winch", "walking order": "12"}
    [change] = compared(csv_of(changed), house_after(WINCH)).changes
    assert {(one.column, one.before, one.after) for one in change.differences} == {
        ("field: travel", "9.5 m", "31 ft"),
        ("name", "Paint frame winch", "Paint winch"),
        ("walking order", "0", "12"),
    }


def test_an_empty_cell_leaves_what_is_known_and_the_word_none_empties_it():
    house = house_after(WINCH | {"serial": "S-1"})
    assert compared(csv_of(WINCH | {"serial": "", "field: travel": ""}), house).changes_nothing
    [change] = compared(
        csv_of(WINCH | {"serial": "(none)", "field: travel": "(none)"}), house
    ).changes
    assert change.after.serial == ""
    assert "travel" not in change.after.fields


def test_what_is_needed_or_rated_cannot_be_emptied():
    emptied = {
        "name": "(none)",
        "rated: whole": "(none)",
        "field: service": "(none)",
        "place": "(none)",
    }
    faults = compared(csv_of(WINCH | emptied), house_after(WINCH)).faults
    assert {fault.column for fault in faults} == set(emptied)


def test_what_the_file_does_not_name_is_listed_and_left():
    house = house_after(WINCH, WINCH | {"tag": "W8"}, ROPE)
    comparison = compared(csv_of(WINCH), house)
    assert comparison.untouched_equipment == ["W8"]
    assert comparison.untouched_parts == ["W7, line 1"]
    assert comparison.changes_nothing


@pytest.mark.parametrize(
    ("changed", "column", "word"),
    [
        ({"kind": "drum_wintch"}, "kind", "drum_winch"),
        ({"kind": ""}, "kind", "needed"),
        ({"tag": ""}, "tag", "needed"),
        ({"tag": "x" * 41}, "tag", "40"),
        ({"tag": "W\u200b7"}, "tag", "invisible"),
        ({"name": ""}, "name", "needed"),
        ({"place": ""}, "place", "needed"),
        ({"place": "Stage house / / Pit"}, "place", "empty name"),
        ({"place": " / ".join("abcdefghijklm")}, "place", "13 levels"),
        ({"standing": "instaled"}, "standing", "installed"),
        ({"walking order": "-1"}, "walking order", "whole number"),
        ({"walking order": "1.5"}, "walking order", "whole number"),
        ({"place level": "-3"}, "place level", "whole number"),
        ({"place access": "stage_cleer"}, "place access", "stage_clear"),
        ({"row": "equipmnt"}, "row", "equipment"),
        ({"row": ""}, "row", "say place"),
        ({"field: travel": "-9.5 m"}, "field: travel", "elow zero"),
        ({"field: travel": "9.5 kg"}, "field: travel", "unit"),
        ({"field: travel": "long"}, "field: travel", ""),
        ({"rated: whole": "0.5 ton"}, "rated: whole", "different weights"),
        ({"rated: whole": "0 kg"}, "rated: whole", "nothing"),
        ({"rated: whole": "-5 kg"}, "rated: whole", "elow zero"),
        ({"rated: moving": "5 kg"}, "rated: moving", "no rated load"),
        ({"rated source: per_line": "plate"}, "rated source: per_line", "no rated load"),
        ({"field: service": "soft"}, "field: service", "choose one of"),
        ({"field: service": ""}, "field: service", "needed"),
        ({"field: installed_on": "2023-02-30"}, "field: installed_on", "no such day"),
        ({"field: line_count": "two"}, "field: line_count", "whole number"),
        ({"field: screw_count": "2"}, "field: screw_count", "not a field"),
        ({"serial": "x" * 121}, "serial", "120"),
        ({"identifier": "R-1"}, "identifier", "part rows"),
    ],
)
def test_a_fault_of_equipment_names_row_column_and_remedy(changed, column, word):
    assert any(
        fault.startswith(f"Row 2, column “{column}”") and word in fault
        for fault in faults_of(WINCH | changed)
    ), faults_of(WINCH | changed)


@pytest.mark.parametrize(
    ("changed", "column", "word"),
    [
        ({"tag": "W77"}, "tag", "neither in this file nor in the house. Did you mean “W7”?"),
        ({"part code": ""}, "part code", "needed"),
        ({"kind": "wire rop"}, "kind", "“wire_rope”?"),
        ({"kind": "rope_lock"}, "kind", "not a part of a drum_winch"),
        ({"installed on": "2023-02-30"}, "installed on", "not a day"),
        ({"installed on": "03/04/2021"}, "installed on", "year-month-day"),
        ({"installed on": "2026-05-05"}, "installed on", "future"),
        ({"installed on": "0021-03-04"}, "installed on", "too long ago"),
        ({"field: nominal_diameter": "1/4"}, "field: nominal_diameter", "unit after"),
        ({"serial": "4"}, "serial", "equipment rows"),
        ({"rated: whole": "4 kg"}, "rated: whole", "equipment"),
    ],
)
def test_a_fault_of_a_part_names_row_column_and_remedy(changed, column, word):
    found = faults_of(WINCH, ROPE | changed)
    assert any(f.startswith(f"Row 3, column “{column}”") and word in f for f in found), found


def test_a_tag_twice_in_a_file_is_a_fault_and_so_is_one_that_differs_by_capitals():
    assert "stands in row 2 already" in faults_of(WINCH, WINCH)[0]
    assert "differs only by capitals from W7" in faults_of(WINCH, WINCH | {"tag": "w7"})[0]
    assert (
        "differs only by capitals" in faults_of(WINCH | {"tag": "w7"}, house=house_after(WINCH))[0]
    )
    assert "stands in row 3 already" in faults_of(WINCH, ROPE, ROPE)[0]


def test_another_identifier_is_another_part_and_is_refused():
    house = house_after(WINCH, ROPE)
    assert "successor" in faults_of(ROPE | {"identifier": "R-8"}, house=house)[0]
    assert "successor" in faults_of(ROPE | {"identifier": "(none)"}, house=house)[0]


def test_the_kind_of_what_is_there_never_changes():
    changed = {"tag": "W7", "row": "equipment", "kind": "chain_hoist"}
    assert "is a drum_winch" in faults_of(changed, house=house_after(WINCH))[0]


def test_every_fault_is_told_not_only_the_first():
    bad = WINCH | {"standing": "x", "walking order": "y", "field: travel": "z", "rated: whole": "q"}
    assert len(faults_of(bad, ROPE | {"installed on": "never"})) == 5


def test_parts_may_stand_before_their_equipment_and_without_it_if_the_house_has_it():
    assert faults_of(ROPE, WINCH) == []
    assert faults_of(ROPE, house=house_after(WINCH)) == []


def test_labels_name_kinds_in_both_trade_words():
    assert faults_of(WINCH | {"kind": "DRUM WINCH"}) == []


def test_places_that_differ_by_capitals_are_one_place():
    house = house_after(WINCH, WINCH | {"tag": "W8", "place": "stage house /  gridiron"})
    assert set(house.places) == {("Stage house",), ("Stage house", "Gridiron")}


def test_two_rows_that_disagree_about_a_place_are_a_fault():
    rows = [WINCH | {"place level": "4"}, WINCH | {"tag": "W8", "place level": "5"}]
    assert "row 2 says something else" in faults_of(*rows)[0]


def test_place_rows_set_level_order_hazards_and_access():
    row = {
        "row": "place", "tag": "", "place": "Stage house / Gridiron", "walking order": "40",
        "place level": "4", "place hazards": "Openings | Low steel", "place access": "grid_empty",
    }  # fmt: skip
    place = house_after(row).places["Stage house", "Gridiron"]
    assert (place.level, place.walking_order) == (4, 40)
    assert (place.hazards, place.access) == (("Openings", "Low steel"), ("grid_empty",))
    assert "only equipment and part rows" in faults_of(row | {"name": "x"})[0]


def test_a_place_that_a_path_cannot_tell_apart_is_a_fault_only_for_what_moves_there():
    house = house_after(WINCH)
    house.unclear_places.add(("Stage house", "Gridiron"))
    assert compared(csv_of(WINCH | {"name": "New"}), house).faults == []
    assert "two places" in faults_of(WINCH | {"tag": "W8"}, house=house)[0]


def test_the_digest_follows_what_would_change_and_nothing_else():
    one, two = compared(csv_of(WINCH)), compared(csv_of(WINCH, delimiter=";"))
    other = compared(csv_of(WINCH | {"serial": "9"}))
    assert one.digest() == two.digest() != other.digest()


def test_the_template_sent_back_untouched_does_nothing_and_its_examples_are_sound():
    rows = list(template_rows())
    untouched = compared(write_csv(rows))
    assert (untouched.faults, untouched.changes, untouched.examples) == ([], [], 4)
    meant = [[row[0].removeprefix("example "), *row[1:]] for row in rows]
    faults = compared(write_csv(meant)).faults
    assert {fault.column for fault in faults if fault.row != 4} == set()


def test_the_template_workbook_explains_every_column_kind_and_unit():
    sheets = {name: list(rows) for name, rows in template_sheets().items()}
    assert list(sheets) == ["Register", "Columns", "Kinds", "Fields", "Units"]
    told = {row[1] for row in sheets["Fields"]}
    of_kinds = [one for one in sheets["Register"][0] if one.startswith(("field:", "rated:"))]
    assert len(of_kinds) > 100
    assert set(of_kinds) <= told
    assert compared(write_xlsx({name: iter(rows) for name, rows in sheets.items()})).faults == []


# Text a person can type: no control or half characters, which are refused with a sentence.
TYPED = st.text(
    st.characters(exclude_categories=["Cc", "Cs", "Cn", "Co"]), min_size=1, max_size=120
)


@given(TYPED, TYPED, TYPED)
def test_any_text_survives_export_and_import_in_both_formats(name, serial, drum_words):
    assume(all(text.strip() and not strange_text(text) for text in (name, serial, drum_words)))
    winch = house_after(WINCH).equipment["W7"]
    winch = replace(winch, name=name, serial=serial, rated={
        "whole": RatedLoadHeld(winch.rated["whole"].quantity, drum_words),
    })  # fmt: skip
    rope = PartHeld("W7", "line 1", "wire_rope", name, serial, fields={"construction": drum_words})
    place = PlaceHeld(winch.place, hazards=(name,))
    house = replace(
        empty_house(), equipment={"W7": winch}, parts={("W7", "line 1"): rope},
        places={winch.place[:1]: PlaceHeld(winch.place[:1]), winch.place: place},
    )  # fmt: skip
    rows = exported(house)
    for content in (write_csv(rows), write_xlsx({"Register": rows})):
        comparison = compared(content, house)
        assert comparison.faults == []
        assert comparison.changes == []


@given(st.text())
def test_the_guard_against_formulas_is_undone_exactly(text):
    assert unguarded(guarded(text)) == text
    assert guarded(text)[:1] not in ("=", "+", "-", "@", "\t", "\r")


def test_a_typed_text_that_reads_like_a_formula_is_never_written_as_one():
    house = house_after(WINCH | {"name": '=HYPERLINK("x")', "serial": "'@x", "made on": "-1"})
    assert b"\"'=HYPERLINK" in write_csv(exported(house))
    assert compared(write_csv(exported(house)), house).changes_nothing


@pytest.mark.parametrize("typed", ["9.5 m", "31 ft", "9 ft 6 in", "1 1/16 in", "1,25 m", "9.50 m"])
def test_quantities_leave_as_they_were_typed(typed):
    rows = exported(house_after(WINCH | {"field: travel": typed}))
    assert typed in rows[-1]


DOCUMENT = Path(__file__).parents[2] / "docs" / "register-file.md"


def test_the_handbook_names_every_fixed_column_and_its_example_is_sound():
    text = DOCUMENT.read_text(encoding="utf-8")
    assert len(FIXED) == 17
    assert [column for column in FIXED if f"`{column}`" not in text] == []
    example = compared(text.split("```text\n")[1].split("```")[0].encode())
    assert example.faults == []
    assert [len(example.created(what)) for what in ROW_TYPES] == [2, 1, 1]


def test_many_wrong_tags_are_all_told_and_only_the_first_get_a_guess():
    house = house_after(*(WINCH | {"tag": f"W{number}"} for number in range(300)))
    faults = faults_of(*(ROPE | {"tag": f"W{number}x"} for number in range(300)), house=house)
    assert len(faults) == 300
    assert sum("Did you mean" in fault for fault in faults) == 50
