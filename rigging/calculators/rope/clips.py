"""Wire rope clips: how many, how far apart, how much turned back, how tight. Pure."""

from __future__ import annotations

import math
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    UNDECIDED,
    WITHIN,
    Answer,
    Bounds,
    Calculator,
    Check,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Rounding,
    Source,
)
from rigging.calculators.drawing import Arrow, Box, Drawing, Mark, Stroke, Words
from rigging.calculators.rope.tables import Row, rows, sources
from rigging.calculators.showing import both_habits, quantity_text
from venue.quantity_units import INCH

NAVY = Source("US Navy training course 14026", "", "page 1-8: 3D + 1 clips, 6D apart")
SUSPENDED = Source("WAC 296-874-30020", "", "six diameters apart")
STAGE_ENDS = sources()["dguv-17-9"]
EYES = Source("OSHA letter of interpretation", "7 March 1975", "on 29 CFR 1926.251(c)(4) and (5)")
THIMBLE = Source("Guide to thimbles on wire rope", "", "6 d a clip and 2.5 thimbles", "second-hand")
SAME = Fraction(1, 100_000)
USES = {
    "other": ("Another fixed end", None),
    "stage_end": ("End that carries a load in stage machinery", STAGE_ENDS),
    "sling_eye": ("Eye of a sling, bridle or bull wire", EYES),
}


def clips_by_rule(diameter: Fraction) -> int:
    """`3 × D + 1`, rounded up, at least 2; the diameter in inches. Source: US Navy 14026, 1-8.

    >>> clips_by_rule(Fraction(1)), clips_by_rule(Fraction(1, 2)), clips_by_rule(Fraction(3, 8))
    (4, 3, 3)
    """
    return max(2, math.ceil(3 * diameter + 1))


def printed_clips(diameter: Fraction) -> Row | None:
    """The printed row for a nominal diameter in m; the next bigger size where there is none.

    >>> printed_clips(Fraction(127, 10_000))["clips"]
    '3'
    """
    fitting = [row for row in rows("clips") if row.quantity("size", "length") >= diameter - SAME]
    return min(fitting, key=lambda row: row.quantity("size", "length"), default=None)


def compute(given: Given) -> Answer:
    diameter = given["diameter"]
    row, by_rule = printed_clips(diameter), clips_by_rule(diameter / INCH)
    words, forbidden = USES[given["use"]]
    state = BEYOND if forbidden else UNDECIDED
    told = "Clips are not allowed here." if forbidden else (
        "Table H-20 of 29 CFR 1926.251 says where clips may form eyes; it could not be read."
    )  # fmt: skip
    use = Check("use", words, state, told, forbidden or EYES)
    cannot = () if forbidden else (Missing("Whether clips may be used", "the rule for this end"),)
    if row is None:
        missing = Missing(
            "The number of clips", f"a table for rope above {rows('clips')[-1]['size']}"
        )
        return Answer(checks=(use,), cannot=(missing, *cannot))
    number = max(int(row["clips"]), by_rule)
    back = _turn_back(row, diameter, number)
    return Answer(
        figures=_figures(row, diameter, number, back),
        checks=(use, *_made(given, number, diameter)),
        working=_working(given, row, number, by_rule, diameter),
        assumptions=(
            "New rope, a thimble in the eye, clips of forged steel, all of one make.",
            "The saddle sits on the live rope, the U-bolt on the dead end.",
            "Torque for dry, clean threads; tightened again after the first load.",
        ),
        limits=("Clips leave 80 % of the rope's strength at most: see the design factor.",),
        warnings=_warnings(row, diameter, by_rule),
        cannot=cannot,
        diagram=_drawing(number, diameter, back),
    )


def _turn_back(row: Row, diameter: Fraction, number: int) -> Fraction:
    """As printed; with more clips than printed, longer in proportion, as the table asks."""
    return row.quantity("turn-back", "length") * number / int(row["clips"])


def _figures(row: Row, diameter: Fraction, number: int, back: Fraction) -> tuple[Figure, ...]:
    return (
        Figure("clips", "Clips", number, "1", Rounding.UP),
        Figure("printed", "Clips in the printed table", int(row["clips"]), "1", Rounding.UP),
        Figure("by_rule", "Clips by 3 D + 1", clips_by_rule(diameter / INCH), "1", Rounding.UP),
        Figure("spacing", "Apart, at least", 6 * diameter, "mm", Rounding.UP),
        Figure("turn_back", "Turned back from the thimble", back, "mm", Rounding.UP),
        Figure("torque", "Torque", row.quantity("torque", "torque"), "N m", digits=3),
    )


def _made(given: Given, number: int, diameter: Fraction) -> tuple[Check, ...]:
    """What is there, against what is asked; only where it was typed."""
    checks = []
    if "there" in given:
        state = WITHIN if given["there"] >= number else BEYOND
        words = f"{given['there']} clips against {number} at least."
        checks.append(Check("there", "Clips that are there", state, words, NAVY))
    if "apart" in given:
        state = WITHIN if given["apart"] >= 6 * diameter else BEYOND
        words = (
            f"{given.words('apart')} against {quantity_text(6 * diameter, 'mm', 4, Rounding.UP)}."
        )
        checks.append(Check("apart", "Spacing that is there", state, words, SUSPENDED))
    return tuple(checks)


def _working(
    given: Given, row: Row, number: int, by_rule: int, diameter: Fraction
) -> tuple[str, ...]:
    inches = quantity_text(diameter, "in", 4, Rounding.UP)
    return (
        f"printed for {row['size']}: {row['clips']} clips, {row['turn-back']} turned back, "
        f"{row['torque']} [{row.source}]",
        f"3 × D + 1 = 3 × {inches} + 1, rounded up = {by_rule}; the greater number is taken: {number}",
        f"spacing = 6 × d = 6 × {given.words('diameter')} = {both_habits(6 * diameter, 'mm')}",
    )


def _warnings(row: Row, diameter: Fraction, by_rule: int) -> tuple[str, ...]:
    told = []
    if int(row["clips"]) != by_rule:
        told.append(f"Two sources disagree: the table says {row['clips']}, the rule {by_rule}.")
    if row.source.backing == "maker's manual":
        told.append("Not verified: this row is backed by a maker's manual only.")
    if row.quantity("size", "length") > diameter + SAME:
        told.append(f"The table has no such size: the row for {row['size']} is taken.")
    return tuple(told)


def _drawing(number: int, diameter: Fraction, back: Fraction) -> Drawing:
    step = min(40.0, 240 / number)
    live, dead, x = 90.0, 112.0, 110.0
    marks: list[Mark] = [
        Stroke(((380, live), (90, live), (60, 84), (40, 101), (60, 118), (90, dead))),
        Stroke(((90, dead), (x + step * number, dead))),
        *(Box(x + step * place, live - 10, 9, 42) for place in range(number)),
        Arrow(x + step * number, 150, 62, 150, "measure"),
        Words(x, 170, f"turned back {both_habits(back, 'mm', 4, Rounding.UP)}", "start"),
        Words(x, 60, f"{both_habits(6 * diameter, 'mm', 4, Rounding.UP)} apart", "start"),
        Words(380, 84, "live end", "end"),
    ]
    words = f"{number} clips on an eye with a thimble, the saddles on the live rope."
    return Drawing("Clips on an eye", words, tuple(marks))


CALCULATOR = Calculator(
    slug="clips",
    title="Wire rope clips",
    family="Ropes",
    purpose="How many clips, how far apart, how much rope turned back and how tight.",
    inputs=(
        Input("diameter", "Nominal diameter of the rope", "length", "1/4, 6 mm", bounds=ABOVE_ZERO),
        Input(
            "use", "What the end is for", "choice",
            choices=tuple((slug, words) for slug, (words, _) in USES.items()),
        ),
        Input(
            "there", "Clips that are there", "count", "2", optional=True,
            bounds=Bounds("Type from 0 to 40 clips.", least=0, most=40),
        ),
        Input(
            "apart", "Spacing that is there", "length", "40 mm", optional=True, bounds=ABOVE_ZERO
        ),
    ),
    compute=compute,
    sources=(
        sources()["california-8497"], sources()["supplier-clips"], NAVY, SUSPENDED, STAGE_ENDS,
        EYES, THIMBLE,
    ),
    examples=(
        Example(
            "1/2 in by the Navy's rule", {"diameter": "1/2", "use": "other"}, NAVY,
            ExampleClass.WORKED_EXAMPLE, {"clips": "3", "spacing": "3.0 in"},
        ),
        Example(
            "1 in by the Navy's rule", {"diameter": "1 in", "use": "other"}, NAVY,
            ExampleClass.WORKED_EXAMPLE, {"by_rule": "4"},
        ),
        Example(
            "1/2 in: 3 × 6 d and 2.5 thimbles of 1 in", {"diameter": "1/2", "use": "other"},
            THIMBLE, ExampleClass.WORKED_EXAMPLE, {"turn_back": "11.5 in"},
        ),
        *(
            Example(
                f"{size} by the table", {"diameter": size, "use": "other"},
                sources()["california-8497"], ExampleClass.PRINTED,
                {"printed": clips, "torque": f"{torque} lbf ft"},
            )
            for size, clips, torque in (("1/2 in", "3", "65"), ("5/8 in", "3", "95"),
                                        ("3/4 in", "4", "130"), ("1 in", "5", "225"),
                                        ("1 1/8 in", "6", "225"))
        ),
        Example(
            "1 in turned back", {"diameter": "1 in", "use": "other"},
            sources()["california-8497"], ExampleClass.PRINTED, {"turn_back": "26 in"},
        ),
        Example(
            "Not on stage machinery", {"diameter": "1/4", "use": "stage_end", "there": "2"},
            STAGE_ENDS, ExampleClass.PRINTED, {}, {"use": BEYOND},
        ),
    ),
)  # fmt: skip
