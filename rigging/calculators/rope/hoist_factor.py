"""Design factor of a personnel hoist's rope by its speed. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Rounding,
)
from rigging.calculators.rope.tables import Row, rows, sources

SOURCE = sources()["cfr-1926-552"]


def row_for_speed(speed: Fraction) -> Row | None:
    """The printed row at or next above a speed in m/s: the safe side. None above the table.

    Source: 29 CFR 1926.552(c)(14)(iii) as adopted in WAC 296-155-77105.

    >>> row_for_speed(Fraction(1524, 1000))["factor"]
    '9.20'
    """
    return next(
        (row for row in rows("hoist_factors") if row.quantity("speed", "speed") >= speed), None
    )


def compute(given: Given) -> Answer:
    row = row_for_speed(given["speed"])
    if row is None:
        fastest = rows("hoist_factors")[-1]["speed"]
        return Answer(cannot=(Missing("The least factor", f"a row above {fastest}"),))
    return Answer(
        figures=(Figure("factor", "Least design factor", row.number("factor"), "1", Rounding.UP),),
        working=(
            f"{given.words('speed')}: the printed row at or next above it is {row['speed']}, "
            f"factor {row['factor']}",
        ),
        assumptions=("The speed is the greatest that the rope runs at.",),
        limits=("Personnel hoists on construction sites; it is shown here for comparison only.",),
    )


CALCULATOR = Calculator(
    slug="hoist-factor",
    title="Design factor by rope speed",
    family="Ropes",
    purpose="The least design factor of a personnel hoist's rope at its speed.",
    inputs=(Input("speed", "Rope speed", "speed", "300 ft/min, 1.5 m/s", bounds=ABOVE_ZERO),),
    compute=compute,
    sources=(SOURCE,),
    # Written out once more from the document, so that a slip in the table is found.
    examples=tuple(
        Example(
            f"Factor at {speed} ft/min", {"speed": f"{speed} ft/min"}, SOURCE,
            ExampleClass.PRINTED, {"factor": factor},
        )
        for speed, factor in (
            ("50", "7.60"), ("75", "7.75"), ("100", "7.95"), ("125", "8.10"), ("150", "8.25"),
            ("175", "8.40"), ("200", "8.60"), ("225", "8.75"), ("250", "8.90"), ("300", "9.20"),
            ("350", "9.50"), ("400", "9.75"), ("450", "10.00"), ("500", "10.25"),
            ("550", "10.45"), ("600", "10.70"),
        )
    ),
)  # fmt: skip
