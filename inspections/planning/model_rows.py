"""The rows of a year's model: weights of variables, and what their sum must lie between. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, inf
from typing import Any

from inspections.planning.model import YearModel

UNBOUNDED = 2**60
SAFE_SHARE = 1e-6
"""Taken off what a solver proves, as floating point is not exact."""


@dataclass(frozen=True)
class ModelRow:
    """low <= the sum of weights times variables <= high."""

    weights: dict[int, float]
    low: float
    high: float


def safe(value: float) -> int:
    """Whole numbers of the smallest coin are nowhere below this, so the next one is proven."""
    return max(0, ceil(value - abs(value) * SAFE_SHARE - SAFE_SHARE))


def rows_of(year: YearModel) -> Iterator[ModelRow]:
    """Every row that holds whatever else does."""
    for row in year.cp.proto.constraints:
        if len(row.enforcement_literal):
            continue
        if row.has_linear():
            yield _linear(row.linear)
        elif row.has_bool_or():
            yield _either(row.bool_or.literals)


def _linear(row: Any) -> ModelRow:
    low, high = row.domain[0], row.domain[len(row.domain) - 1]
    weights: dict[int, float] = {}
    for n, weight in zip(row.vars, row.coeffs, strict=True):
        weights[n] = weights.get(n, 0) + weight
    least, most = low if low > -UNBOUNDED else -inf, high if high < UNBOUNDED else inf
    return ModelRow(weights, least, most)


def _either(literals: Sequence[int]) -> ModelRow:
    """One of these holds; a negative number stands for one that does not."""
    weights = {n if n >= 0 else -n - 1: 1.0 if n >= 0 else -1.0 for n in literals}
    return ModelRow(weights, 1 - sum(n < 0 for n in literals), inf)
