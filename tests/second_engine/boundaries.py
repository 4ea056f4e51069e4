"""Ropes brought exactly to the limits of a rule set, or a hair to either side. Invented figures.

Every criterion in turn, read from the files: the first and last key of each row, every band and
step, windows that just hold the last wire, uncertainties that just reach the limit, faults that
just lie at one place and add up to discard.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from tests.second_engine import bringing
from tests.second_engine.limits import as_figure
from tests.second_engine.quantities import ceiling

Rules = dict[str, Any]
Vector = dict[str, Any]
HAIR = Fraction(1, 1_000_000)
FACTS: dict[str, tuple[Any, ...]] = {
    "construction": ("7x19", "6x19S", "8x19 seale", "6x19", "8x19 (9/9/1)", "6x36WS", " 6 X 19 S"),
    "nominal_diameter": ("6 mm", "8 mm", "1/4 in", "1/2 in", "1 1/8 in", "28 mm"),
    "lay_length": ("36 mm", "2 1/2 in", "70 mm"),
    "rotation_resistant": (True, False), "lay_type": ("ordinary", "lang"),
    "duty": ("running", "standing"), "drum": ("single_layer", "multi_layer", "no_drum"),
    "core": ("fibre", "independent_wire_rope", "wire_strand", "none"),
    "machine_class": ("m1", "m4", "m5", "m8"), "drive_group": ("1em", "1am", "2m", "5m"),
    "carries": ("persons", "dangerous_goods", "other"),
    "use": ("carrying_means", "slinging_means"),
    "total_wires": (40, 42, 100, 114, 133, 216), "wires_per_strand": (7, 19, 20, 40),
    "strands": (6, 7, 8), "outer_strands": (3, 4, 10, 11, 12, 18), "seale": (True, False, None),
    "outer_load_bearing_wires": (42, 50, 100, 114, 150, 216, 300, 301, 325, 350),
    "minimum_breaking_force": ("20 kN", "7000 lbf"), "greatest_force": ("1 kN",),
}  # fmt: skip


def boundary_vectors(seed: int | str, count: int, every: dict[str, Rules]) -> Iterator[Vector]:
    """The same ones for the same seed, the rule sets in turn."""
    chance, names = random.Random(f"boundaries {seed}"), sorted(every)
    for place in range(count):
        name = names[place % len(names)]
        yield at_a_limit(chance, every[name]) | {"ruleset": name}


def at_a_limit(chance: random.Random, rules: Rules) -> Vector:
    criteria = [chance.choice(rules["criterion"]) for _ in range(chance.choice((1, 1, 1, 2, 3)))]
    if criteria[0]["indicator"] == "combined_severity":
        criteria += members_of(chance, rules, criteria[0])
    rope = known_rope(chance)
    for criterion in reversed(criteria):
        suit(rope, chance, rules, criterion)
    seen = sound(rope)
    for criterion in criteria:
        bringing.bring(seen, rope, chance, rules, criterion)
    if chance.random() < 0.6:
        forget(chance, rope, seen)
    return {"rope": rope, "observation": seen}


def members_of(chance: random.Random, rules: Rules, criterion: dict[str, Any]) -> list[Any]:
    """One member of each kind, to lie together."""
    kinds: dict[str, list[Any]] = {}
    for each in rules["criterion"]:
        if each["slug"] in criterion["combines"]:
            kinds.setdefault(each["indicator"], []).append(each)
    picked = [chance.choice(kinds[kind]) for kind in ("broken_wires", "diameter_loss")]
    return [*picked, chance.choice(kinds["condition"])] if chance.random() < 0.3 else picked


def known_rope(chance: random.Random) -> dict[str, Any]:
    rope = {fact: chance.choice(choices) for fact, choices in FACTS.items()}
    nominal = rope["nominal_diameter"]
    rope["baseline_diameter"] = chance.choice((nominal, nominal, "6.3 mm", "1/2 in"))
    return rope


def suit(rope: dict[str, Any], chance: random.Random, rules: Rules, criterion: Any) -> None:
    """Facts that the criterion applies to, and a key at the edge of a row."""
    for fact, allowed in criterion.get("when", {}).items():
        rope[fact] = chance.choice([each for each in allowed if each != "or more"])
        if allowed[-1] == "or more":
            rope[fact] += chance.choice((0, 1, 7))
    limit = criterion.get("limit", {})
    for fact, allowed in limit.get("times_when", {}).items():
        rope[fact] = chance.choice((*allowed, *FACTS[fact], None))
    if "table" in limit:
        table = next(each for each in rules["table"] if each["slug"] == limit["table"])
        rope[table["key"]] = edge_of_row(chance, table)


def edge_of_row(chance: random.Random, table: dict[str, Any]) -> Any:
    row = chance.choice(table["row"])
    edge = as_figure(
        row[chance.choice([name for name in row if name in ("first", "last", "above")])]
    )
    if table["key"] == "outer_load_bearing_wires":
        return max(1, ceiling(edge) + chance.choice((-1, 0, 0, 1, 24)))
    return bringing.in_millimetres(edge + chance.choice((-1, 0, 0, 1)) * HAIR)


def sound(rope: dict[str, Any]) -> dict[str, Any]:
    new = rope["baseline_diameter"]
    return {
        "broken_wires": [],
        "counts": [],
        "diameters": [{"a": new, "b": new, "position": "0 mm"}],
        "conditions": dict.fromkeys(bringing.CONDITIONS, False),
        "instrument_uncertainty": "0 mm",
        "outer_wire_loss": "0 %",
        "strength_loss": "0 %",
    }


def forget(chance: random.Random, rope: dict[str, Any], seen: dict[str, Any]) -> None:
    """Now and then a fact or an observation is not known."""
    while chance.random() < 0.25:
        rope.pop(chance.choice(sorted(rope)), None) if len(rope) > 3 else None
    while chance.random() < 0.15:
        seen.pop(chance.choice(sorted(seen)), None) if len(seen) > 2 else None
    if chance.random() < 0.1 and seen.get("conditions"):
        seen["conditions"].pop(chance.choice(sorted(seen["conditions"])))
    if chance.random() < 0.3 and not seen.get("counts") and "counts" in seen:
        seen["counts"] = [{"number": 0, "window": ["whole_rope"]}]
