"""Fleet angle: how far the rope runs off square to its drum or block. Pure."""

from __future__ import annotations

import math
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    NOT_BELOW_ZERO,
    WITHIN,
    Answer,
    Calculator,
    Check,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Rounding,
    Source,
)
from rigging.calculators.drawing import Arrow, Box, Disc, Drawing, Stroke, Words
from rigging.calculators.showing import quantity_text

GERMAN_WINCHES = Source("DGUV Vorschrift 54, Durchführungsanweisung", "as in force", "to § 20")
USERS_MANUAL = Source("Wire rope users' text on fleet angle", "", "", "two documents")
WINCH_TABLE = Source("Winch rope selection table", "", "fleet angle", "two documents")
LOADERS = Source("Machine maker's question page on fleet angle", "July 2002", "", "maker's manual")
ARITHMETIC = Source("Own arithmetic", "", "fleet angle of 75 mm in 3 m", "own arithmetic")
# Greatest angle in degrees, by what the rope runs on.
LIMITS = {
    "smooth": ("Smooth drum", Fraction(3, 2), USERS_MANUAL),
    "grooved": ("Grooved drum", Fraction(2), USERS_MANUAL),
    "general": ("Any winch drum, outer limit", Fraction(4), GERMAN_WINCHES),
}


def fleet_angle(offset: Fraction, distance: Fraction) -> float:
    """Fleet angle in degrees: `atan(offset / distance)`.

    `offset`: sideways from the line square to the drum through the block to where the rope leaves
    the drum at its furthest; `distance`: from the block to the drum; one unit for both. Valid for
    a rope that runs straight between the two. Geometry.

    >>> round(fleet_angle(Fraction(75), Fraction(3000)), 2)
    1.43
    """
    return math.degrees(math.atan2(offset, distance))


def compute(given: Given) -> Answer:
    offset, distance = given["offset"], given["distance"]
    angle = fleet_angle(offset, distance)
    words, limit, source = LIMITS[given["drum"]]
    shown = quantity_text(angle, "deg", 3, Rounding.UP)
    least = float(offset) / math.tan(math.radians(float(limit)))
    state = WITHIN if angle <= limit else BEYOND
    return Answer(
        figures=(
            Figure("angle", "Fleet angle", angle, "deg", Rounding.UP, 3),
            Figure("least_distance", "Least distance for that limit", least, "m", Rounding.UP, 3),
        ),
        checks=(
            Check("limit", words, state, f"{shown} against {float(limit):g}° at most.", source),
        ),
        working=(
            f"fleet angle = atan(offset ÷ distance) = atan({given.words('offset')} ÷ "
            f"{given.words('distance')}) = {shown}",
        ),
        assumptions=("The offset is the greatest: the rope at the far end of the drum.",),
        limits=(
            "Below about 0.5° the rope may pile up on the drum instead of winding evenly.",
            "Rotation-resistant rope wants 1.5° or less.",
        ),
        diagram=_drawing(angle, shown, state),
    )


def _drawing(angle: float, shown: str, state: str) -> Drawing:
    run = 260 * math.tan(math.radians(min(angle, 18)))
    look = "bad" if state == BEYOND else "rope"
    return Drawing(
        "Fleet angle",
        f"A rope runs from a block to the far end of a drum, {shown} off square.",
        (
            Disc(50, 100, 18), Box(310, 15, 30, 170),
            Stroke(((50, 100), (310, 100)), "measure"),
            Stroke(((50, 100), (310, 100 - run)), look),
            Arrow(325, 100, 325, 100 - run, "measure"),
            Words(150, 92 - run / 4, shown),
        ),
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="fleet-angle",
    title="Fleet angle",
    family="Ropes",
    purpose="How far a rope runs off square to its drum, against the limit for that drum.",
    inputs=(
        Input(
            "offset", "Offset of the rope at the far end of the drum", "length", "75 mm, 3 in",
            bounds=NOT_BELOW_ZERO,
        ),
        Input(
            "distance", "Distance from the drum to the block", "length", "3 m, 12' 6\"",
            bounds=ABOVE_ZERO,
        ),
        Input(
            "drum", "What the rope winds on", "choice",
            choices=tuple((slug, words) for slug, (words, _, _) in LIMITS.items()),
        ),
    ),
    compute=compute,
    sources=(GERMAN_WINCHES, USERS_MANUAL, WINCH_TABLE),
    examples=(
        Example(
            "75 mm in 3 m", {"offset": "75 mm", "distance": "3 m", "drum": "smooth"},
            ARITHMETIC, ExampleClass.OWN_OUTPUT, {"angle": "1.43 deg"}, {"limit": WITHIN},
        ),
        Example(
            "Distance for 2° from a drum of 20 in",
            {"offset": "10 in", "distance": "24 ft", "drum": "grooved"}, LOADERS,
            ExampleClass.WORKED_EXAMPLE, {"least_distance": "24 ft"}, {"limit": WITHIN},
            note="The same page prints 30 ft for 1.5° where 31.8 ft is exact: the unsafe side.",
        ),
        Example(
            "Distance for 1.5° with 20 in to one side",
            {"offset": "20 in", "distance": "63 ft", "drum": "smooth"}, WINCH_TABLE,
            ExampleClass.WORKED_EXAMPLE, {"least_distance": "63 ft"}, {"limit": BEYOND},
            within=Fraction(1, 90),
            note="Printed with a factor of 38 ft a foot and 1.66 ft; exact is 63.6 ft, so the "
            "printed distance is a little short.",
        ),
    ),
)  # fmt: skip
