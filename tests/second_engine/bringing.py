"""What is observed, brought to the limit of one criterion or a hair to either side."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

from tests.second_engine.facts import KINDS, PLAIN_CONDITIONS
from tests.second_engine.limits import as_figure, is_length, limit_of
from tests.second_engine.quantities import ceiling, maybe_quantity, read_quantity
from tests.second_engine.wires import ENDLESS, ZONES, window_length

CONDITIONS = (*PLAIN_CONDITIONS, *KINDS["distortion"], *KINDS["corrosion"])
HAIR = Fraction(1, 1_000_000)
Seen = dict[str, Any]
Rope = dict[str, Any]


def in_millimetres(metres: Fraction) -> str:
    return f"{metres * 1000} mm"


def a_hair(chance: random.Random) -> Fraction:
    return chance.choice((-1, 0, 0, 1)) * HAIR


def bring(seen: Seen, rope: Rope, chance: random.Random, rules: Any, criterion: Any) -> None:
    indicator = criterion["indicator"]
    if indicator == "condition":
        bring_condition(seen, chance, criterion)
    elif indicator == "broken_wires":
        bring_wires(seen, rope, chance, rules, criterion)
    elif indicator == "diameter_loss":
        bring_diameter(seen, rope, chance, rules, criterion)
    elif indicator == "design_factor":
        factor = as_figure(criterion["limit"]["number"]) + a_hair(chance)
        rope["greatest_force"] = f"{read_quantity(rope['minimum_breaking_force']) / factor} N"
    elif indicator != "combined_severity":
        part = as_figure(criterion["limit"]["number"]) * chance.choice((1, 1, Fraction(8, 10)))
        seen[indicator] = f"{part + a_hair(chance)} x"


def bring_condition(seen: Seen, chance: random.Random, criterion: Any) -> None:
    name = chance.choice(criterion["conditions"])
    told = (True, True, False, None)
    seen["conditions"][name] = chance.choice(told)
    for kind in KINDS.get(name, ()):
        seen["conditions"][kind] = chance.choice((*told, False, False))
    for whole, kinds in KINDS.items():
        if name in kinds:
            seen["conditions"][whole] = chance.choice(told)


def bring_wires(seen: Seen, rope: Rope, chance: random.Random, rules: Any, criterion: Any) -> None:
    if scale := criterion["limit"].get("scale"):
        begins = as_figure(chance.choice(scale["steps"])[0])
        seen[scale["by"]] = f"{begins + a_hair(chance)} x"
    limit = limit_of(criterion, rules, rope, seen)
    aim = ceiling(chance.choice(limit)) if limit else chance.randrange(9)
    number = max(0, aim + chance.choice((-1, -1, 0, 0, 1)))
    if chance.random() < 0.5 and number <= 14:
        seen["broken_wires"] += wires(rope, chance, criterion, number)
    else:
        seen["counts"].append(count(rope, chance, criterion, number))


def count(rope: Rope, chance: random.Random, criterion: Any, number: int) -> dict[str, Any]:
    together = chance.choice((number, number, None, number // 2))
    zones = criterion.get("only") or [None, None, None, *criterion.get("without", [])]
    return {
        "number": number + (chance.randrange(3) if criterion.get("per_strand") else 0),
        "window": counted_window(rope, chance, criterion["window"]),
        "in_one_strand": together,
        "adjacent": together if together and chance.random() < 0.5 else None,
        "zone": chance.choice((*zones, *zones, *zones, None, *ZONES)),
    }


def counted_window(rope: Rope, chance: random.Random, wanted: list[Any]) -> list[Any]:
    """The window of the rule, or one just as long, a hair longer or shorter, half or double."""
    length = window_length(wanted, rope)
    if chance.random() < 0.5 or length is None:
        return wanted
    if length == ENDLESS or chance.random() < 0.2:
        return chance.choice((["lay", 1], ["diameters", 30], ["whole_rope"], ["lay", 2]))
    times = chance.choice((1, 1, 2, 3, Fraction(1, 2), Fraction(1, 3)))
    return ["length", in_millimetres(length * times + a_hair(chance))]


def wires(rope: Rope, chance: random.Random, criterion: Any, number: int) -> list[dict[str, Any]]:
    """In one window, or the last one a hair outside; perhaps one more far away."""
    length = window_length(criterion["window"], rope)
    reach = Fraction(1, 2) if length in (None, ENDLESS) else length
    places = [chance.choice((0, 0, 1, 2, 3)) * reach / 3 for _ in range(number)]
    places[-1:] = [reach + a_hair(chance)] * bool(places)
    places += [reach * 4] * (chance.random() < 0.2)
    strand, zones = chance.choice((1, 2, None)), criterion.get("only") or (None, "crown", "valley")
    return [
        {
            "position": in_millimetres(Fraction(place)),
            "strand": strand if chance.random() < 0.9 else chance.choice((1, 3, None)),
            "wire": at + 1 if chance.random() < 0.9 else chance.choice((None, at + 2)),
            "zone": chance.choice(zones) if chance.random() < 0.9 else chance.choice(ZONES),
        }
        for at, place in enumerate(places)
    ]


def bring_diameter(
    seen: Seen, rope: Rope, chance: random.Random, rules: Any, criterion: Any
) -> None:
    nominal, baseline = (read_quantity(rope[f"{x}_diameter"]) for x in ("nominal", "baseline"))
    whole = nominal if criterion["reference"] == "nominal" else baseline
    below = baseline if criterion["reference"] == "baseline" else nominal
    edge = edge_of_loss(chance, criterion, limit_of(criterion, rules, rope, seen))
    loss = edge * (1 if is_length(criterion) else below)
    doubt, apart = chance.choice((0, 0, HAIR, whole / 500)), chance.choice((0, whole / 100))
    measured = whole - loss + chance.choice((-1, 0, 1)) * doubt + a_hair(chance) / 10
    seen["instrument_uncertainty"] = chance.choice((in_millimetres(Fraction(doubt)), None, "0 mm"))
    pair = {"a": in_millimetres(measured + apart), "b": in_millimetres(measured - apart)}
    pair["position"] = chance.choice(places_of_pair(seen, rope))
    others = seen["diameters"] if chance.random() < 0.5 else []
    seen["diameters"] = [*others, pair]


def edge_of_loss(chance: random.Random, criterion: Any, limit: Any) -> Fraction:
    """The start of a band, the limit, or where it begins to be near."""
    if bands := criterion["limit"].get("bands"):
        return as_figure(chance.choice(bands)[0])
    return (limit or (Fraction(1, 1000),))[0] * chance.choice((1, 1, Fraction(8, 10)))


def places_of_pair(seen: Seen, rope: Rope) -> list[str | None]:
    """Just within 30 diameters of the first broken wire, just outside, with it, or not told."""
    nominal = maybe_quantity(rope.get("nominal_diameter")) or Fraction(0)
    found = [read_quantity(wire["position"]) for wire in seen["broken_wires"]] or [Fraction(0)]
    ends = [min(found) + 30 * nominal, max(found) - 30 * nominal]
    near = [end + each for end in ends for each in (Fraction(0), HAIR, -HAIR)]
    return [None, "1/2 mm", *(in_millimetres(place) for place in near if place >= 0)]
