"""What is typed about a rope: every slip is told at its field, nothing crashes, nothing passes."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspections.answer_reading import read_answer
from inspections.answers import Question
from inspections.regime_files import regimes
from inspections.rope_reading import COUNTS
from rigging.engine import RopeFacts

PROJECT = Path(__file__).parents[2]
CHECK = regimes()["winch_ropes_monthly"].check("running_rope")
SOUND = {
    "dia_1_a": "6.3", "dia_1_b": "6.3", "unit": "mm", "broken_lay": "0", "looked": "yes",
}  # fmt: skip


@pytest.mark.parametrize(
    ("slip", "field"),
    [
        ({"dia_1_b": "0"}, "dia_1_b"),
        ({"broken_lay": "1", "broken_strand_count": "6"}, "broken_strand_count"),
        ({"broken_lay": "٣"}, "broken_lay"),
        ({"wires": "12 m; ٣"}, "wires"),
        ({"wires": "12 m; 0"}, "wires"),
        ({"wires": "there; 1"}, "wires"),
        ({"dia_1_a": "6.3 kg"}, "dia_1_a"),
        ({"looked": ""}, "looked"),
    ],
)
def test_a_slip_is_told_at_its_field_and_the_answer_stays_open(
    slip: dict[str, str], field: str
) -> None:
    assert CHECK is not None
    question = Question(key="r", check=CHECK, rope=RopeFacts(), usual_unit="mm")
    assert read_answer(question, SOUND).complete
    answer = read_answer(question, SOUND | slip)
    assert list(answer.faults) == [field]
    assert not answer.complete


def test_digits_of_another_script_are_no_count() -> None:
    count = next(
        check for regime in regimes().values() for check in regime.checks if check.answer == "count"
    )
    question = Question(key="c", check=count)
    assert read_answer(question, {"value": "3"}).complete
    assert "value" in read_answer(question, {"value": "٣"}).faults


def test_the_breaks_of_a_strand_are_asked_for_wherever_along_the_rope_they_are_most() -> None:
    """A strand's worst lay need not be the worst lay of the rope: "of these" asked too little."""
    page = (PROJECT / "templates/inspections/questions/rope.html").read_text(encoding="utf-8")

    assert "any one strand of any one lay" in COUNTS["broken_strand_count"]
    assert f'% translate "{COUNTS["broken_strand_count"]}" %' in page
