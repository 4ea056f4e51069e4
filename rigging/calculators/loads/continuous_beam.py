"""A beam over any number of supports, solved exactly. Pure.

Every figure in one system of units: positions and drops in one length, loads in one force,
`rigidity` (E·I) in that force times that length squared. Down is positive: a load, a drop; a
reaction is positive where the support holds up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

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
    return x - position if x > position else ZERO


@dataclass(frozen=True)
class Beam:
    """A beam before it is solved. What does not depend on which supports hold is kept."""

    supports: tuple[Fraction, ...]
    loads: tuple[Load, ...]

    @cached_property
    def bends(self) -> tuple[Fraction, ...]:
        """What the loads alone add to E·I times the drop at each support."""
        return tuple(sum((load.bend(x) for load in self.loads), ZERO) for x in self.supports)

    @cached_property
    def cubes(self) -> tuple[tuple[Fraction, ...], ...]:
        """And what a force of one at each support takes from it at each support."""
        at = self.supports
        return tuple(tuple(_right_of(x, other) ** 3 / 6 for other in at) for x in at)

    @cached_property
    def equilibrium(self) -> tuple[Fraction, Fraction]:
        loads = sum((load.load for load in self.loads), ZERO)
        return loads, sum((load.moment for load in self.loads), ZERO)

    def solve(
        self,
        holding: Sequence[int],
        drops: Sequence[Fraction],
        rigidity: Fraction,
        stretches: Sequence[Fraction],
    ) -> SolvedBeam:
        """Reactions with only those supports holding; the others are as if they were not there."""
        side = [rigidity * drops[i] - self.bends[i] for i in holding]
        rows = self.rows(holding, rigidity, stretches)
        (found,) = solve(rows, [[*side, *self.equilibrium]])
        return SolvedBeam(self, tuple(holding), rigidity, tuple(found[2:]), found[0], found[1])

    def rows(
        self, holding: Sequence[int], rigidity: Fraction, stretches: Sequence[Fraction]
    ) -> list[list[Fraction]]:
        """Left sides: the drop at each support that holds, then the two of equilibrium."""
        one = Fraction(1)
        rows = []
        for place, i in enumerate(holding):
            bends = [-self.cubes[i][j] for j in holding]
            bends[place] -= rigidity * stretches[i]
            rows.append([one, self.supports[i], *bends])
        rows.append([ZERO, ZERO, *(one for _ in holding)])
        rows.append([ZERO, ZERO, *(self.supports[i] for i in holding)])
        return rows


@dataclass(frozen=True)
class SolvedBeam:
    """`reactions` in the order of the supports that hold."""

    beam: Beam
    holding: tuple[int, ...]
    rigidity: Fraction
    reactions: tuple[Fraction, ...]
    lift: Fraction  # E·I times the drop at position 0 of the line that the free end follows
    tilt: Fraction  # and its slope

    def drop_at(self, x: Fraction) -> Fraction:
        """How far the beam lies below the level of the supports at x, loads and drops included."""
        held = zip(self.holding, self.reactions, strict=True)
        bent = sum((load.bend(x) for load in self.beam.loads), ZERO)
        bent -= sum((PointLoad(r, self.beam.supports[i]).bend(x) for i, r in held), ZERO)
        return (self.lift + self.tilt * x + bent) / self.rigidity

    def drop_at_support(self, i: int) -> Fraction:
        """The same at a support that may not hold, from what is known of it already."""
        held = zip(self.holding, self.reactions, strict=True)
        bent = self.beam.bends[i] - sum((r * self.beam.cubes[i][j] for j, r in held), ZERO)
        return (self.lift + self.tilt * self.beam.supports[i] + bent) / self.rigidity


def beam_of(supports: Sequence[Fraction], loads: Iterable[Load]) -> Beam:
    """A beam from positions of any exact kind."""
    return Beam(tuple(Fraction(position) for position in supports), tuple(loads))


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
    Formulas, table 2.1 (2 to 8 supports) and with two independent programs.

    >>> two_spans = [Fraction(0), Fraction(1), Fraction(2)]
    >>> spread = SpreadLoad(Fraction(1), Fraction(0), Fraction(2))
    >>> [str(reaction) for reaction in solve_beam(two_spans, [spread]).reactions]
    ['3/8', '5/4', '3/8']
    """
    beam = beam_of(supports, loads)
    level = (ZERO,) * len(beam.supports)
    every = range(len(beam.supports))
    return beam.solve(every, tuple(drops) or level, rigidity, tuple(stretches) or level)


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
    beam = beam_of(supports, ())
    count = len(beam.supports)
    sides = [
        [*(rigidity if i == j else ZERO for i in range(count)), ZERO, ZERO] for j in range(count)
    ]
    found = solve(beam.rows(range(count), rigidity, (ZERO,) * count), sides)
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
