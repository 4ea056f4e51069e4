"""`manage.py calc`: the same answers at a terminal; a fault exits with 2."""

from __future__ import annotations

import io
import json

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from rigging.calculators import load_calculators
from rigging.engine import CAUTION


def said(*words: str) -> str:
    out = io.StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def test_the_list_names_each_calculator_and_each_key() -> None:
    told = said("calc", "--list")
    for one in load_calculators().values():
        assert f"{one.slug}: {one.title}" in told
        for asked in one.inputs:
            assert f"    {asked.slug}=" in told


def test_an_answer_has_its_working_and_the_caution() -> None:
    told = said("calc", "fleet-angle", "offset=3 in", "distance=12' 6\"", "drum=grooved")
    assert "3 in ÷ 12' 6\"" in told
    assert told.rstrip().endswith(CAUTION)


def test_as_json_every_figure_is_exact_and_has_its_unit_code() -> None:
    told = json.loads(
        said("calc", "fleet-angle", "offset=75 mm", "distance=3 m", "drum=smooth", "--json")
    )
    angle = told["figures"][0]
    assert float(angle["si"]) == pytest.approx(1.4320961841646465)
    assert angle["ucum"] == "deg"
    assert told["checks"][0]["state"] == "within"
    assert told["caution"] == CAUTION


def test_what_is_missing_is_said_and_is_no_error() -> None:
    told = json.loads(said("calc", "fleet-angle", "offset=75 mm", "drum=smooth", "--json"))
    assert [one["slug"] for one in told["cannot"]] == ["distance"]
    assert told["figures"] == []


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("fleet-angel",), "not a calculator"),
        ((), "not a calculator"),
        (("fleet-angle", "offset"), "key=value"),
        (("fleet-angle", "offset=1 m", "offset=2 m"), "once"),
        (("fleet-angle", "offset=9.5"), "Type the unit too"),
        (("fleet-angle", "distance=0 m"), "above zero"),
        (("fleet-angle", "drum=wooden"), "Choose one of"),
        (("fleet-angle", "speed=1"), "not asked here"),
    ],
)
def test_a_fault_is_told_in_one_line_and_exits_with_2(words: tuple[str, ...], says: str) -> None:
    with pytest.raises(CommandError, match=says) as refusal:
        said("calc", *words)
    assert refusal.value.returncode == 2
    assert "\n" not in str(refusal.value)
