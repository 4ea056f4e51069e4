"""The weights of a counterweight set as typed. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.contract import BadValue, Given
from rigging.calculators.loads.bricks import MOST_BRICKS, MOST_SIZES, BrickSize, choose_bricks
from rigging.calculators.loads.counterweight import (
    Runaway,
    counterweight_needed,
    out_of_balance,
    runaway,
    trim_shift,
)
from rigging.calculators.loads.stopping import GRAVITY
from rigging.calculators.loads.trim_change import DOUBLE


@dataclass(frozen=True)
class Stack:
    """Bricks chosen, by the order of the sizes typed."""

    sizes: tuple[BrickSize, ...]
    counts: tuple[int, ...]

    @property
    def weight(self) -> Fraction:
        pairs = zip(self.counts, self.sizes, strict=True)
        return sum((count * size.weight for count, size in pairs), Fraction(0))

    @property
    def height(self) -> Fraction:
        pairs = zip(self.counts, self.sizes, strict=True)
        return sum((count * (size.thickness or Fraction(0)) for count, size in pairs), Fraction(0))


@dataclass(frozen=True)
class Balance:
    """The set as it stands, or as it will stand with the bricks chosen."""

    purchase: int
    bar_side: Fraction
    needed: Fraction
    laid: Fraction
    arbor: Fraction
    stack: Stack | None

    @property
    def imbalance(self) -> Fraction:
        return out_of_balance(self.bar_side, self.arbor + self.laid, self.purchase)


def balance_of(given: Given) -> Balance:
    """As it stands, if a weight is laid in; else with the bricks chosen; else exact."""
    purchase = 2 if given["purchase"] == DOUBLE else 1
    bar_side = given["bar"] + given["fittings"] + given["load"]
    needed = counterweight_needed(bar_side, given["arbor"], purchase)
    stack = _stack(given, needed)
    laid = given.get("laid")
    if laid is None:
        laid = stack.weight if stack else max(needed, Fraction(0))
    return Balance(purchase, bar_side, needed, laid, given["arbor"], stack)


def _stack(given: Given, needed: Fraction) -> Stack | None:
    if "sizes" not in given:
        return None
    sizes = tuple(BrickSize(weight, thickness) for weight, thickness in given["sizes"])
    if len(sizes) > MOST_SIZES:
        raise BadValue("sizes", f"Type {MOST_SIZES} sizes at most.")
    counts = choose_bricks(needed, sizes)
    if counts is None:
        raise BadValue("sizes", f"More than {MOST_BRICKS} of these bricks would be needed.")
    return Stack(sizes, counts)


def shift_of(given: Given, purchase: int) -> Fraction | None:
    """The trim shift; None where lines, their weight or the travel are not known."""
    if any(slug not in given for slug in ("lines", "line", "travel")):
        return None
    return trim_shift(given["lines"], given["line"], given["travel"], purchase)


def runaway_without_load(given: Given, balance: Balance) -> Runaway | None:
    """The load taken off while the weights are in: the usual runaway."""
    if "travel" not in given:
        return None
    bare, weights = given["bar"] + given["fittings"], balance.arbor + balance.laid
    return runaway(bare, weights, given["travel"], balance.purchase, GRAVITY)
