"""Ropes as observed, made at random from a seed: half of them wild, half near a limit.

Invented figures. The wild ones have gaps, doubts and contradictions; the near ones are sound
ropes with one thing brought to a limit of the rule set, exactly, or a hair on either side of it.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from rigging.engine import CONDITIONS, RuleSet, confirmable, load_rulesets, with_confirmed
from rigging.engine.limits_of_rules import OR_MORE
from rigging.engine.observation import ZONES
from rigging.engine.rope import CHOICES

DIAMETERS = ("6 mm", "8 mm", "9.5 mm", "1/4 in", "3/8 in", "1/2 in", "13 mm", "22 mm", "1 in")
READINGS = ("9.5 mm", "9.35 mm", "9.025 mm", "0.2375 in", "5.7 mm", "7.44 mm", "12.7 mm", "8 mm")
WINDOWS: tuple[list[Any], ...] = (
    ["lay", 1], ["lay", 1], ["diameters", 6], ["diameters", 30], ["lay", 3], ["diameters", 10],
    ["length", "60 mm"], ["length", "300 mm"], ["length", "2.5 in"], ["whole_rope"],
)  # fmt: skip
MEASURED = ("diameter_loss", "outer_wire_loss", "strength_loss")
HAIR = Fraction(1, 100_000)

Vector = dict[str, Any]


def every_ruleset() -> dict[str, RuleSet]:
    """All rule sets as shipped, and those with unverified figures also as confirmed by somebody."""
    found = dict(load_rulesets())
    for slug, each in load_rulesets().items():
        if words := {criterion.slug: "confirmed" for criterion in confirmable(each)}:
            name = f"{slug}-confirmed"
            found[name] = replace(with_confirmed(each, words), slug=name)
    return found


def rope_vectors(
    seed: int | str, count: int, rulesets: Mapping[str, RuleSet]
) -> Iterator[Vector]:  # fmt: skip
    """Questions as docs/judge.md describes them, each for one rule set, always the same ones."""
    chance = random.Random(seed)
    names = sorted(rulesets)
    for place in range(count):
        ruleset = rulesets[names[place % len(names)]]
        make = near_vector if chance.random() < 0.5 else wild_vector
        yield make(chance, ruleset) | {"ruleset": ruleset.slug}


def wild_vector(chance: random.Random, ruleset: RuleSet) -> Vector:
    return {"rope": _rope(chance), "observation": _observation(chance)}


def near_vector(chance: random.Random, ruleset: RuleSet) -> Vector:
    """A sound rope that every criterion can be applied to, with one thing at its limit."""
    criterion = chance.choice(ruleset.criteria)
    rope = _known_rope(chance) | {
        fact: chance.choice([each for each in allowed if each != OR_MORE])
        for fact, allowed in (criterion.when or {}).items()
    }
    seen = _sound(chance, rope)
    if criterion.wanted:
        seen["counts"] = [*seen["counts"], _count(chance, criterion.wanted.window)]
    elif criterion.conditions:
        seen["conditions"][chance.choice(criterion.conditions)] = chance.choice((True, None))
    elif criterion.indicator in MEASURED:
        limit = (criterion.limit.number if criterion.limit else None) or Fraction(1, 10)
        value = max(Fraction(0), limit + chance.choice((-1, 0, 0, 1)) * HAIR)
        _bring_to(seen, rope, criterion.indicator, value, chance)
    if criterion.combines or chance.random() < 0.1:
        seen |= _placed(chance, rope)
    return {"rope": rope, "observation": seen}


def _placed(chance: random.Random, rope: Vector) -> Vector:
    """Broken wires and diameters that all have their place: some together, some apart."""
    places = [chance.choice((0, 30, 60, 200, 900)) for _ in range(chance.randint(1, 8))]
    number, unit = rope["baseline_diameter"].rsplit(" ", 1)
    pairs = []
    for place in {chance.choice((0, 60, 900, 2000)) for _ in range(chance.randint(1, 3))}:
        left = Fraction(number) * Fraction(chance.choice((1000, 965, 955, 940, 930, 900)), 1000)
        typed = f"{left.numerator}/{left.denominator} {unit}"
        pairs.append({"a": typed, "b": typed, "position": f"{place} mm"})
    return {
        "counts": [], "diameters": pairs,
        "broken_wires": [
            {"position": f"{place} mm", "strand": chance.randint(1, 3), "zone": "crown"}
            for place in places
        ],
    }  # fmt: skip


def _bring_to(
    seen: Vector, rope: Vector, indicator: str, value: Fraction, chance: random.Random
) -> None:
    if indicator != "diameter_loss":
        seen[indicator] = f"{value.numerator}/{value.denominator} x"
        return
    thousandths = chance.choice((930, 950, 949, 951, 960, 967, 1000, 900, 899, 901))
    number, unit = rope["baseline_diameter"].rsplit(" ", 1)
    left = Fraction(number) * Fraction(thousandths, 1000) + chance.choice((-1, 0, 1)) * HAIR
    typed = f"{left.numerator}/{left.denominator} {unit}"
    seen["diameters"] = [{"a": typed, "b": typed}]


def _some(chance: random.Random, make: Callable[[], Any], often: float = 0.75) -> Any:
    return make() if chance.random() < often else None


def _rope(chance: random.Random) -> Vector:
    known = _known_rope(chance)
    known["baseline_diameter"] = chance.choice(DIAMETERS)
    return {name: value for name, value in known.items() if chance.random() < 0.8}


def _known_rope(chance: random.Random) -> Vector:
    diameter = chance.choice(DIAMETERS)
    return {
        "construction": chance.choice(("7x19", "6x19", "6x19S", "6x19 (12/6/1)", "8 x 19 Seale")),
        "nominal_diameter": diameter,
        "baseline_diameter": diameter, "lay_length": chance.choice(("60 mm", "2 1/2 in", "70 mm")),
        "rotation_resistant": chance.random() < 0.3, "total_wires": chance.choice((133, 114, 216)),
        "wires_per_strand": chance.choice((19, 36, 7)), "strands": chance.choice((6, 7, 8)),
        "outer_load_bearing_wires": chance.choice((30, 36, 54, 72, 100, 114, 126, 200, 300, 333)),
        "outer_strands": chance.choice((3, 4, 6, 8, 11, 15, 18)),
        "seale": chance.choice((True, False, None)),
        "minimum_breaking_force": chance.choice(("20 kN", "50 kN", "7000 lbf")),
        "greatest_force": chance.choice(("2 kN", "5 kN", "4.99 kN", "700 lbf")),
        **{fact: chance.choice(choices) for fact, choices in CHOICES.items()},
    }  # fmt: skip


def _count(chance: random.Random, window: Any = None) -> Vector:
    number = chance.choice((0, 0, 1, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 20, chance.randrange(40)))
    kind, amount = window or (None, None)
    same = ["length", amount.typed] if kind == "length" else [kind, amount]
    same = ["whole_rope"] if kind == "whole_rope" else same
    strand = _some(chance, lambda: chance.randrange(number + 1), 0.5)
    most = number if strand is None else strand
    return {
        "number": number,
        "window": same if window else chance.choice(WINDOWS),
        "in_one_strand": strand,
        "adjacent": _some(chance, lambda: chance.randint(min(1, most), most), 0.3),
        "zone": _some(chance, lambda: chance.choice(ZONES), 0.4),
    }


def _wire(chance: random.Random) -> Vector:
    place = chance.choice((0, 10, 20, 60, 61, 120, 180, 300, 360, chance.randrange(500)))
    return {
        "position": f"{place} mm",
        "strand": _some(chance, lambda: chance.randrange(1, 4)),
        "wire": _some(chance, lambda: chance.randrange(1, 6)),
        "zone": _some(chance, lambda: chance.choice(ZONES)),
    }


def _pair(chance: random.Random) -> Vector:
    place = {"position": _some(chance, lambda: f"{chance.randrange(500)} mm")}
    if chance.random() < 0.5:
        return {"a": chance.choice(READINGS), "b": chance.choice(READINGS)} | place
    typed = f"{chance.randrange(500, 960) / 100:.2f} mm"
    return {"a": typed, "b": typed} | place


def _observation(chance: random.Random) -> Vector:
    looked = chance.random()
    return {
        "broken_wires": [_wire(chance) for _ in range(chance.choice((0, 0, 1, 2, 5, 9)))],
        "counts": [_count(chance) for _ in range(chance.choice((0, 1, 1, 2, 3)))],
        "diameters": [_pair(chance) for _ in range(chance.choice((0, 1, 1, 2)))],
        "conditions": {
            name: chance.choice((True, False, None)) if chance.random() < 0.1 else False
            for name in CONDITIONS
            if chance.random() < looked
        },
        "instrument_uncertainty": _some(
            chance, lambda: chance.choice(("0.02 mm", "0.05 mm", "0 mm", "0.2 mm")), 0.6
        ),
        "outer_wire_loss": _some(
            chance, lambda: chance.choice(("0 %", "10 %", "33.3 %", "1/3 x", "40 %")), 0.3
        ),
        "strength_loss": _some(
            chance, lambda: chance.choice(("0 %", "9 %", "10 %", "12 %")), 0.3
        ),
    }  # fmt: skip


def _sound(chance: random.Random, rope: Vector) -> Vector:
    """Everything looked at and nothing found."""
    counts: list[Vector] = [{"number": 0, "window": ["whole_rope"], "in_one_strand": 0}]
    diameter = rope["nominal_diameter"]
    return {
        "broken_wires": [], "counts": [] if chance.random() < 0.6 else counts,
        "diameters": [{"a": diameter, "b": diameter}],
        "conditions": dict.fromkeys(CONDITIONS, False),
        "instrument_uncertainty": chance.choice(("0.02 mm", "0 mm", None)),
        "outer_wire_loss": "0 %", "strength_loss": "0 %",
    }  # fmt: skip
