"""How much of the way to discard each fault is, and their sum at one place."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from tests.second_engine.criteria import condition_verdict, does_apply, value_of
from tests.second_engine.limits import as_figure, limit_of
from tests.second_engine.quantities import read_quantity
from tests.second_engine.wires import ENDLESS, Range, window_length

ZERO = Fraction(0)
NOTHING: Range = (ZERO, ZERO)


def band_at(bands: list[list[Any]], value: Fraction | None) -> Fraction | None:
    if value is None:
        return None
    reached = [Fraction(severity, 100) for start, severity in bands if as_figure(start) <= value]
    return reached[-1] if reached else ZERO


def severity(
    criterion: dict[str, Any], rules: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Range:
    """1 is discard."""
    if criterion.get("off"):
        return ZERO, None
    if criterion["indicator"] == "condition":
        whole = Fraction(criterion.get("severity", 100), 100)
        verdict = condition_verdict(criterion, seen)
        return {"met": (whole, whole), "not met": NOTHING}.get(verdict, (ZERO, whole))
    (low, high), _ = value_of(criterion, rope, seen)
    if "bands" in criterion["limit"]:
        bands = criterion["limit"]["bands"]
        return band_at(bands, low) or ZERO, band_at(bands, high)
    return over_limit(low, high, limit_of(criterion, rules, rope, seen))


def over_limit(low: Fraction, high: Fraction | None, limit: Any) -> Range:
    if high is not None and high <= 0:
        return NOTHING
    if limit is None:
        return ZERO, None
    return max(low, ZERO) / limit[1], None if high is None else high / limit[0]


def worst(ranges: list[Range]) -> Range:
    highs = [high for _, high in ranges]
    known = [high for high in highs if high is not None]
    return max(low for low, _ in ranges), max(known) if len(known) == len(highs) else None


def kind_severity(
    members: list[dict[str, Any]], rules: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Range:
    """Of the criteria of one indicator."""
    found = []
    for criterion in members:
        low, high = severity(criterion, rules, rope, seen)
        found.append((low if does_apply(criterion, rope, seen) else ZERO, high))
    return worst(found)


def is_placed(indicator: str, seen: dict[str, Any]) -> bool:
    if indicator == "broken_wires":
        return bool(seen.get("broken_wires")) and not seen.get("counts")
    pairs = seen.get("diameters") or []
    return indicator == "diameter_loss" and all(pair.get("position") for pair in pairs)


def seen_inside(seen: dict[str, Any], placed: list[str], length: Any) -> Iterator[dict[str, Any]]:
    """What each window holds, a window starting at every placed observation."""
    fields = {"broken_wires": "broken_wires", "diameter_loss": "diameters"}
    found = {kind: seen.get(fields[kind]) or [] for kind in placed}
    starts = {read_quantity(each["position"]) for some in found.values() for each in some}
    for start in starts:
        inside = {
            fields[kind]: [each for each in some if lies_in(each, start, length)]
            for kind, some in found.items()
        }
        yield seen | inside


def lies_in(each: dict[str, Any], start: Fraction, length: Any) -> bool:
    place = read_quantity(each["position"])
    return place >= start and (length == ENDLESS or place <= start + length)


def combined(
    criterion: dict[str, Any], rules: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Range:
    kinds: dict[str, list[dict[str, Any]]] = {}
    for each in rules["criterion"]:
        if each["slug"] in criterion["combines"] and does_apply(each, rope, seen) is not False:
            kinds.setdefault(each["indicator"], []).append(each)
    alone = {kind: kind_severity(some, rules, rope, seen) for kind, some in kinds.items()}
    largest = max((low for low, _ in alone.values()), default=ZERO)
    if any(high is None for _, high in alone.values()):
        return largest, None
    length = window_length(criterion["window"], rope)
    placed = [kind for kind in kinds if length is not None and is_placed(kind, seen)]
    low, high = largest, ZERO
    for inside in seen_inside(seen, placed, length):
        here = [within(kind, kinds[kind], rules, rope, inside, alone[kind]) for kind in placed]
        low = max(low, sum(each[0] for each in here))
        high = max(high, sum(each[1] or ZERO for each in here))
    elsewhere = sum(alone[kind][1] or ZERO for kind in kinds if kind not in placed)
    return low, high + elsewhere


def within(
    kind: str,
    members: list[dict[str, Any]],
    rules: dict[str, Any],
    rope: dict[str, Any],
    inside: dict[str, Any],
    alone: Range,
) -> Range:
    """Every broken wire is listed; a diameter not measured there may be as bad as the worst."""
    if inside["broken_wires" if kind == "broken_wires" else "diameters"]:
        return kind_severity(members, rules, rope, inside)
    return NOTHING if kind == "broken_wires" else (ZERO, alone[1])
