"""What stopping and starting add to a load. Pure."""

from __future__ import annotations

from fractions import Fraction

GRAVITY = Fraction(980_665, 100_000)
# Building code of one US state (section 1607, rigging loads): battens 75 %, head beams 25 %.
IMPACT_ON_BATTENS = Fraction(175, 100)
IMPACT_ON_HEAD_BEAMS = Fraction(125, 100)


def deceleration_in_time(speed: Fraction, time: Fraction) -> Fraction:
    """Mean deceleration of a stop within a time: `v ÷ t`. SI.

    Limits: even braking; a brake that bites at the end peaks higher. Source: mechanics.

    >>> deceleration_in_time(Fraction(12, 10), Fraction(1, 4))
    Fraction(24, 5)
    """
    return Fraction(speed) / time


def deceleration_in_distance(speed: Fraction, distance: Fraction) -> Fraction:
    """Mean deceleration of a stop within a distance: `v² ÷ (2·s)`. SI.

    Limits: as above. Source: mechanics.

    >>> deceleration_in_distance(Fraction(6, 10), Fraction(1, 20))
    Fraction(18, 5)
    """
    return Fraction(speed) ** 2 / (2 * distance)


def dynamic_factor(acceleration: Fraction, gravity: Fraction = GRAVITY) -> Fraction:
    """Greatest line load over the load at rest: `1 + a ÷ g`.

    For a stop on the way down or a start on the way up. Limits: stiff ropes, no bounce; a rope
    that stretches may swing to about twice the added part. Source: mechanics, from memory.

    >>> round(float(dynamic_factor(Fraction(24, 5))), 2)
    1.49
    """
    return 1 + Fraction(acceleration) / gravity


def lightest_factor(acceleration: Fraction, gravity: Fraction = GRAVITY) -> Fraction:
    """Least line load over the load at rest, in a stop on the way up: `1 − a ÷ g`, zero at least.

    Zero: the load is thrown, the rope goes slack and catches it again. Source: mechanics.

    >>> lightest_factor(Fraction(20))
    Fraction(0, 1)
    """
    return max(Fraction(0), 1 - Fraction(acceleration) / gravity)
