"""How the pull of a winch falls, and its speed rises, with each layer. Pure."""

from __future__ import annotations

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
    Table,
)
from rigging.calculators.rope.drum_capacity import MOST_LAYERS, WINDING
from rigging.calculators.rope.drum_drawing import draw_drum
from rigging.calculators.rope.drums import layer_diameter, layer_pull
from rigging.calculators.showing import both_habits, quantity_text


def compute(given: Given) -> Answer:
    barrel, rope, layer = given["barrel"], given["diameter"], int(given["layer"])
    first = given["first"]
    pull = layer_pull(first, barrel, rope, layer)
    faster = layer_diameter(barrel, rope, layer) / layer_diameter(barrel, rope, 1)
    name = f"layer {layer}"
    return Answer(
        figures=(
            Figure("pull", f"Pull in {name}", pull, "kN", Rounding.DOWN),
            Figure("speed", "Rope speed against the first layer", faster, "x", Rounding.UP),
        ),
        working=(
            f"pull = P1 × (D + d) ÷ (D + (2 × {layer} − 1) × d) = {given.words('first')} × ("
            f"{given.words('barrel')} + {given.words('diameter')}) ÷ ({given.words('barrel')} + "
            f"{2 * layer - 1} × {given.words('diameter')}) = "
            f"{both_habits(pull, 'kN', 4, Rounding.DOWN)}",
        ),
        assumptions=("The torque of the drum is the same in every layer.",),
        limits=(
            "A brake that holds the first layer holds less in the upper ones: the same torque.",
            "Layers right on top of each other; the nameplate of the winch comes first.",
        ),
        tables=(
            Table(
                "Layer by layer", ("Layer", "Pull", "Speed"),
                tuple(_row(first, barrel, rope, i) for i in range(1, layer + 1)),
            ),
        ),
        diagram=draw_drum(
            barrel, rope, 8, layer,
            f"A drum with {layer} layers; the pull in the top one is "
            f"{both_habits(pull, 'kN', 4, Rounding.DOWN)}.",
        ),
    )  # fmt: skip


def _row(first: Fraction, barrel: Fraction, rope: Fraction, layer: int) -> tuple[str, str, str]:
    pull = both_habits(layer_pull(first, barrel, rope, layer), "kN", 4, Rounding.DOWN)
    faster = layer_diameter(barrel, rope, layer) / layer_diameter(barrel, rope, 1)
    return str(layer), pull, quantity_text(faster, "x", 3, Rounding.UP)


CALCULATOR = Calculator(
    slug="layer-pull",
    title="Pull of a winch by layer",
    family="Drums",
    purpose="What is left of a winch's pull in an upper layer, and how much faster the rope runs.",
    inputs=(
        Input("first", "Pull in the first layer", "load", "1000 lbf, 5 kN", bounds=ABOVE_ZERO),
        Input("barrel", "Barrel diameter", "length", "10 in, 300 mm", bounds=ABOVE_ZERO),
        Input("diameter", "Rope diameter", "length", "1/2, 6 mm", bounds=ABOVE_ZERO),
        Input(
            "layer", "Layer", "count", "2",
            bounds=Bounds(f"Type a layer from 1 to {MOST_LAYERS}.", least=1, most=MOST_LAYERS),
        ),
    ),
    compute=compute,
    sources=(WINDING,),
    examples=(
        Example(
            "Tenth layer of 1/2 in on a 10 in barrel",
            {"first": "1000 lbf", "barrel": "10 in", "diameter": "1/2", "layer": "10"}, WINDING,
            ExampleClass.OWN_OUTPUT, {"pull": "538 lbf"},
        ),
    ),
)  # fmt: skip
