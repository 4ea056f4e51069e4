"""An answer typed on a phone without signal gets the server's verdict, faults and words."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pytest

from inspections.answers import Before, Question
from inspections.phone_questions import questions_for_phone
from inspections.queries.checks import ask
from inspections.regime_files import regimes
from inspections.regime_shapes import Check
from inspections.rope_reading import CONDITIONS
from rigging.engine import RopeFacts, load_rulesets
from rigging.engine.phone_lists import ruleset_for_phone
from tests.rigging.test_judging_on_a_phone import phone
from venue.quantities import read_quantity, units_of

__all__ = ["phone"]
pytestmark = pytest.mark.browser

ROPE = RopeFacts(
    nominal_diameter=read_quantity("6.35 mm", "length"), lay_length=read_quantity("40 mm", "length"),
    baseline_diameter=read_quantity("6.5 mm", "length"), duty="running", rotation_resistant=False,
    total_wires=133, wires_per_strand=19, outer_load_bearing_wires=114, lay_type="ordinary",
)  # fmt: skip
NUMBERS = ("6.35", "6.5", "6,4", "1/4 in", "5", "63", "0", "6.1 mm", "9 in", "x", "1,250", "-2", "")


def questions(chance: random.Random) -> Iterator[Question]:
    """One for every check there is, ropes with and without their facts."""
    for regime in regimes().values():
        for check in regime.checks:
            rope = chance.choice((ROPE, RopeFacts())) if check.answer == "rope" else None
            expected = check.maximum.si if check.maximum and chance.random() < 0.7 else None
            unit = chance.choice((check.unit_metric, check.unit_us))
            yield Question(
                key=check.slug, check=check, rope=rope,
                expected=ROPE.nominal_diameter.si if rope and ROPE.nominal_diameter else expected,
                usual_unit="mm" if rope else unit, before=_before(chance, check),
            )  # fmt: skip


def _before(chance: random.Random, check: Check) -> Before | None:
    if check.answer not in ("measured", "count") or chance.random() < 0.3:
        return None
    number = (
        str(chance.randrange(50)) if check.answer == "count" else f"{chance.randrange(200) / 10}"
    )
    dimension = check.dimension or "count"
    unit = chance.choice(units_of(dimension)).code
    return Before(read_quantity(number, dimension, unit), "3 May 2026")


def typed(chance: random.Random, question: Question) -> dict[str, str]:
    given = chance.choice(("", "", "", "yes", "no", "could_not_look", "not_applicable"))
    return {
        "given": given, "reason": chance.choice(("", "Locked")), "text": chance.choice(("", "Seen")),
        "cured_by": chance.choice(("", "", "2027-02-29", "2027-05-31", "soon")),
    } | (_rope(chance) if question.check.answer == "rope" else _other(chance, question))  # fmt: skip


def _other(chance: random.Random, question: Question) -> dict[str, str]:
    check = question.check
    limits = [limit.typed for limit in (check.minimum, check.maximum) if limit]
    units = [unit.code for unit in units_of(check.dimension)] if check.dimension else ["mm"]
    number = chance.choice((*NUMBERS, *limits, *limits, f"{chance.randrange(200) / 10}"))
    return {
        "value": chance.choice((number, f"{number} {chance.choice(units)}")),
        "unit": chance.choice(("", "", chance.choice(units))),
        "uncertainty": chance.choice(("", "", "0.1", "2", "x")), "choice": chance.choice((*check.choices, "")),
        "sure_value": chance.choice(("", "yes")),
    }  # fmt: skip


def _rope(chance: random.Random) -> dict[str, str]:
    found = {name: chance.choice(("0", "0", "0", "1", "3", "6", "", "x")) for name in (
        "broken_lay", "broken_strand_count", "broken_valley", "broken_end")}  # fmt: skip
    pairs = chance.choice(((1,), (1,), (1, 2), (3,), ()))
    for place in pairs:
        found |= {f"dia_{place}_{way}": chance.choice(NUMBERS[:8]) for way in "ab"}
    seen = {f"cond_{name}": "seen" for name in CONDITIONS if chance.random() < 0.05}
    wires = (
        "",
        "",
        "12.5 m; 3; crown",
        "1 m;0",
        "1 m; x",
        "2 m;;valley\n2010 mm;2",
        "a",
        "1 m;1;top",
    )
    return found | seen | {
        "looked": chance.choice(("yes", "yes", "no", "")), "unit": chance.choice(("", "in")),
        "uncertainty": chance.choice(("", "0.05 mm")), "wires": chance.choice(wires),
        "sure_dia_1_a": chance.choice(("", "yes")), "dia_1_at": chance.choice(("", "3 m", "there")),
    }  # fmt: skip


def test_every_check_there_is_is_answered_on_the_phone_as_on_the_server(phone: Any) -> None:
    chance = random.Random(3)
    rulesets = list(load_rulesets().values())[:3]
    asked = [each for _ in range(4) for each in questions(chance)]
    ropes = [each for each in asked if each.rope]
    asked += ropes * (600 // len(ropes))
    answers = [typed(chance, question) for question in asked]
    told = phone.evaluate(
        """async ([questions, answers, rulesets]) => {
            const { judgeAnswer } = await import("/judge/answers.js");
            return questions.map((question, place) =>
                judgeAnswer(question, answers[place], rulesets));
        }""",
        [questions_for_phone(asked), answers, [ruleset_for_phone(each) for each in rulesets]],
    )
    for question, fields, answer in zip(asked, answers, told, strict=True):
        expected = ask(question, fields, rulesets, []).spoken()
        assert answer == expected, (question.key, fields)
    states = {answer["state"] for answer in told}
    assert {
        "",
        "fit",
        "watch",
        "restrict",
        "cannot be decided",
        "out of service",
        "retire",
    } <= states
    assert {"more", "less", "same"} <= {
        word for answer in told for word in answer["before"].rstrip(".").split()
    }
    assert len(told) > 2000
