"""D/d: what a sheave leaves of a rope's strength and life. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    UNDECIDED,
    WITHIN,
    Answer,
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
from rigging.calculators.drawing import Disc, Drawing, Stroke, Words
from rigging.calculators.rope.tables import not_above, rows, slug_of, sources
from rigging.calculators.showing import both_habits, rounded

NOT_FOUND = Source("Handbook figures often quoted for 7x19 cable", "", "", "from memory")
CABLE = "7x19-aircraft-cable"


@dataclass(frozen=True)
class LeastRatio:
    words: str
    least: Fraction | None
    suggested: Fraction | None
    source: Source


LEAST = {
    slug_of(row["construction"]): LeastRatio(
        row["construction"], row.number("least"), row.number("suggested"), row.source
    )
    for row in rows("sheave_ratios")
} | {
    "stage-teaching-rule": LeastRatio(
        "Stage teaching rule, any steel cable", Fraction(30), None, sources()["stage-class"]
    ),
    CABLE: LeastRatio("7x19 cable, as used on stage", None, None, NOT_FOUND),
}


def sheave_ratio(tread: Fraction, rope: Fraction) -> Fraction:
    """`D / d`: tread diameter of the sheave over nominal diameter of the rope, one unit for both.

    >>> sheave_ratio(Fraction(8), Fraction(1, 4))
    Fraction(32, 1)
    """
    return tread / rope


def strength_left(ratio: Fraction) -> Fraction | None:
    """The share of strength left in the bend, from the printed row at or next below the ratio:
    the safe side. None below the table. Limits: a rope at rest in the bend; D/d of 1 and more.
    Source: tackle block makers' table, ends agreed by the Wire Rope Technical Board's text.

    >>> strength_left(Fraction(20)), strength_left(Fraction(29)), strength_left(Fraction(1, 2))
    (Fraction(91, 100), Fraction(91, 100), None)
    """
    row = not_above("bending_strength", "ratio", ratio)
    return row.quantity("strength left", "ratio") if row else None


def compute(given: Given) -> Answer:
    ratio = sheave_ratio(given["tread"], given["diameter"])
    wanted = LEAST[given["rope"]]
    left, life = strength_left(ratio), not_above("bending_life", "ratio", ratio)
    shown = rounded(ratio, 4, Rounding.DOWN)
    figures, cannot = [Figure("ratio", "D/d", ratio, "1", Rounding.DOWN)], []
    if left is not None:
        figures.append(Figure("left", "Strength left in the bend", left, "%", Rounding.DOWN))
    else:
        cannot.append(Missing("The strength left in the bend", "a table for a D/d below 1"))
    if life is not None:
        figures.append(Figure("life", "Bending life, relative", life.number("relative life"), "1"))
    else:
        cannot.append(Missing("The relative bending life", "a table for a D/d below 12"))
    if wanted.least is None:
        cannot.append(Missing("The least D/d", "a document that gives it for this rope"))
    figures += _treads(wanted, given["diameter"])
    return Answer(
        figures=tuple(figures),
        checks=(_check(wanted, ratio, shown),),
        working=(
            f"D/d = {given.words('tread')} ÷ {given.words('diameter')} = {shown}",
            "Between two printed rows the lower one is taken; nothing is made up between them.",
        ),
        assumptions=("D is the diameter of the tread, where the rope lies; d is nominal.",),
        limits=(
            "Strength left: a rope at rest round the sheave, tackle block makers' table.",
            "Bending life: a comparison only (10 at D/d 30), never a number of bends or years.",
            "The maker of the machine and the rope may ask for more.",
        ),
        cannot=tuple(cannot),
        diagram=_drawing(given, shown),
    )


def _treads(wanted: LeastRatio, diameter: Fraction) -> list[Figure]:
    return [
        Figure(slug, label, ratio * diameter, "mm", Rounding.UP)
        for slug, label, ratio in (
            ("least_tread", "Least tread diameter", wanted.least),
            ("suggested_tread", "Suggested tread diameter", wanted.suggested),
        )
        if ratio is not None
    ]


def _check(wanted: LeastRatio, ratio: Fraction, shown: str) -> Check:
    if wanted.least is None:
        words = "No document was found that gives the least D/d for this rope."
        return Check("least", wanted.words, UNDECIDED, words, wanted.source)
    state = WITHIN if ratio >= wanted.least else BEYOND
    words = f"D/d {shown} against {float(wanted.least):g} at least."
    return Check("least", wanted.words, state, words, wanted.source)


def _drawing(given: Given, shown: str) -> Drawing:
    tread, diameter = given["tread"], given["diameter"]
    radius = 70.0
    rope = max(1.5, min(40.0, float(2 * diameter / tread) * radius / 2))
    sizes = f"D {both_habits(tread, 'mm')}, d {both_habits(diameter, 'mm')}"
    return Drawing(
        "Sheave and rope",
        f"A rope over a sheave, to scale: {sizes}, D/d {shown}.",
        (
            Disc(150, 110, radius + 2 * rope, "rope"), Disc(150, 110, radius),
            Stroke(((150 - radius, 110), (150 + radius, 110)), "measure"),
            Words(150, 104, "D"), Words(260, 105, f"D/d = {shown}", "start"),
        ),
        height=230,
    )  # fmt: skip


TABLE, LIFE = sources()["tackle-blocks"], sources()["bending-life"]

CALCULATOR = Calculator(
    slug="sheave-ratio",
    title="Sheave and rope: D/d",
    family="Ropes",
    purpose="The ratio of sheave to rope, what it leaves of strength and life, and the least there is.",
    inputs=(
        Input("tread", "Tread diameter of the sheave, D", "length", "8 in, 200 mm", bounds=ABOVE_ZERO),
        Input("diameter", "Nominal diameter of the rope, d", "length", "1/4, 6 mm", bounds=ABOVE_ZERO),
        Input(
            "rope", "Rope, for the least D/d", "choice",
            choices=tuple((slug, one.words) for slug, one in LEAST.items()),
        ),
    ),
    compute=compute,
    sources=(sources()["wrtb-two"], sources()["wrtb-one"], TABLE, LIFE, sources()["stage-class"]),
    examples=(
        Example(
            "1/2 in rope on a 10 in sheave",
            {"tread": "10 in", "diameter": "1/2", "rope": "6x19-seale"}, TABLE,
            ExampleClass.WORKED_EXAMPLE, {"ratio": "20", "left": "91 %"}, {"least": BEYOND},
        ),
        Example(
            "6x21 of 1/2 in wants a 15 in tread",
            {"tread": "15 in", "diameter": "1/2 in", "rope": "6x21-fw"}, sources()["wrtb-two"],
            ExampleClass.WORKED_EXAMPLE, {"ratio": "30", "least_tread": "15 in"}, {"least": WITHIN},
        ),
        Example(
            "1/4 in cable on an 8 in block",
            {"tread": "8 in", "diameter": "1/4", "rope": "stage-teaching-rule"}, TABLE,
            ExampleClass.PRINTED, {"ratio": "32", "left": "93 %", "life": "10"},
            {"least": WITHIN},
        ),
        *(
            Example(
                f"Strength left at D/d {ratio}",
                {"tread": f"{ratio} in", "diameter": "1 in", "rope": CABLE}, TABLE,
                ExampleClass.PRINTED, {"left": f"{left} %"}, {"least": UNDECIDED},
            )
            for ratio, left in ((40, 95), (30, 93), (20, 91), (15, 89), (10, 86), (8, 83), (6, 79),
                                (4, 75), (2, 65), (1, 50))
        ),
        *(
            Example(
                f"Relative bending life at D/d {ratio}",
                {"tread": f"{ratio} in", "diameter": "1 in", "rope": CABLE}, LIFE,
                ExampleClass.PRINTED, {"life": life},
            )
            for ratio, life in ((30, "10.0"), (25, "6.6"), (20, "3.8"), (18, "2.9"), (16, "2.1"),
                                (14, "1.5"), (12, "1.1"))
        ),
    ),
)  # fmt: skip
