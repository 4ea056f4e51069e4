"""What a counterweight brick weighs by its measurements. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    BadValue,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Rounding,
    Source,
)
from rigging.calculators.loads.bricks import brick_weight
from rigging.calculators.showing import both_habits

GEOMETRY = Source("Geometry", "", "", "own arithmetic")
# kg per cubic metre. None of the three was found in a document: weigh one brick.
MATERIALS = {
    "steel": ("Steel, 7850 kg/m³", Fraction(7850)),
    "iron": ("Cast iron, 7200 kg/m³", Fraction(7200)),
    "lead": ("Lead, 11340 kg/m³", Fraction(11340)),
}
DENSITIES = Source("Densities of steel, cast iron and lead", "", "", "from memory")


def compute(given: Given) -> Answer:
    words, density = MATERIALS[given["material"]]
    slots = given.get("slots", ())
    if any(a > given["length"] or b > given["width"] for a, b in slots):
        raise BadValue("slots", "A slot is longer than the brick.")
    try:
        mass = brick_weight(given["length"], given["width"], given["thickness"], density, slots)
    except ValueError as fault:
        raise BadValue("slots", str(fault)) from fault
    cut = f" − slots {given.words('slots')}" if slots else ""
    return Answer(
        figures=(Figure("mass", "Weight of a brick", mass, "kg", Rounding.NEAREST),),
        working=(
            f"weight = (length × width − slots) × thickness × density = "
            f"({given.words('length')} × {given.words('width')}{cut}) × "
            f"{given.words('thickness')} × {words} = {both_habits(mass, 'kg')}",
        ),
        assumptions=("Square corners, solid, clean.",),
        limits=(
            "Densities are from memory. Weigh a brick of each kind and mark it: cast bricks, "
            "paint and rust differ by some per cent.",
        ),
        warnings=("Two kinds of brick that look alike are the usual wrong balance: mark them.",),
    )


CALCULATOR = Calculator(
    slug="brick-weight",
    title="Weight of a brick",
    family="Counterweight",
    purpose="What a counterweight brick weighs, from its measurements.",
    inputs=(
        Input("length", "Length", "length", "16 in, 400 mm", bounds=ABOVE_ZERO),
        Input("width", "Width", "length", "6 in, 150 mm", bounds=ABOVE_ZERO),
        Input("thickness", "Thickness", "length", "1 in, 25 mm", bounds=ABOVE_ZERO),
        Input(
            "slots", "Slots for the rods, width by depth", ("length", "length"),
            "1 1/2 in by 1 1/4 in; the other one", optional=True, many=True, bounds=ABOVE_ZERO,
        ),
        Input(
            "material", "Material", "choice", default="steel",
            choices=tuple((slug, words) for slug, (words, _) in MATERIALS.items()),
        ),
    ),
    compute=compute,
    sources=(GEOMETRY, DENSITIES),
    examples=(
        Example(
            "16 × 6 × 1 in with two slots",
            {
                "length": "16 in", "width": "6 in", "thickness": "1 in",
                "slots": "1.5 in by 1.25 in; 1.5 in by 1.25 in",
            },
            DENSITIES, ExampleClass.FROM_MEMORY, {"mass": "26.16 lb"},
        ),
        Example(
            "0.40 × 0.15 × 0.025 m",
            {"length": "0.40 m", "width": "0.15 m", "thickness": "0.025 m"},
            DENSITIES, ExampleClass.FROM_MEMORY, {"mass": "11.775 kg"},
        ),
    ),
)  # fmt: skip
