"""Slopes said in degrees, per cent and as one in so many. Pure."""

from __future__ import annotations

import math
from fractions import Fraction


def grade_from_degrees(degrees: Fraction) -> float:
    """Rise over run: `tan(angle)`; per cent is a hundred times that, "1 in n" is `1 ÷ grade`.

    Limits: 0 to below 90 degrees; run is level, not along the slope. Source: geometry.

    >>> round(100 * grade_from_degrees(Fraction(10)), 3)
    17.633
    """
    return math.tan(math.radians(degrees))


def degrees_from_grade(grade: Fraction) -> float:
    """Angle from rise over run: `atan(rise ÷ run)`, in degrees. Limits and source as above.

    >>> round(degrees_from_grade(Fraction(1, 12)), 4)
    4.7636
    """
    return math.degrees(math.atan(grade))
