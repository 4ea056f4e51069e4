"""Execute the worked examples that a limit set carries. Pure."""

from __future__ import annotations

from rigging.engine.limit_sets import LimitExample, LimitSet, PrintedLimit, judge_printed_limit
from rigging.engine.two_points import FilterTest, judge_two_points
from rigging.engine.verdicts import Judgement
from venue.quantities import Quantity, read_quantity


def faults_of_limit_example(limits: LimitSet, example: LimitExample) -> list[str]:
    """What the engine answers otherwise than the example says; empty when it agrees."""
    limit = limits.limit(example.limit)
    assert limit is not None  # the loader made sure
    found = _judged(limit, example)
    place = f"{limit.source.document}, {limit.source.edition}, {limit.clause}: {example.name}"
    faults = [
        f"{key} is {getattr(found, key)}, not {wanted}"
        for key, wanted in example.expect.items()
        if key != "missing" and str(getattr(found, key)) != wanted
    ]
    wanted = example.expect.get("missing")
    if wanted is not None and not any(wanted in word for word in found.missing):
        faults.append(f"missing is {', '.join(found.missing)}, without {wanted}")
    return [f"{place}: {fault} ({example.source})" for fault in faults]


def _judged(limit: PrintedLimit, example: LimitExample) -> Judgement:
    facts = {name: _any_quantity(value, limit.dimension) for name, value in example.facts.items()}
    said = example.reading
    if limit.two_points:
        filters = {
            name: read_quantity(said[name], limit.dimension) if name in said else None
            for name in ("lower", "upper")
        }
        test = FilterTest(
            lower=filters["lower"], lower_alarmed=said.get("lower_alarmed"),
            upper=filters["upper"], upper_alarmed=said.get("upper_alarmed"),
        )  # fmt: skip
        return judge_two_points(limit, test, facts)
    value, doubt = (
        _any_quantity(said[name], limit.dimension) if name in said else None
        for name in ("value", "uncertainty")
    )
    return judge_printed_limit(limit, value, facts, doubt)


def _any_quantity(value: str, dimension: str) -> Quantity:
    return read_quantity(value, dimension, allow_negative=True)
