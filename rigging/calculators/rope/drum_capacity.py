"""How much rope a drum takes, and what flange it wants. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
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
from rigging.calculators.rope.drum_drawing import draw_drum
from rigging.calculators.rope.drums import layer_diameter, rope_length, turns_a_layer
from rigging.calculators.showing import both_habits, quantity_text

WINDING = Source("Drum winding formulas of an engineering calculator site", "", "", "document")
FLANGE = Source("DGUV Vorschrift 54, Durchführungsanweisung", "as in force", "to § 19")
ABOVE_TOP = Fraction(3, 2)  # rope diameters of flange above the top layer
MOST_LAYERS = 40


def compute(given: Given) -> Answer:
    barrel, rope, layers = given["barrel"], given["diameter"], int(given["layers"])
    turns = turns_a_layer(given["face"], rope)
    dead = given["dead_wraps"]
    if turns < 1:
        raise BadValue("face", "The face must be wider than the rope: type it again.")
    if dead >= turns:
        raise BadValue("dead_wraps", f"Type fewer than the {turns} turns of the first layer.")
    whole = rope_length(barrel, rope, turns, layers)
    held = rope_length(barrel, rope, int(dead), 1)
    top = layer_diameter(barrel, rope, layers) + rope
    least = top + 2 * ABOVE_TOP * rope
    return Answer(
        figures=(
            Figure("turns", "Turns in a layer", turns, "1", Rounding.DOWN),
            Figure("capacity", "Rope on the full drum", whole, "m", Rounding.DOWN),
            Figure("usable", "Of that, without the dead wraps", whole - held, "m", Rounding.DOWN),
            Figure("flange", "Least flange diameter", least, "mm", Rounding.UP),
        ),
        checks=_check(given, top, least),
        working=(
            f"turns in a layer = floor({given.words('face')} ÷ {given.words('diameter')}) = {turns}",
            f"rope = Σ π × {turns} × (D + (2i − 1) × d) for i = 1 to {layers}, with D = "
            f"{given.words('barrel')} and d = {given.words('diameter')} = "
            f"{both_habits(whole, 'm', 4, Rounding.DOWN)}",
            f"least flange = D + 2 × {layers} × d + 2 × 1.5 × d = "
            f"{both_habits(least, 'mm', 4, Rounding.UP)}",
        ),
        assumptions=("Layers right on top of each other, turns side by side without a gap.",),
        limits=(
            "Rope that beds into the turns below winds on smaller diameters: then the drum takes "
            "less than computed. Measure the rope; do not order by this figure alone.",
        ),
        cannot=() if "flange" in given else (
            Missing("Whether the flange is high enough", "the flange diameter", "flange"),
        ),
        diagram=draw_drum(
            barrel, rope, turns, layers,
            f"A drum of {both_habits(barrel, 'mm')} with {layers} layers of {turns} turns, "
            f"{quantity_text(whole, 'm', 4, Rounding.DOWN)} of rope.",
        ),
    )  # fmt: skip


def _check(given: Given, top: Fraction, least: Fraction) -> tuple[Check, ...]:
    if "flange" not in given:
        return ()
    flange = given["flange"]
    above = quantity_text((flange - top) / 2, "mm", 3, Rounding.DOWN)
    need = quantity_text(ABOVE_TOP * given["diameter"], "mm", 3, Rounding.UP)
    words = f"{above} of flange above the top layer against {need} at least (1.5 d)."
    state = WITHIN if flange >= least else BEYOND
    return (Check("flange", "Flange above the top layer", state, words, FLANGE),)


CALCULATOR = Calculator(
    slug="drum-capacity",
    title="Drum capacity",
    family="Drums",
    purpose="How much rope a drum takes in so many layers, and the flange it wants.",
    inputs=(
        Input("barrel", "Barrel diameter", "length", "10 in, 300 mm", bounds=ABOVE_ZERO),
        Input("diameter", "Rope diameter", "length", "1/2, 6 mm", bounds=ABOVE_ZERO),
        Input("face", "Face between the flanges", "length", "12 in, 400 mm", bounds=ABOVE_ZERO),
        Input(
            "layers", "Layers", "count", "1",
            bounds=Bounds(f"Type from 1 to {MOST_LAYERS} layers.", least=1, most=MOST_LAYERS),
        ),
        Input(
            "dead_wraps", "Dead wraps", "count", "3", default="3",
            bounds=Bounds("Type 0 or more dead wraps.", least=0, most=100),
        ),
        Input(
            "flange", "Flange diameter", "length", "500 mm", optional=True, bounds=ABOVE_ZERO
        ),
    ),
    compute=compute,
    sources=(WINDING, FLANGE),
    examples=(
        Example(
            "Ten layers of 1/2 in on a 10 in barrel",
            {"barrel": "10 in", "diameter": "1/2", "face": "12 in", "layers": "10"}, WINDING,
            ExampleClass.OWN_OUTPUT, {"turns": "24", "capacity": "942.5 ft"}, cannot=("flange",),
        ),
        Example(
            "6 mm rope wants 9 mm of flange above",
            {"barrel": "300 mm", "diameter": "6 mm", "face": "150 mm", "layers": "1",
             "flange": "330 mm"},
            FLANGE, ExampleClass.WORKED_EXAMPLE, {"flange": "330 mm", "turns": "25"},
            {"flange": WITHIN},
        ),
        Example(
            "The same with a flange that is too low",
            {"barrel": "300 mm", "diameter": "6 mm", "face": "150 mm", "layers": "1",
             "flange": "329 mm"},
            FLANGE, ExampleClass.WORKED_EXAMPLE, {}, {"flange": BEYOND},
        ),
    ),
)  # fmt: skip
