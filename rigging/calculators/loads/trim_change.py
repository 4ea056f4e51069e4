"""How the balance of a set changes as its lift lines travel. Pure."""

from __future__ import annotations

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    Bounds,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Rounding,
    Source,
)
from rigging.calculators.loads.counterweight import trim_shift
from rigging.calculators.showing import both_habits

MECHANICS = Source("Own arithmetic: what leaves one side joins the other", "", "", "own arithmetic")
LINE_WEIGHT = Source("Weight of 1/4 in 7x19 line, 0.11 lb/ft", "", "", "from memory")
LINES = Bounds("Type from 1 to 20 lines.", least=1, most=20)
DOUBLE = "double"
PURCHASE = Input(
    "purchase", "Purchase", "choice", default="single",
    choices=(("single", "Single purchase"), (DOUBLE, "Double purchase")),
)  # fmt: skip


def compute(given: Given) -> Answer:
    purchase = 2 if given["purchase"] == DOUBLE else 1
    shift = trim_shift(given["lines"], given["line"], given["travel"], purchase)
    factor = "2" if purchase == 1 else "1.5"
    return Answer(
        figures=(
            Figure("shift", "Change from low to high trim", shift, "kg", Rounding.UP),
            Figure("half", "Out of balance at each end if balanced in the middle", shift / 2, "kg",
                   Rounding.UP),
        ),
        working=(
            f"shift = {factor} × n × w × travel = {factor} × {given.words('lines')} × "
            f"{given.words('line')} × {given.words('travel')} = {both_habits(shift, 'kg')}",
        ),
        assumptions=(
            "Said at the bar. The set is most bar heavy at low trim, most arbor heavy at high.",
            "No compensating chain; the hand line is an endless loop and cancels itself.",
        ),
        limits=(
            "Single purchase: what leaves the bar side joins the arbor side, so twice. Double "
            "purchase: the arbor travels half as far in two parts, so one and a half times.",
        ),
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="trim-shift",
    title="Trim shift of a counterweight set",
    family="Counterweight",
    purpose="How much heavier the bar is at low trim than at high, by its lift lines alone.",
    inputs=(
        Input("lines", "Lift lines", "count", "5", bounds=LINES),
        Input(
            "line", "Weight of one line per length", "mass per length",
            "0.11 lb/ft, 0.16 kg/m: from its data sheet", bounds=ABOVE_ZERO,
        ),
        Input("travel", "Travel of the bar", "length", "60 ft, 18 m", bounds=ABOVE_ZERO),
        PURCHASE,
    ),
    compute=compute,
    sources=(MECHANICS, LINE_WEIGHT),
    examples=(
        Example(
            "Five lines over 60 ft", {"lines": "5", "line": "0.11 lb/ft", "travel": "60 ft"},
            MECHANICS, ExampleClass.OWN_OUTPUT, {"shift": "66 lb", "half": "33 lb"},
        ),
        Example(
            "The same in double purchase",
            {"lines": "5", "line": "0.11 lb/ft", "travel": "60 ft", "purchase": DOUBLE},
            MECHANICS, ExampleClass.OWN_OUTPUT, {"shift": "49.5 lb"},
        ),
    ),
)  # fmt: skip
