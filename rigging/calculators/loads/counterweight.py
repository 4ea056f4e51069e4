"""The balance of a counterweight set: weight on the bar against weight in the arbor. Pure.

All weights in one unit. `purchase` is 1 (arbor travels as far as the bar) or 2 (half as far, so
the arbor weighs twice as much). Positive is bar heavy everywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

PURCHASES = (1, 2)
# What a rope lock may hold, in pounds of imbalance: three public pages, three figures.
PUBLISHED_LOCK_LIMITS = (Fraction(40), Fraction(50), Fraction(75))


def counterweight_needed(bar_side: Fraction, bare_arbor: Fraction, purchase: int) -> Fraction:
    """Weight to lay into the arbor for balance: `purchase × bar side − bare arbor`.

    `bar_side`: bar, its fittings and what hangs on it; any one unit of weight. A negative result
    means that the bare arbor is already too heavy for this bar.
    Limits: at the trim where the weights were taken; the lines' own weight is in `trim_shift`.
    Source: statics; 1:1 and 2:1 as a trade forum after Glerum, Stage Rigging Handbook.

    >>> counterweight_needed(Fraction(780), Fraction(120), 1)
    Fraction(660, 1)
    >>> counterweight_needed(Fraction(780), Fraction(180), 2)
    Fraction(1380, 1)
    """
    _check(purchase)
    return purchase * Fraction(bar_side) - bare_arbor


def out_of_balance(bar_side: Fraction, arbor_side: Fraction, purchase: int) -> Fraction:
    """Imbalance at the bar: `bar side − arbor side ÷ purchase`; positive is bar heavy.

    `arbor_side`: bare arbor and its weights. Same unit as given.
    Limits: at rest, without friction. Source: statics; double purchase as above.

    >>> out_of_balance(Fraction(780), Fraction(740), 1)
    Fraction(40, 1)
    >>> out_of_balance(Fraction(780), Fraction(1535), 2)
    Fraction(25, 2)
    """
    _check(purchase)
    return Fraction(bar_side) - Fraction(arbor_side) / purchase


def trim_shift(lines: int, line_rate: Fraction, travel: Fraction, purchase: int) -> Fraction:
    """Change of the imbalance at the bar from low to high trim: `k × n × w × travel`.

    k = 2 for single purchase: what leaves the bar side joins the arbor side. k = 3/2 for double
    purchase: the arbor travels half as far and hangs in two parts, which by virtual work gives
    1 from the bar side and 1/2 from the arbor side. `line_rate`: weight per length of one line;
    `travel`: of the bar. The set is most bar heavy at low trim.
    Limits: no compensating chain; the hand line, an endless loop, cancels itself.
    Source: own arithmetic (virtual work on what leaves one side and joins the other).

    >>> trim_shift(5, Fraction(11, 100), Fraction(60), 1)
    Fraction(66, 1)
    """
    _check(purchase)
    moved = Fraction(lines) * line_rate * travel
    return 2 * moved if purchase == 1 else Fraction(3, 2) * moved


@dataclass(frozen=True)
class BalanceOverTravel:
    """Imbalance at the bar, positive bar heavy, at low and at high trim."""

    low: Fraction
    high: Fraction

    @property
    def bar_heavy(self) -> Fraction:
        return max(self.low, self.high, Fraction(0))

    @property
    def arbor_heavy(self) -> Fraction:
        return max(-self.low, -self.high, Fraction(0))

    @property
    def worst(self) -> Fraction:
        return max(self.bar_heavy, self.arbor_heavy)


def balance_over_travel(imbalance_at_low: Fraction, shift: Fraction) -> BalanceOverTravel:
    """Imbalance at both ends of travel from the one at low trim: `high = low − shift`.

    Units and signs as `out_of_balance` and `trim_shift`. Source: own arithmetic.

    >>> balance_over_travel(Fraction(33), Fraction(66)).high
    Fraction(-33, 1)
    """
    return BalanceOverTravel(Fraction(imbalance_at_low), Fraction(imbalance_at_low) - shift)


AT_LOW, IN_MIDDLE, AT_HIGH = "low", "middle", "high"


def imbalance_at_low(imbalance: Fraction, shift: Fraction, balanced: str) -> Fraction:
    """Imbalance at low trim from that of the weights alone and where the lines balance out.

    `balanced`: the trim at which the two sides' own lines weigh the same; "middle" for weights
    taken one by one. Units as `out_of_balance`. Limits: the middle is exact for single purchase
    with the arbor at the top when the bar is in; else it is near. Source: own arithmetic.

    >>> imbalance_at_low(Fraction(0), Fraction(66), IN_MIDDLE)
    Fraction(33, 1)
    """
    share = {AT_LOW: Fraction(0), IN_MIDDLE: Fraction(1, 2), AT_HIGH: Fraction(1)}[balanced]
    return Fraction(imbalance) + share * shift


def lock_may_hold(
    balance: BalanceOverTravel, limit: Fraction | None, purchase: int = 1
) -> bool | None:
    """Whether the rope lock may be left holding the set; None: cannot be decided, no limit known.

    Compares the greater of both directions with the limit, as it stands at the arbor: times the
    purchase, the harder reading, since sources do not say at which rope the figure is meant.
    Limits: a rope lock holds a balanced set from drifting; it is no brake and no hand on the line
    is replaced by it. The limit is the maker's or the house's: public pages print 40, 50 and
    75 lb.

    >>> lock_may_hold(balance_over_travel(Fraction(33), Fraction(66)), Fraction(40))
    True
    >>> lock_may_hold(balance_over_travel(Fraction(33), Fraction(66)), None) is None
    True
    """
    return None if limit is None else balance.worst * purchase <= limit


@dataclass(frozen=True)
class Runaway:
    """`acceleration` of the bar, its `speed` after the travel and the `seconds` until then."""

    acceleration: float
    speed: float
    seconds: float


def runaway(
    bar_side: Fraction,
    arbor_side: Fraction,
    travel: Fraction,
    purchase: int,
    gravity: Fraction,
) -> Runaway | None:
    """What a set let go does over its travel; None if it is in balance.

    Formula: `a = g × (B − A ÷ p) ÷ (B + A ÷ p²)`, `v = √(2·a·s)`, `t = √(2·s ÷ a)`, for the bar;
    B and A are the weights of the two sides, p the purchase. Units: those of `gravity` and
    `travel`. Friction and the mass of ropes and blocks are left out: the real set is slower.
    Source: mechanics (Atwood's machine).

    >>> fallen = runaway(Fraction(1200), Fraction(1000), Fraction(60), 1, Fraction(32174, 1000))
    >>> round(fallen.acceleration, 2), round(fallen.speed, 1), round(fallen.seconds, 1)
    (2.92, 18.7, 6.4)
    """
    _check(purchase)
    driving = abs(out_of_balance(bar_side, arbor_side, purchase))
    moved = Fraction(bar_side) + Fraction(arbor_side) / purchase**2
    if not driving or not moved or travel <= 0:
        return None
    acceleration = gravity * driving / moved
    return Runaway(
        float(acceleration),
        math.sqrt(2 * acceleration * travel),
        math.sqrt(2 * travel / acceleration),
    )


def _check(purchase: int) -> None:
    if purchase not in PURCHASES:
        raise ValueError("A set is single purchase (1) or double purchase (2).")
