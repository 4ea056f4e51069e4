"""How many broken wires there can be in the worst window, by trying every window.

A range is a pair of low and high; a high of None is not known.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any

from tests.second_engine.quantities import ceiling, maybe_quantity, read_quantity

Figure = Fraction | int
Range = tuple[Figure, Figure | None]
ENDLESS = "the whole rope"
ZONES = ("crown", "valley", "termination")


def window_length(window: list[Any], rope: dict[str, Any]) -> Fraction | str | None:
    """In metres, or the whole rope, or None where the rope's fact is not known."""
    kind = window[0]
    if kind == "whole_rope":
        return ENDLESS
    if kind == "length":
        return read_quantity(window[1])
    one = maybe_quantity(rope.get("lay_length" if kind == "lay" else "nominal_diameter"))
    return None if one is None else one * window[1]


def ratio_of(counted: list[Any], wanted: list[Any], rope: dict[str, Any]) -> Fraction | None:
    """Length counted over length wanted, neither being the whole rope."""
    if counted[0] == wanted[0] != "length":
        return Fraction(counted[1], wanted[1])
    lengths = window_length(counted, rope), window_length(wanted, rope)
    if None in lengths:
        return None
    return lengths[0] / lengths[1]  # type: ignore[operator]


def compare_lengths(counted: list[Any], wanted: list[Any], rope: dict[str, Any]) -> int | None:
    """1 where the counted window is the longer one, -1 the shorter, 0 the same, None unknown."""
    whole = counted[0] == "whole_rope", wanted[0] == "whole_rope"
    if any(whole):
        return whole[0] - whole[1]
    ratio = ratio_of(counted, wanted, rope)
    return None if ratio is None else (ratio > 1) - (ratio < 1)


def moved(number: int, counted: list[Any], wanted: list[Any], rope: dict[str, Any]) -> Range:
    """What a number in one window says of another window."""
    whole = counted[0] == "whole_rope", wanted[0] == "whole_rope"
    if number == 0 or all(whole):
        return number, number
    if whole[0]:
        return 1, number
    if whole[1]:
        return number, None
    ratio = ratio_of(counted, wanted, rope)
    if ratio is None:
        return 1, None
    if ratio <= 1:
        return number, number * ceiling(1 / ratio)
    return ceiling(Fraction(number, ceiling(ratio))), number


def in_one_strand(count: dict[str, Any], wanted: list[Any], rope: dict[str, Any]) -> Range:
    every = moved(count["number"], count["window"], wanted, rope)
    if count["number"] == 0:
        return every
    if count.get("in_one_strand"):
        return moved(count["in_one_strand"], count["window"], wanted, rope)
    return 1, every[1]


def side_by_side(count: dict[str, Any], wanted: list[Any], rope: dict[str, Any]) -> Range:
    low, _ = moved(count["number"], count["window"], wanted, rope)
    _, most = in_one_strand(count, wanted, rope)
    run = count.get("adjacent")
    if count["number"] == 0 or run is None:
        return min(1, low), most
    longer = compare_lengths(count["window"], wanted, rope)
    return {
        0: (run, run),
        -1: (run, most),
        1: (1, run),
        None: (1, most),
    }[longer]


def wanted_zones(criterion: dict[str, Any]) -> set[str]:
    return set(criterion.get("only", ZONES)) - set(criterion.get("without", ()))


def from_count(
    count: dict[str, Any], criterion: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Range | None:
    """None where the count says nothing of the wires wanted."""
    how = moved_as_wanted(criterion)
    low, high = how(count, criterion["window"], rope)
    zone, zones = count.get("zone"), wanted_zones(criterion)
    if zone is None:
        if zones == set(ZONES):
            return low, high
        return away_from_excluded(low, criterion, rope, seen), high
    if zone not in zones:
        return None
    return (low, high) if criterion.get("only") == [zone] else (low, None)


def moved_as_wanted(criterion: dict[str, Any]) -> Callable[..., Range]:
    if criterion.get("adjacent"):
        return side_by_side
    if criterion.get("per_strand"):
        return in_one_strand
    return lambda count, window, rope: moved(count["number"], count["window"], window, rope)


def away_from_excluded(
    low: Figure, criterion: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Figure:
    """Of all wires, those that are certainly in no excluded zone."""
    excluded = criterion.get("without", [])
    if not excluded or any(criterion.get(name) for name in ("only", "per_strand", "adjacent")):
        return 0
    for zone in excluded:
        highs = [
            moved(count["number"], count["window"], criterion["window"], rope)[1]
            for count in seen.get("counts") or []
            if count.get("zone") == zone
        ]
        known = [high for high in highs if high is not None]
        if not known:
            return 0
        low -= min(known)
    return max(0, low)


def whole_numbers(figures: list[Fraction]) -> list[int]:
    """All of them times the one number that leaves no fraction: whole numbers compare quickly."""
    times = math.lcm(*(figure.denominator for figure in figures))
    return [times // figure.denominator * figure.numerator for figure in figures]


def every_window(wires: list[dict[str, Any]], length: Any) -> Iterator[list[dict[str, Any]]]:
    """All that lies from each place to each other, where a closed window can hold it."""
    endless = isinstance(length, str)
    ends = [Fraction(0) if endless else length]
    *there, reach = whole_numbers([read_quantity(wire["position"]) for wire in wires] + ends)
    at: dict[int, list[dict[str, Any]]] = {}
    for wire, place in zip(wires, there, strict=True):
        at.setdefault(place, []).append(wire)
    places = sorted(at)
    for start, first in enumerate(places):
        held: list[dict[str, Any]] = []
        for last in places[start:]:
            if not endless and last - first > reach:
                break
            held = held + at[last]
            yield held


def most_in_strand(wires: list[dict[str, Any]], surely: bool) -> int:
    strands = Counter(wire.get("strand") for wire in wires)
    nowhere = strands.pop(None, 0)
    if not strands:
        return min(1, nowhere) if surely else nowhere
    most = max(strands.values())
    return most if surely else most + nowhere


def longest_run(wires: list[dict[str, Any]]) -> int:
    """Of consecutive wire numbers in one strand."""
    there = {
        (wire["strand"], wire["wire"])
        for wire in wires
        if wire.get("strand") is not None and wire.get("wire") is not None
    }
    longest = 0
    for strand, number in there:
        run = 0
        while (strand, number + run) in there:
            run += 1
        longest = max(longest, run)
    return longest


def number_of(wires: list[dict[str, Any]], criterion: dict[str, Any], surely: bool) -> int:
    if criterion.get("adjacent"):
        return max(longest_run(wires), min(1, len(wires)))
    if criterion.get("per_strand"):
        return most_in_strand(wires, surely)
    return len(wires)


def without_runs(wires: list[dict[str, Any]], criterion: dict[str, Any]) -> dict[str, Any]:
    """Where a wire is without strand or number, all of one strand may lie side by side."""
    if all(wire.get("strand") is not None and wire.get("wire") is not None for wire in wires):
        return criterion
    return criterion | {"adjacent": False, "per_strand": True}


def from_list(
    wires: list[dict[str, Any]], criterion: dict[str, Any], rope: dict[str, Any]
) -> Range:
    """A wire whose zone is not told is tried as a wanted one and as none."""
    zones, length = wanted_zones(criterion), window_length(criterion["window"], rope)
    told, either = wires, wires
    if zones != set(ZONES):
        told = [wire for wire in wires if wire.get("zone") in zones]
        either = [wire for wire in wires if wire.get("zone") in (*zones, None)]
    shortest, longest = (Fraction(0), ENDLESS) if length is None else (length, length)
    loosely = without_runs(either, criterion) if criterion.get("adjacent") else criterion
    lows = [number_of(some, criterion, True) for some in every_window(told, shortest)]
    highs = [number_of(some, loosely, False) for some in every_window(either, longest)]
    return max(lows, default=0), max(highs, default=0)


def broken_wires(criterion: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]) -> Range:
    """Every source together."""
    sources = [from_count(count, criterion, rope, seen) for count in seen.get("counts") or []]
    if seen.get("broken_wires"):
        sources.append(from_list(seen["broken_wires"], criterion, rope))
    says = [source for source in sources if source is not None]
    low = max((source[0] for source in says), default=0)
    highs = [source[1] for source in says if source[1] is not None]
    if not highs:
        return low, None
    return low, (min(highs) if min(highs) >= low else max([*highs, low]))
