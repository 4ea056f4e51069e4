"""Whatever is typed, a calculator answers or refuses with a sentence; it never breaks."""

from __future__ import annotations

import json
import random

import pytest

from rigging.calculators import Calculator, load_calculators
from rigging.calculators.asking import ask
from rigging.calculators.contract import Input
from rigging.calculators.showing import answer_data, answer_line
from rigging.calculators.svg import svg_of
from venue.quantities import units_of

CALCULATORS = list(load_calculators().values())
NUMBERS = (
    "0", "1", "2", "3", "40", "1/3", "0.1", "7.5", "100", "1e5",
    "0." + "0" * 30 + "1", "9" * 30, "1/" + "9" * 20,
)  # fmt: skip
TRIALS = 60


def typed_for(asked: Input, dimension: str, chance: random.Random) -> str:
    if dimension == "choice":
        return chance.choice(asked.choices)[0]
    if dimension in ("number", "count"):
        return chance.choice(NUMBERS)
    wanted = {"load": "force", "measure": "length"}.get(dimension, dimension)
    return f"{chance.choice(NUMBERS)} {chance.choice(units_of(wanted)).code}"


def field(asked: Input, chance: random.Random) -> str:
    if isinstance(asked.dimension, str):
        rows = [typed_for(asked, asked.dimension, chance) for _ in range(4 if asked.many else 1)]
    else:
        rows = [
            " at ".join(typed_for(asked, part, chance) for part in asked.dimension)
            for _ in range(3)
        ]
    return "\n".join(rows[: chance.randint(1, len(rows))])


@pytest.mark.parametrize("one", CALCULATORS, ids=lambda one: one.slug)
def test_the_largest_and_the_smallest_are_answered_or_refused(one: Calculator) -> None:
    chance = random.Random(one.slug)
    answered = refused = 0
    for _ in range(TRIALS):
        base = dict(chance.choice(one.examples).typed)
        for asked in chance.sample(one.inputs, chance.randint(1, len(one.inputs))):
            base[asked.slug] = field(asked, chance)
        found = ask(one, base)
        if found.answer is None:
            faults = [each.fault for each in found.fields if each.fault]
            assert faults, base
            assert all(fault.endswith((".", "?")) for fault in faults), faults
            refused += 1
            continue
        data = answer_data(one, found.answer, base)
        assert json.loads(json.dumps(data))
        assert answer_line(data)
        drawn = svg_of(found.answer.diagram) if found.answer.diagram else ""
        assert "nan" not in drawn
        assert "inf" not in drawn.replace("information", "")
        assert [line.text for line in found.lines if not line.text] == []
        answered += 1
    assert answered + refused == TRIALS
    assert answered, "nothing was answered: the trial shows nothing"
