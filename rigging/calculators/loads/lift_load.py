"""Lift platforms and test loads. Pure."""

from __future__ import annotations

from fractions import Fraction

# Greatest rating for a load that was lifted: 29 CFR 1910.179(k)(2) as interpreted.
RATING_OF_TEST = Fraction(8, 10)
USUAL_TEST = Fraction(125, 100)


def platform_load(area: Fraction, pressure: Fraction) -> Fraction:
    """Load that a platform takes where it is spread evenly: `A × p`.

    Once with the pressure for moving, once with the one for standing on its locks. Any units that
    fit. Limits: spread evenly; wheels, pianos and people at one edge need the point and edge
    figures of the maker. Source: geometry, common practice; the pressures are the maker's.

    >>> platform_load(Fraction(36), Fraction(5))
    Fraction(180, 1)
    """
    return Fraction(area) * pressure


def load_for_test(rated: Fraction, share: Fraction = USUAL_TEST) -> Fraction:
    """Load for a test of a rated machine: `rated × share`, 125 % unless told otherwise.

    Any unit. Limits: 125 % is the upper bound of 29 CFR 1910.179(k)(2), not a yearly duty;
    winches 100 to 125 % by ASME B30.7. Only the maker and a competent person set a test load.

    >>> load_for_test(Fraction(90))
    Fraction(225, 2)
    """
    return Fraction(rated) * share


def greatest_rating(tested: Fraction) -> Fraction:
    """Greatest rated load for the load that a test carried: `0.8 × test load`.

    Any unit. Limits: a crane rule, used for want of one for the stage; never above the maker's
    rating. Source: OSHA interpretation of 29 CFR 1910.179(k)(2), 3 January 1989.

    >>> greatest_rating(Fraction(1250))
    Fraction(1000, 1)
    """
    return Fraction(tested) * RATING_OF_TEST
