"""What the balance of a counterweight set asks. Pure."""

from __future__ import annotations

from rigging.calculators.contract import ABOVE_ZERO, NOT_BELOW_ZERO, Input
from rigging.calculators.loads.counterweight import AT_HIGH, AT_LOW, IN_MIDDLE
from rigging.calculators.loads.trim_change import LINES, PURCHASE

INPUTS = (
    PURCHASE,
    Input("bar", "Weight of the bar", "mass", "150 lb, 70 kg", bounds=ABOVE_ZERO),
    Input(
        "fittings", "Fittings on it: clamps, cable, cradle", "mass", "30 lb; 0 kg if none",
        bounds=NOT_BELOW_ZERO,
    ),
    Input("load", "What hangs on it", "mass", "600 lb; 0 kg if bare", bounds=NOT_BELOW_ZERO),
    Input("arbor", "Bare arbor", "mass", "120 lb, 55 kg", bounds=NOT_BELOW_ZERO),
    Input(
        "sizes", "Bricks at hand, weight by thickness", ("mass", "length"),
        "25 lb by 1 in; 12 kg by 25 mm", optional=True, many=True, bounds=ABOVE_ZERO,
    ),
    Input(
        "laid", "Weight laid in now, if it is loaded", "mass", "620 lb", optional=True,
        bounds=NOT_BELOW_ZERO,
    ),
    Input(
        "mark", "Marked capacity of the arbor, bare arbor not counted", "mass", "1200 lb",
        optional=True, bounds=ABOVE_ZERO,
    ),
    Input(
        "lock", "Imbalance the rope lock may hold", "mass", "the maker's figure, 40 lb",
        optional=True, bounds=ABOVE_ZERO,
    ),
    Input("travel", "Travel of the bar", "length", "60 ft, 18 m", optional=True, bounds=ABOVE_ZERO),
    Input("lines", "Lift lines", "count", "5", optional=True, bounds=LINES),
    Input(
        "line", "Weight of one lift line per length", "mass per length", "0.11 lb/ft",
        optional=True, bounds=ABOVE_ZERO,
    ),
    Input(
        "balanced", "Where the lines' own weight balances out", "choice", default=IN_MIDDLE,
        choices=(
            (AT_LOW, "At low trim: balanced there by feel"),
            (IN_MIDDLE, "In the middle: weights taken one by one"),
            (AT_HIGH, "At high trim: balanced there by feel"),
        ),
    ),
)  # fmt: skip
