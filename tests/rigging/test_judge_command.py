"""`manage.py judge`: JSON in, JSON out; a fault names the field and exits with 2."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

EXAMPLE = Path(__file__).parent.parent.parent / "docs" / "examples" / "rope.json"


def judge(path: Path) -> dict:
    out = io.StringIO()
    call_command("judge", str(path), stdout=out)
    return json.loads(out.getvalue())


def changed(folder: Path, **change: object) -> Path:
    path = folder / "rope.json"
    path.write_text(json.dumps(json.loads(EXAMPLE.read_text()) | change), encoding="utf-8")
    return path


def test_the_example_of_the_docs_is_judged_by_each_rule_set_it_names():
    answer = judge(EXAMPLE)
    states = {each["ruleset"]: each["state"] for each in answer["judgements"]}
    # Three broken wires of one strand in one lay: two printed rules retire the rope.
    assert states["us-osha-1926-1413"] == "retire"
    assert states["us-msha-30cfr-56-19024"] == "retire"
    assert states["iso-4309-2017-counts"] == "cannot be decided"
    assert answer["state"] == "retire"
    assert "out of service" in answer["caution"]


def test_all_rule_sets_judge_where_none_is_named(tmp_path):
    assert len(judge(changed(tmp_path, rulesets="all"))["judgements"]) >= 7


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"rulesets": ["none-such"]}, "rulesets[0]"),
        ({"rulesets": []}, "rulesets"),
        ({"rope": {"duty": "swinging"}}, "duty"),
        ({"rope": None}, "rope"),
        ({"observation": {"diameters": [{"a": "6", "b": "6 mm"}]}}, "observation.diameters[0].a"),
        ({"obsrvation": {}}, "obsrvation"),
    ],
)
def test_a_fault_names_its_field_and_exits_with_2(tmp_path, change, field):
    with pytest.raises(CommandError) as refusal:
        judge(changed(tmp_path, **change))
    assert field in str(refusal.value)
    assert refusal.value.returncode == 2


@pytest.mark.parametrize(
    ("text", "says"),
    [("{", "not JSON"), ("[]", "not a JSON object"), ('{"rope": {}, "rope": {}}', "there twice"),
     ("[" * 100_000, "file")],
)  # fmt: skip
def test_a_file_that_is_no_question_is_refused(tmp_path, text, says):
    path = tmp_path / "rope.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CommandError, match=says) as refusal:
        judge(path)
    assert refusal.value.returncode == 2


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        judge(tmp_path / "none.json")


READINGS = EXAMPLE.parent / "readings.json"


def test_the_readings_of_the_docs_are_each_held_against_their_printed_limit():
    answer = judge(READINGS)
    told = {each["ruleset"]: each["state"] for each in answer["judgements"]}
    assert told == {
        "guardrail-height": "restrict",
        "toe-board-gap": "cannot be decided",  # 6 mm is within half a millimetre of 1/4 in
        "landing-step": "fit",
        "proof-load-winch": "cannot be decided",  # the rated load is not said
        "two-filter-test": "fit",
    }
    assert answer["state"] == "cannot be decided"
    assert "rated load" in answer["judgements"][3]["missing"]


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ([], "readings: is a list"),
        ([{"limit": "no:such"}], r"readings\[0\].limit"),
        ([{"limit": "access-us:rung-spacing", "reading": 12}], r"readings\[0\].reading: is text"),
        ([{"limit": "access-us:rung-spacing", "reading": "12"}], r"readings\[0\].reading"),
        ([{"limit": "access-us:rung-spacing", "readign": "12 in"}], "readign"),
        ([{"limit": "access-us:rung-spacing", "facts": {"span": "3 m"}}], "facts.span"),
        (
            [{"limit": "beam-detectors:two-filter-test", "filters": {"lower_alarmed": "no"}}],
            "lower_alarmed: is true, false or null",
        ),
    ],
)
def test_a_fault_in_a_reading_is_told_by_its_field(tmp_path, readings, says):
    path = tmp_path / "readings.json"
    path.write_text(json.dumps({"readings": readings}), encoding="utf-8")
    with pytest.raises(CommandError, match=says):
        judge(path)
    path.write_text(json.dumps({"readings": readings, "rope": {}}), encoding="utf-8")
    with pytest.raises(CommandError, match="alone"):
        judge(path)
