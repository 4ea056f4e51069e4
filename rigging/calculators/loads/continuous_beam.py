"""A beam over any number of supports, solved exactly. Pure.

Every figure in one system of units: positions and drops in one length, loads in one force,
`rigidity` (E·I) in that force times that length squared. Down is positive: a load, a drop; a
reaction is positive where the support holds up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.loads.linear_equations import solve

ZERO = Fraction(0)


@dataclass(frozen=True)
class PointLoad:
    load: Fraction
    position: Fraction

    @property
    def moment(self) -> Fraction:
        return self.load * self.position

    def bend(self, x: Fraction) -> Fraction:
        """What this load alone adds to E·I times the drop at x, right of its position."""
        return self.load * _right_of(x, self.position) ** 3 / 6


@dataclass(frozen=True)
class SpreadLoad:
    """`rate` per length, from `start` to `end`."""

    rate: Fraction
    start: Fraction
    end: Fraction

    @property
    def load(self) -> Fraction:
        return self.rate * (self.end - self.start)

    @property
    def moment(self) -> Fraction:
        return self.load * (self.start + self.end) / 2

    def bend(self, x: Fraction) -> Fraction:
        begun = _right_of(x, self.start) ** 4
        return self.rate * (begun - _right_of(x, self.end) ** 4) / 24


Load = PointLoad | SpreadLoad


def _right_of(x: Fraction, position: Fraction) -> Fraction:
    return max(Fraction(x) - position, ZERO)


@dataclass(frozen=True)
class SolvedBeam:
    """`reactions` in the order of `supports`."""

    supports: tuple[Fraction, ...]
    loads: tuple[Load, ...]
    rigidity: Fraction
    reactions: tuple[Fraction, ...]
    lift: Fraction  # E·I times the drop at position 0 of the line that the free end follows
    tilt: Fraction  # and its slope

    def drop_at(self, x: Fraction) -> Fraction:
        """How far the beam lies below the level of the supports at x, loads and drops included."""
        held = zip(self.supports, self.reactions, strict=True)
        bent = sum((load.bend(x) for load in self.loads), ZERO)
        bent -= sum((PointLoad(force, at).bend(x) for at, force in held), ZERO)
        return (self.lift + self.tilt * x + bent) / self.rigidity


def solve_beam(
    supports: Sequence[Fraction],
    loads: Iterable[Load],
    drops: Sequence[Fraction] = (),
    rigidity: Fraction = Fraction(1),
    stretches: Sequence[Fraction] = (),
) -> SolvedBeam:
    """Reactions of a straight beam of one section over n supports, exactly.

    Formula: the elastic line `E·I·y'''' = q`, integrated with brackets that are zero left of
    their load (Macaulay); unknown are the n reactions, the lift and the tilt; equations are
    `y = drop + stretch × reaction` at each support and the two of equilibrium. Loads may stand
    beyond the outer supports. With rigid supports at one level E·I falls out.
    Limits: elastic, small deflections, no shear deformation, one E·I throughout, at least two
    supports; reactions may be negative (a line cannot push: see `lines_that_pull`).
    Source: elastic line of Euler and Bernoulli; compared in the tests with Civil Engineering
    Formulas, table 2.1 (2 to 8 supports) and with an independent program.

    >>> two_spans = [Fraction(0), Fraction(1), Fraction(2)]
    >>> spread = SpreadLoad(Fraction(1), Fraction(0), Fraction(2))
    >>> [str(reaction) for reaction in solve_beam(two_spans, [spread]).reactions]
    ['3/8', '5/4', '3/8']
    """
    at = tuple(Fraction(position) for position in supports)
    carried = tuple(loads)
    sunk = tuple(drops) or (ZERO,) * len(at)
    soft = tuple(stretches) or (ZERO,) * len(at)
    side = [
        rigidity * sunk[i] - sum((load.bend(x) for load in carried), ZERO) for i, x in enumerate(at)
    ]
    total = sum((load.load for load in carried), ZERO)
    moment = sum((load.moment for load in carried), ZERO)
    (found,) = solve(_matrix(at, soft, rigidity), [[*side, total, moment]])
    return SolvedBeam(at, carried, rigidity, tuple(found[2:]), found[0], found[1])


def _matrix(
    at: tuple[Fraction, ...], soft: tuple[Fraction, ...], rigidity: Fraction
) -> list[list[Fraction]]:
    rows = []
    for i, x in enumerate(at):
        bends = [-(_right_of(x, other) ** 3) / 6 for other in at]
        bends[i] -= rigidity * soft[i]
        rows.append([Fraction(1), x, *bends])
    rows.append([ZERO, ZERO, *(Fraction(1) for _ in at)])
    rows.append([ZERO, ZERO, *at])
    return rows


def settlement_sensitivity(
    supports: Sequence[Fraction], rigidity: Fraction = Fraction(1)
) -> tuple[tuple[Fraction, ...], ...]:
    """Change of every reaction for a drop of one at each support: row j is "support j drops by 1".

    Formula: the same equations without loads. Unit: force per length. Every row sums to zero
    (no load is added), the table is symmetric (Maxwell and Betti). Two supports give zeros.
    Limits and source: as `solve_beam`.

    >>> [[str(v) for v in row] for row in settlement_sensitivity([0, 1, 2])][1]
    ['3', '-6', '3']
    """
    at = tuple(Fraction(position) for position in supports)
    count = len(at)
    sides = [
        [*(rigidity if i == j else ZERO for i in range(count)), ZERO, ZERO] for j in range(count)
    ]
    found = solve(_matrix(at, (ZERO,) * count, rigidity), sides)
    return tuple(tuple(column[2:]) for column in found)


def equal_share(total: Fraction, count: int) -> Fraction:
    """Total over number of lines: a shortcut that is wrong for a batten, kept for comparison.

    Formula: W ÷ n. Right only for lines that are kept at equal tension, as by an equaliser.
    Three lines over two equal spans: the middle one carries 62.5 %, not 33.3 %.
    Source: rule of thumb; why it is wrong: Civil Engineering Formulas, table 2.1.

    >>> equal_share(Fraction(528), 5)
    Fraction(528, 5)
    """
    return Fraction(total) / count
