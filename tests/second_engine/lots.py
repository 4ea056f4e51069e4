"""The observations of a run, in lots: each of one rule set, always the same ones for its seed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain
from typing import Any

from rigging.engine import RuleSet
from tests.second_engine.boundaries import boundary_vectors
from tests.second_engine.judging import rules_of_files
from tests.vectors.ropes import every_ruleset, rope_vectors

LARGEST = 20_000
Vector = dict[str, Any]


@dataclass(frozen=True)
class Lot:
    """`size` observations of one rule set, the `place`-th such lot of a seed."""

    ruleset: str
    seed: int
    place: int
    size: int


@cache
def of_product() -> dict[str, RuleSet]:
    """Every rule set as the product reads its file: once a process, not once a lot."""
    return every_ruleset()


@cache
def of_files() -> dict[str, dict[str, Any]]:
    """Every rule set as the second engine reads its file."""
    return rules_of_files()


def lots(per_ruleset: int, seed: int) -> list[Lot]:
    """One rule set after the other; the whole lots of a short run begin a longer one."""
    sizes = [LARGEST] * (per_ruleset // LARGEST) + [per_ruleset % LARGEST]
    return [
        Lot(name, seed, place, size)
        for name in sorted(of_files())
        for place, size in enumerate(sizes)
        if size
    ]


def made(lot: Lot) -> Iterator[Vector]:
    """A third as the shared generator makes them, two thirds at the limits of the rule set."""
    seed, as_shared = f"{lot.ruleset} {lot.seed} {lot.place}", lot.size // 3
    return chain(
        rope_vectors(seed, as_shared, {lot.ruleset: of_product()[lot.ruleset]}),
        boundary_vectors(seed, lot.size - as_shared, {lot.ruleset: of_files()[lot.ruleset]}),
    )
