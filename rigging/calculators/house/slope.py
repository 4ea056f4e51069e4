"""A slope in degrees, per cent and as one in so many, against the limits of its use. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    NOT_BELOW_ZERO,
    WITHIN,
    Answer,
    BadValue,
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
from rigging.calculators.drawing import Drawing, Stroke, Words
from rigging.calculators.house.steepness import degrees_from_grade, grade_from_degrees

GEOMETRY = Source("Geometry", "", "", "own arithmetic")
SHIP_STAIRS = Source("29 CFR 1910.25", "as adopted in two codes", "(e)", "two documents")
WALKWAYS = Source("EN ISO 14122", "as a maker of walkways gives it", "slope 0 to 20°")
LOW_SLOPE = Source("29 CFR 1910", "trade summary", "low-slope roof: less than 4 in 12")


@dataclass(frozen=True)
class Use:
    words: str
    least: Fraction
    most: Fraction
    source: Source | None


# Limits known only from memory (ramps 1 in 12, standard stairs) are left out.
USES = {
    "none": Use("No limit", Fraction(0), Fraction(90), None),
    "ship_stairs": Use("Ship stairs", Fraction(50), Fraction(70), SHIP_STAIRS),
    "walkway": Use("Walkway of a machine", Fraction(0), Fraction(20), WALKWAYS),
}


def compute(given: Given) -> Answer:
    grade, how = _grade(given)
    if grade is None:
        return Answer(cannot=(Missing("The slope", "rise and run, degrees or per cent", "rise"),))
    degrees = float(given["degrees"]) if "degrees" in given else degrees_from_grade(Fraction(grade))
    figures = [
        Figure("degrees", "Degrees", degrees, "deg", digits=7),
        Figure("percent", "Per cent", grade, "%", digits=7),
    ]
    if grade:
        figures.append(Figure("one_in", "One in", 1 / grade, "1", Rounding.NEAREST, 6))
    return Answer(
        figures=tuple(figures),
        checks=_checks(given, degrees),
        working=(how, f"per cent = 100 × rise ÷ run = {100 * float(grade):.6g} %"),
        assumptions=("Run is measured level, not along the slope.",),
        limits=(
            "Limits differ between codes for the same stair: the code in force where you are rules.",
            "Limits of ramps and of standard stairs are left out: they were not confirmed in a "
            "document.",
        ),
        diagram=_drawing(degrees, float(grade)),
    )


def _grade(given: Given) -> tuple[Fraction | float | None, str]:
    ways = [slug for slug in ("rise", "degrees", "percent") if slug in given]
    if len(ways) > 1:
        raise BadValue(ways[1], "Type rise and run, or degrees, or per cent: one of them.")
    if ways == ["rise"] and "run" in given:
        return given["rise"] / given["run"], (
            f"degrees = atan(rise ÷ run) = atan({given.words('rise')} ÷ {given.words('run')})"
        )
    if ways == ["degrees"]:
        return grade_from_degrees(given["degrees"]), f"grade = tan({given.words('degrees')})"
    if ways == ["percent"]:
        return given["percent"], f"degrees = atan({given.words('percent')})"
    return None, ""


def _checks(given: Given, degrees: float) -> tuple[Check, ...]:
    use = USES[given["use"]]
    if use.source is None:
        return ()
    state = WITHIN if use.least <= degrees <= use.most else BEYOND
    words = f"{degrees:.2f}° against {float(use.least):g}° to {float(use.most):g}°."
    return (Check("limit", use.words, state, words, use.source),)


def _drawing(degrees: float, grade: float) -> Drawing:
    run = 300.0 if grade <= 0.5 else min(300.0, 150 / grade)
    rise = round(run * grade, 1)
    return Drawing(
        "Slope", f"A slope of {degrees:.2f} degrees, {100 * grade:.2f} per cent.",
        (
            Stroke(((40, 170), (40 + run, 170)), "measure"),
            Stroke(((40 + run, 170), (40 + run, 170 - rise)), "measure"),
            Stroke(((40, 170), (40 + run, 170 - rise)), "rope"),
            Words(40 + run / 2, 190, "run"),
            Words(48 + run, 174 - rise / 2, "rise", "start"),
        ),
    )  # fmt: skip


def _own(name: str, typed: dict[str, str], **printed: str) -> Example:
    return Example(name, typed, GEOMETRY, ExampleClass.OWN_OUTPUT, printed)


CALCULATOR = Calculator(
    slug="slope",
    title="Slope",
    family="Access",
    purpose="A slope in degrees, per cent and as one in so many.",
    inputs=(
        Input("rise", "Rise", "length", "1 ft, 300 mm", optional=True, bounds=NOT_BELOW_ZERO),
        Input("run", "Run, level", "length", "12 ft, 3.6 m", optional=True, bounds=ABOVE_ZERO),
        Input(
            "degrees", "Or degrees", "angle", "10°", optional=True,
            bounds=Bounds("Type from 0 to below 90°.", least=0, below=90),
        ),
        Input(
            "percent", "Or per cent", "ratio", "8.3 %", optional=True, bare="%",
            bounds=NOT_BELOW_ZERO,
        ),
        Input(
            "use", "What slopes", "choice", default="none",
            choices=tuple((slug, use.words) for slug, use in USES.items()),
        ),
    ),
    compute=compute,
    sources=(GEOMETRY, SHIP_STAIRS, WALKWAYS),
    examples=(
        _own("1 in 12", {"rise": "1 ft", "run": "12 ft"}, percent="8.333333 %",
             degrees="4.763642 deg", one_in="12.0"),
        _own("1 in 10", {"rise": "1 ft", "run": "10 ft"}, percent="10.0 %",
             degrees="5.710593 deg", one_in="10.0"),
        _own("1 in 20", {"rise": "1 ft", "run": "20 ft"}, percent="5.0 %",
             degrees="2.862405 deg", one_in="20.0"),
        _own("7.5 in 11", {"rise": "7.5 in", "run": "11 in"}, percent="68.18182 %",
             degrees="34.28688 deg", one_in="1.46667"),
        Example("12 in 4", {"rise": "12 in", "run": "4 in", "use": "ship_stairs"}, SHIP_STAIRS,
                ExampleClass.PRINTED, {"degrees": "71.56505 deg", "one_in": "0.333333"},
                {"limit": BEYOND}, note="Printed: 50 to 70°."),
        Example("Ship stairs at 70°", {"degrees": "70 deg", "use": "ship_stairs"}, SHIP_STAIRS,
                ExampleClass.PRINTED, {"percent": "274.74774 %"}, {"limit": WITHIN},
                note="Printed: 50 to 70°."),
        Example("Ship stairs at 50°", {"degrees": "50 deg", "use": "ship_stairs"}, SHIP_STAIRS,
                ExampleClass.PRINTED, {"percent": "119.17536 %"}, {"limit": WITHIN},
                note="Printed: 50 to 70°."),
        Example("Walkway at 20°", {"degrees": "20 deg", "use": "walkway"}, WALKWAYS,
                ExampleClass.PRINTED, {"percent": "36.397023 %"}, {"limit": WITHIN},
                note="Printed: up to 20°."),
        _own("10°", {"degrees": "10 deg"}, percent="17.632698 %"),
        _own("45°", {"degrees": "45 deg"}, percent="100.0 %"),
        _own("75°", {"degrees": "75 deg"}, percent="373.20508 %"),
        _own("Low-slope roof, 4 in 12", {"rise": "4 in", "run": "12 in"},
             degrees="18.434949 deg"),
    ),
)  # fmt: skip
