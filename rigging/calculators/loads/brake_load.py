"""Torque that a brake must hold. Pure."""

from __future__ import annotations

from fractions import Fraction

# Michigan R 408.10575 (building hoists): each of two brakes holds 125 % of the rated load.
SHARE_TO_HOLD = Fraction(125, 100)


def torque_at_brake(
    load: Fraction, radius: Fraction, ratio: Fraction, share: Fraction = SHARE_TO_HOLD
) -> Fraction:
    """Static torque at the brake's shaft: `share × W × r ÷ i`.

    `load` on the drum in newtons, `radius` in metres to the middle of the rope in its top layer,
    `ratio` turns of the brake for one of the drum; newton metres.
    Limits: at rest; losses of the gear are not counted in favour; a stop from speed needs more.
    Source: statics; 125 %: Michigan R 408.10575, building hoists.

    >>> float(torque_at_brake(Fraction(5000), Fraction(15, 100), Fraction(40)))
    23.4375
    """
    return share * load * radius / ratio
