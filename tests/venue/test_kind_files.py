"""Every kind file is sound, and a faulty one is refused with its name and the fault."""

from pathlib import Path

import pytest

from venue.kind_files import (
    FaultyKindFile,
    field_text,
    kinds,
    kinds_in,
    part_kinds,
    part_kinds_in,
    read_fields,
    show_field,
)
from venue.quantities import Quantity

PART = """slug = "hook"
description = "A hook."
[labels]
en-US = "Hook"
en-GB = "Hook"
[[source]]
document = "Common practice of the trade"
verified = "common practice"
"""
KIND = """slug = "swing"
description = "A swing."
family = "swing"
group = "Stage floor"
access = ["stage_clear"]
hazards = ["It swings."]
[labels]
en-US = "Swing"
en-GB = "Swing"
[[field]]
name = "reach"
label = "Reach"
type = "quantity"
dimension = "length"
unit_metric = "m"
unit_us = "ft"
[[rated_load]]
purpose = "whole"
label = "Whole"
dimension = "mass"
unit_metric = "kg"
unit_us = "lb"
[[part]]
kind = "hook"
label = "Hook"
many = true
[[source]]
document = "Common practice of the trade"
verified = "common practice"
"""


def read_from(folder: Path, text: str):
    parts = folder / "parts"
    parts.mkdir()
    (parts / "hook.toml").write_text(PART)
    (folder / "swing.toml").write_text(text)
    return kinds_in(folder, part_kinds_in(parts))


def test_every_kind_the_house_needs_is_there_and_sound():
    found = kinds()
    assert len(found) == 16
    assert len(part_kinds()) == 15
    assert sum(len(kind.fields) for kind in found.values()) >= 180
    assert {kind.family for kind in found.values()} == {
        "pit_lift", "counterweight_set", "winch", "chain_hoist", "beam_smoke_detector",
        "walkway", "fall_arrest_anchor", "fire_safety_curtain",
    }  # fmt: skip
    for kind in found.values():
        assert kind.hazards, kind.slug
        assert kind.access, kind.slug
        assert len(kind.hash) == 64


def test_every_family_of_part_kinds_is_used_by_some_kind():
    used = {slot.kind for kind in kinds().values() for slot in kind.part_kinds}
    assert used == set(part_kinds())


def test_a_kind_is_called_by_the_word_of_the_venues_own_trade():
    lift = kinds()["pit_lift_screw"]
    assert lift.label("en-US").startswith("Pit lift")
    assert lift.label("en-GB").startswith("Orchestra lift")
    assert lift.label("xx") == lift.label("en-US")


def test_the_example_file_of_these_tests_is_itself_sound(tmp_path: Path):
    assert list(read_from(tmp_path, KIND)) == ["swing"]


BAD_KINDS = {
    "no source": (KIND[: KIND.index("[[source]]")], "no source"),
    "no document": (KIND.replace("Common practice of the trade", ""), "without a document"),
    "backing unknown": (KIND.replace('"common practice"', '"surely"'), "'surely' is not known"),
    "dimension": (KIND.replace('"length"', '"longness"'), "'longness' is not known"),
    "unit": (KIND.replace('unit_us = "ft"', 'unit_us = "lb"'), "'lb' is not a unit of length"),
    "type": (KIND.replace('"quantity"', '"number"'), "'number' is not known"),
    "choices": (KIND.replace('unit_us = "ft"', 'unit_us = "ft"\nchoices = ["a"]'), "choices go"),
    "access": (KIND.replace('"stage_clear"', '"moon_full"'), "'moon_full' is not known"),
    "part kind": (KIND.replace('kind = "hook"', 'kind = "sail"'), "'sail' is not known"),
    "load unit": (KIND.replace('unit_us = "lb"', 'unit_us = "ft"'), "'ft' is not a unit of mass"),
    "hazards": (KIND.replace('["It swings."]', "[]"), "no hazard"),
    "family": (KIND.replace('family = "swing"\n', ""), "'family' is missing"),
    "label": (KIND.replace('en-GB = "Swing"\n', ""), "labels are needed"),
    "file name": (KIND.replace('slug = "swing"', 'slug = "swung"'), "is not the file's name"),
    "strange key": (KIND.replace("family =", "familly ="), "unknown key familly"),
    "twice": (KIND + KIND[KIND.index("[[field]]") : KIND.index("[[rated")], "stands twice"),
    "not toml": (KIND + "\n[[", "swing.toml"),
}


@pytest.mark.parametrize("name", BAD_KINDS)
def test_a_faulty_kind_file_is_refused_with_its_name_and_the_fault(name: str, tmp_path: Path):
    text, fault = BAD_KINDS[name]
    with pytest.raises(FaultyKindFile) as refused:
        read_from(tmp_path, text)
    assert str(refused.value).startswith("swing.toml: ")
    if fault != "swing.toml":
        assert fault in str(refused.value)


ROPE = {"construction": "7x19", "nominal_diameter": "1/4 in", "duty": "running"}


def test_typed_values_are_stored_exactly_and_shown_as_typed():
    rope = part_kinds()["wire_rope"]
    typed = ROPE | {"rotation_resistant": "no", "strands": "7", "fitted_on": "2024-02-29"}
    stored, faults = read_fields(rope, typed, "metric")
    assert faults == []
    assert Quantity.from_stored(stored["nominal_diameter"]).to("mm") * 20 == 127
    assert stored["rotation_resistant"] is False
    assert stored["strands"] == 7
    assert show_field(rope.field("nominal_diameter"), stored["nominal_diameter"]) == "1/4 in"
    assert show_field(rope.field("rotation_resistant"), False) == "no"
    assert show_field(rope.field("rotation_resistant"), None) == "not known"


def test_a_bare_number_takes_the_venues_own_unit_and_is_shown_with_it():
    rope = part_kinds()["wire_rope"]
    for habit, shown in (("metric", "6 mm"), ("us", "6 in")):
        stored, faults = read_fields(rope, ROPE | {"nominal_diameter": "6"}, habit)
        assert faults == []
        assert show_field(rope.field("nominal_diameter"), stored["nominal_diameter"]) == shown


def test_what_a_form_shows_again_reads_back_to_the_same_value():
    rope = part_kinds()["wire_rope"]
    typed = ROPE | {"core": "fibre", "rotation_resistant": "yes", "fitted_on": "2020-01-31"}
    stored, _ = read_fields(rope, typed, "us")
    again = {field.name: field_text(field, stored.get(field.name)) for field in rope.fields}
    assert read_fields(rope, again, "us") == (stored, [])


def test_an_empty_field_is_missing_and_not_a_no_or_a_zero():
    rope = part_kinds()["wire_rope"]
    stored, faults = read_fields(rope, ROPE | {"rotation_resistant": " ", "strands": ""}, "us")
    assert faults == []
    assert "rotation_resistant" not in stored
    assert "strands" not in stored


BAD_VALUES = {
    "nominal_diameter": ["-6 mm", "6 kg", "thick", "1,250 mm"],
    "duty": ["walking", "Running"],
    "rotation_resistant": ["perhaps", "true"],
    "strands": ["-1", "6.5", "many", "²"],
    "fitted_on": ["2023-02-29", "0024-05-01", "yesterday", "31/12/2020"],
    "construction": ["x" * 501],
    "colour": ["red"],
}


@pytest.mark.parametrize("name", BAD_VALUES)
def test_a_value_that_cannot_be_is_refused_by_field_in_a_sentence(name: str):
    for value in BAD_VALUES[name]:
        stored, faults = read_fields(part_kinds()["wire_rope"], ROPE | {name: value}, "metric")
        assert [fault.name for fault in faults] == [name], value
        assert faults[0].sentence.endswith((".", "unit")), faults[0].sentence
        assert name not in stored


def test_every_needed_field_that_is_empty_is_named():
    _, faults = read_fields(part_kinds()["wire_rope"], {}, "metric")
    assert {fault.name for fault in faults} == set(ROPE)
