"""What each line of a batten carries, and the blocks above it. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    Answer,
    Bounds,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Rounding,
    Source,
    Table,
)
from rigging.calculators.loads.batten import (
    ASSUMPTIONS,
    ELASTIC_LINE,
    FORMULAS,
    INPUTS,
    LIMITS,
    PIPE_INPUTS,
    Batten,
    batten_of,
    drawing,
    level,
    pipe_rigidity,
)
from rigging.calculators.loads.block_force import block_force
from rigging.calculators.loads.continuous_beam import equal_share, settlement_sensitivity
from rigging.calculators.loads.lines_that_pull import HungBeam
from rigging.calculators.showing import both_habits, quantity_text

HALF_TURN = Bounds("Type an angle from 0 to 180°.", least=0, most=180)
ONE_MILLIMETRE = Fraction(1, 1000)
BLOCK_FACTORS = Source("Block load angle factors", "as stored", "90°: 1.41")
GENERAL_LEG = Source("DGUV Information 215-313", "", "1.4: the heaviest leg sizes every leg")


def compute(given: Given) -> Answer:
    batten = batten_of(given)
    hung = level(batten)
    cut = pipe_rigidity(given)
    tables = [_lines_table(batten, hung, given)]
    if isinstance(cut, Fraction):
        tables.append(_settlement_table(batten, cut))
    worst = max(hung.tensions)
    return Answer(
        figures=_figures(batten, hung, given),
        tables=tuple(tables),
        working=_working(batten, hung),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
        warnings=_warnings(batten, hung),
        cannot=(cut,) if isinstance(cut, Missing) else (),
        diagram=drawing(
            batten, hung,
            f"A batten on {len(batten.lines)} lines; the heaviest carries "
            f"{both_habits(worst, 'kN')} of {both_habits(batten.total, 'kN')}.",
        ),
    )  # fmt: skip


def _figures(batten: Batten, hung: HungBeam, given: Given) -> tuple[Figure, ...]:
    worst, share = max(hung.tensions), equal_share(batten.total, len(batten.lines))
    loft = block_force(worst, given["loft_wrap"]).resultant
    head = block_force(batten.total, given["head_wrap"])
    return (
        Figure("worst", "Heaviest line, for which every line is sized", worst, "kN", Rounding.UP),
        Figure("worst_share", "Its share of the whole", worst / batten.total, "%", digits=4),
        Figure("total", "Whole load on the lines", batten.total, "kN", Rounding.UP),
        Figure("equal", "Equal share, wrong and only to compare", share, "kN"),
        Figure("over_equal", "Heaviest line over equal share", worst / share, "x", Rounding.UP, 3),
        Figure("loft_block", "On the loft block of the heaviest line", loft, "kN", Rounding.UP),
        Figure("head_block", "On the head block, all lines", head.resultant, "kN", Rounding.UP),
        *(
            Figure(f"line_{i + 1}", f"Line {i + 1}", tension, "kN", Rounding.UP)
            for i, tension in enumerate(hung.tensions)
        ),
    )


def _lines_table(batten: Batten, hung: HungBeam, given: Given) -> Table:
    equal = equal_share(batten.total, len(batten.lines))
    rows = tuple(
        (
            str(i + 1),
            both_habits(place, "m"),
            "slack" if i in hung.slack else both_habits(tension, "kN", 4, Rounding.UP),
            f"{100 * float(tension / batten.total):.2f} %",
            f"{float(tension / equal):.2f} ×",
            both_habits(block_force(tension, given["loft_wrap"]).resultant, "kN", 4, Rounding.UP),
        )
        for i, (place, tension) in enumerate(zip(batten.lines, hung.tensions, strict=True))
    )
    heads = ("Line", "Place", "Load", "Share", "Against equal share", "On its loft block")
    return Table("Load of each line", heads, rows)


def _settlement_table(batten: Batten, rigidity: Fraction) -> Table:
    changes = settlement_sensitivity(batten.lines, rigidity)
    count = len(batten.lines)
    rows = tuple(
        (f"Line {j + 1}", *(_signed(-changes[j][i] * ONE_MILLIMETRE) for i in range(count)))
        for j in range(count)
    )
    return Table(
        "How much each load changes if one line is 1 mm short (for 1 mm long the other way)",
        ("1 mm short", *(f"Line {i + 1}" for i in range(count))),
        rows,
    )


def _signed(force: Fraction) -> str:
    return ("+" if force > 0 else "") + quantity_text(force, "N", 3)


def _working(batten: Batten, hung: HungBeam) -> tuple[str, ...]:
    loads = " + ".join(quantity_text(load.load, "kN") for load in batten.loads)
    held = " + ".join(quantity_text(tension, "kN") for tension in hung.tensions)
    return (
        f"whole load = own weight + loads = {loads} = {quantity_text(batten.total, 'kN')}",
        "E·I·y⁗ = q, with y = 0 at every line that pulls, Σ R = Σ W and Σ R·x = Σ W·x, solved "
        f"in exact fractions for {len(batten.lines)} lines",
        f"sum of the lines = {held} = {quantity_text(sum(hung.tensions), 'kN')}",
        "block = 2 × T × sin(wrap ÷ 2)",
    )


def _warnings(batten: Batten, hung: HungBeam) -> tuple[str, ...]:
    said = []
    if hung.slack:
        names = ", ".join(str(i + 1) for i in hung.slack)
        said.append(f"Line {names} hangs slack: the load lifts the batten there.")
    if len(batten.lines) > 2:
        said.append(
            "Never take total ÷ lines for the load of a line: that holds only for lines kept at "
            "equal tension."
        )
    return tuple(said)


FIVE_LINES = {
    "length": "44 ft", "lines": "2 ft; 12 ft; 22 ft; 32 ft; 42 ft", "own": "12 lb/ft",
}  # fmt: skip
HANDBOOK = Source(
    "Handbook of Civil Engineering Calculations", "second edition", "page 1.63, three moments"
)
STAGE_SHEET = Source("Own arithmetic on table 2.1", "", "44 ft batten", "own arithmetic")


def _lines(*printed: str) -> dict[str, str]:
    return {f"line_{i + 1}": text for i, text in enumerate(printed)}


def _even(lines: int, fractions: str, *printed: str) -> Example:
    """Equal spans of 10 ft under 280 lb/ft, for whole numbers: w·l is 2800 lb."""
    places = "; ".join(f"{10 * i} ft" for i in range(lines))
    typed = {"length": f"{10 * (lines - 1)} ft", "lines": places, "own": "280 lb/ft"}
    return Example(
        f"{lines} supports, equal spans, even load", typed, FORMULAS, ExampleClass.PRINTED,
        _lines(*printed), within=Fraction(1, 10**9), note=f"Printed in parts of w·l: {fractions}.",
    )  # fmt: skip


EXAMPLES = (
    _even(3, "3/8, 5/8 + 5/8", "1050 lb", "3500 lb", "1050 lb"),
    _even(4, "4/10, 6/10 + 5/10", "1120 lb", "3080 lb", "3080 lb", "1120 lb"),
    _even(5, "11/28, 17/28 + 15/28, 13/28 twice", "1100 lb", "3200 lb", "2600 lb", "3200 lb"),
    Example(
        "Two unequal spans, even and single loads",
        {
            "length": "25 ft", "lines": "0 ft; 10 ft; 25 ft", "own": "0 lb/ft",
            "loads": "6 kip at 5 ft; 10 kip at 19 ft",
            "spread": "20 kip from 0 ft to 10 ft; 45 kip from 10 ft to 25 ft",
        },
        HANDBOOK, ExampleClass.WORKED_EXAMPLE, _lines("4.98 kip", "52.87 kip", "23.15 kip"),
    ),
    Example(
        "Five lines, 2 ft beyond the outer ones", FIVE_LINES, STAGE_SHEET,
        ExampleClass.OWN_OUTPUT,
        _lines("74.2 lb", "133.0 lb", "113.5 lb", "133.0 lb", "74.2 lb") | {"equal": "105.6 lb"},
    ),
    Example(
        "The same with 200 lb at 27 ft", FIVE_LINES | {"loads": "200 lb at 27 ft"}, STAGE_SHEET,
        ExampleClass.OWN_OUTPUT,
        _lines("78.2 lb", "108.9 lb", "234.9 lb", "246.4 lb", "59.5 lb") | {"equal": "145.6 lb"},
    ),
)  # fmt: skip

CALCULATOR = Calculator(
    slug="line-loads",
    title="Line loads of a batten",
    family="Loads",
    purpose="What each line carries, as a beam over all of them, and what its blocks feel.",
    inputs=(
        *INPUTS,
        Input(
            "loft_wrap", "Change of direction at the loft block", "angle", "90° for level to plumb",
            default="90 deg", bounds=HALF_TURN,
        ),
        Input(
            "head_wrap", "Change of direction at the head block", "angle", "90° for level to plumb",
            default="90 deg", bounds=HALF_TURN,
        ),
        *PIPE_INPUTS,
    ),
    compute=compute,
    sources=(FORMULAS, ELASTIC_LINE, BLOCK_FACTORS, GENERAL_LEG),
    examples=EXAMPLES,
)  # fmt: skip
