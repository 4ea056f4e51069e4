"""What loft, head and mule blocks feel, and the steel above them. Pure."""

from __future__ import annotations

import math
from fractions import Fraction

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
from rigging.calculators.drawing import Arrow, Disc, Drawing, Mark, Stroke, Words
from rigging.calculators.loads.block_force import BlockForce, block_force, dead_end_load
from rigging.calculators.loads.stopping import IMPACT_ON_HEAD_BEAMS
from rigging.calculators.showing import both_habits, quantity_text

FACTORS = Source("Block load angle factors", "as stored", "90°: 1.41")
STATICS = Source("Statics of the dead end", "", "one more T a line", "from memory")
STATE_CODE = Source(
    "A state's building code", "year not shown in the copy", "section 1607: 25 % impact on loft "
    "and head block beams", "document",
)  # fmt: skip
ARITHMETIC = Source("Own arithmetic, 2·T·sin(wrap ÷ 2)", "", "", "own arithmetic")
DOUBLE = "double"
HALF_TURN = Bounds("Type an angle from 0 to 180°.", least=0, most=180)
WHOLE_LINES = Bounds("Type from 1 to 40 lines.", least=1, most=40)
ASSUMPTIONS = (
    "Every line pulls the same and turns by the same angle; take the heaviest line.",
    "Incoming lines run level, so that what is across them is down.",
)
LIMITS = (
    "At rest, without friction in the block.",
    "The design of the steel belongs to an engineer; codes add impact differently.",
)


def compute(given: Given) -> Answer:
    tension, lines, wrap = given["tension"], given["lines"], given["wrap"]
    purchase = 2 if given["purchase"] == DOUBLE else 1
    one, whole = block_force(tension, wrap), block_force(tension * lines, wrap)
    dead = dead_end_load(tension, lines, purchase)
    # The dead ends hang straight down beside the running lines.
    down = whole.across + float(dead)
    steel = (whole.along**2 + down**2) ** 0.5
    impact = float(IMPACT_ON_HEAD_BEAMS) * steel
    return Answer(
        figures=(
            Figure("one", "On a block with one line", one.resultant, "kN", Rounding.UP),
            Figure("all", "On a block with all lines", whole.resultant, "kN", Rounding.UP),
            Figure("along", "Of that, along the incoming lines", whole.along, "kN", Rounding.UP),
            Figure("across", "Of that, across them", whole.across, "kN", Rounding.NEAREST),
            Figure("dead_ends", "Dead ends beside it", dead, "kN", Rounding.UP),
            Figure("steel", "On the head steel, dead ends included", steel, "kN", Rounding.UP),
            Figure("impact", "The same with 25 % for impact", impact, "kN", Rounding.UP),
        ),
        working=(
            f"block = 2 × T × sin(wrap ÷ 2) = 2 × {given.words('tension')} × "
            f"sin({given.words('wrap')} ÷ 2) = {both_habits(one.resultant, 'kN')}",
            f"all lines = {int(lines)} × {quantity_text(one.resultant, 'kN')}",
            f"dead ends = {quantity_text(dead, 'kN')}: "
            + ("one more T a line" if purchase == 2 else "none in single purchase"),
        ),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
        diagram=_drawing(float(wrap), one),
    )


def _drawing(wrap: float, force: BlockForce) -> Drawing:
    """The line comes in level from the left over the block; the arrow is what the block feels."""
    turn = math.radians(wrap)
    x, y, radius, run = 170.0, 80.0, 26.0, 80.0
    leaves = (x + radius * math.sin(turn), y - radius * math.cos(turn))
    far = (leaves[0] + run * math.cos(turn), leaves[1] + run * math.sin(turn))
    told = (
        f"A line turns by {wrap:g} degrees; the block feels {both_habits(force.resultant, 'kN')}."
    )
    marks: list[Mark] = [
        Disc(x, y, radius, "steel"),
        Stroke(((40, y - radius), (x, y - radius)), "rope"),
        Stroke((leaves, far), "rope"),
    ]
    size = math.hypot(force.along, force.across)
    if size:
        length = 40 + 50 * math.sin(turn / 2)
        end = (x - length * force.along / size, y + length * force.across / size)
        marks.append(Arrow(x, y, *end, "load"))
        marks.append(Words(max(end[0], 60), end[1] + 18, "on the block", look="load"))
    return Drawing("Load on a block", told, tuple(marks), 400, 200)


CALCULATOR = Calculator(
    slug="block-loads",
    title="Loads on loft and head blocks",
    family="Loads",
    purpose="What a block and its steel feel from the lines that turn over it.",
    inputs=(
        Input("tension", "Pull in one line", "load", "200 lbf, 0.9 kN", bounds=ABOVE_ZERO),
        Input(
            "wrap", "Change of direction", "angle", "90° at a loft block, 30° at a mule",
            default="90 deg", bounds=HALF_TURN,
        ),
        Input("lines", "Lines over the block", "count", "5", default="1", bounds=WHOLE_LINES),
        Input(
            "purchase", "Purchase", "choice", default="single",
            choices=(("single", "Single purchase"), (DOUBLE, "Double purchase")),
        ),
    ),
    compute=compute,
    sources=(FACTORS, STATICS, STATE_CODE),
    examples=(
        Example(
            "Loft block, 90°", {"tension": "200 lb", "wrap": "90 deg"}, FACTORS,
            ExampleClass.PRINTED, {"one": "282 lb"}, within=Fraction(1, 141),
            note="Printed as a factor of 1.41 with two places.",
        ),
        Example(
            "Head block with five lines of 200 lb",
            {"tension": "200 lb", "wrap": "90 deg", "lines": "5"}, ARITHMETIC,
            ExampleClass.OWN_OUTPUT,
            {"all": "1414.2 lb", "along": "1000 lb", "across": "1000 lb", "dead_ends": "0 lb"},
        ),
        Example(
            "The same in double purchase",
            {"tension": "200 lb", "wrap": "90 deg", "lines": "5", "purchase": DOUBLE}, STATICS,
            ExampleClass.FROM_MEMORY, {"dead_ends": "1000 lb", "along": "1000 lb"},
        ),
        Example(
            "Mule block, 30°", {"tension": "200 lb", "wrap": "30 deg"}, ARITHMETIC,
            ExampleClass.OWN_OUTPUT, {"one": "103.5 lb"},
        ),
        Example(
            "Impact on a head beam, 1000 lb",
            {"tension": "500 lb", "wrap": "180 deg"}, STATE_CODE, ExampleClass.PRINTED,
            {"steel": "1000 lb", "impact": "1250 lb"}, note="25 % of the load, as printed.",
        ),
    ),
)  # fmt: skip
