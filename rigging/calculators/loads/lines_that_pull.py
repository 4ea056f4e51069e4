"""The same beam on lines: a line pulls or hangs slack, it never pushes. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.loads.continuous_beam import ZERO, Beam, Load, SolvedBeam, beam_of


class BeamTips(ArithmeticError):
    """Fewer than two lines hold it, or the load stands outside those that do."""


@dataclass(frozen=True)
class HungBeam:
    tensions: tuple[Fraction, ...]
    slack: tuple[int, ...]  # the lines, counted from 0, that carry nothing
    solved: SolvedBeam


def hang_beam(
    lines: Sequence[Fraction],
    loads: Iterable[Load],
    drops: Sequence[Fraction] = (),
    rigidity: Fraction = Fraction(1),
    stretches: Sequence[Fraction] = (),
    cut: Sequence[int] = (),
) -> HungBeam:
    """Tensions of the lines of a batten where each can only pull, exactly.

    Formula: `solve_beam` on the taut lines; a line that would push is let go, one whose end the
    beam would fall below is taken again, until every line is taut and pulls or is slack and lies
    above its end. `drops`: how much longer than level each line is (negative: short); `cut`:
    lines that are gone altogether. Units as `solve_beam`.
    Limits: as `solve_beam`; a jerk when a line goes is not in it. BeamTips if nothing holds.
    Source: own arithmetic on the elastic line.

    >>> from rigging.calculators.loads.continuous_beam import PointLoad
    >>> hung = hang_beam([0, 1, 2], [PointLoad(Fraction(32), Fraction(1, 2))])
    >>> [str(tension) for tension in hung.tensions], hung.slack
    (['16', '16', '0'], (2,))
    """
    return hang(beam_of(lines, loads), drops, rigidity, stretches, cut)


def hang(
    beam: Beam,
    drops: Sequence[Fraction] = (),
    rigidity: Fraction = Fraction(1),
    stretches: Sequence[Fraction] = (),
    cut: Sequence[int] = (),
) -> HungBeam:
    """`hang_beam` for a beam that is hung more than once."""
    count = len(beam.supports)
    sunk = tuple(drops) or (ZERO,) * count
    soft = tuple(stretches) or (ZERO,) * count
    taut = [i for i in range(count) if i not in cut]
    for _ in range(4 * count + 1):
        if len(taut) < 2:
            raise BeamTips("The batten would tip: fewer than two lines hold it.")
        solved = beam.solve(taut, sunk, rigidity, soft)
        least, pushing = min(zip(solved.reactions, taut, strict=True))
        if least < 0:
            taut.remove(pushing)
            continue
        fallen = _furthest_below(solved, sunk, cut)
        if fallen is None:
            return _hung(solved, count)
        taut = sorted([*taut, fallen])
    raise BeamTips("No state was found in which every line pulls or hangs slack.")


def _furthest_below(
    solved: SolvedBeam, sunk: tuple[Fraction, ...], cut: Sequence[int]
) -> int | None:
    count = len(solved.beam.supports)
    free = [i for i in range(count) if i not in solved.holding and i not in cut]
    below = {i: solved.drop_at_support(i) - sunk[i] for i in free}
    worst = max(free, key=lambda i: below[i], default=None)
    return worst if worst is not None and below[worst] > 0 else None


def _hung(solved: SolvedBeam, count: int) -> HungBeam:
    tensions = [ZERO] * count
    for i, reaction in zip(solved.holding, solved.reactions, strict=True):
        tensions[i] = reaction
    slack = tuple(i for i in range(count) if not tensions[i])
    return HungBeam(tuple(tensions), slack, solved)
