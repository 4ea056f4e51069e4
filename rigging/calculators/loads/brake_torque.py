"""Torque that each brake of a winch must hold. Pure."""

from __future__ import annotations

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
from rigging.calculators.loads.brake_load import torque_at_brake
from rigging.calculators.showing import both_habits

TWO_BRAKES = Source("Michigan R 408.10575", "as stored", "two brakes, each 125 %, building hoists")
STATICS = Source("Statics, T = 1.25 × W × r ÷ i", "", "", "own arithmetic")
ASSUMPTIONS = (
    "At rest. Losses of the gear help a brake at the motor and are not counted.",
    "The radius is to the middle of the rope in its outermost layer.",
)
LIMITS = (
    "Stopping from speed needs more than holding, and heat takes from it.",
    "A rule for building hoists, used for want of one for the stage; the maker's figure "
    "rules where it is higher.",
)


def compute(given: Given) -> Answer:
    needed = torque_at_brake(given["load"], given["radius"], given["ratio"], given["share"])
    state, words = UNDECIDED, "The torque of one brake is not given."
    if "brake" in given:
        state = WITHIN if given["brake"] >= needed else BEYOND
        words = (
            f"{given.words('brake')} against at least "
            f"{both_habits(needed, 'N m', 4, Rounding.UP)} for each brake alone."
        )
    missing = Missing("Whether the brake holds", "the torque of one brake, worn and warm", "brake")
    return Answer(
        figures=(
            Figure("torque", "Torque each brake must hold at its shaft", needed, "N m",
                   Rounding.UP),
            Figure("drum", "Torque of the load on the drum", given["load"] * given["radius"], "N m",
                   Rounding.UP),
        ),
        checks=(Check("brake", "Each brake alone", state, words, TWO_BRAKES),),
        working=(
            f"torque = {given.words('share')} × W × r ÷ i = {given.words('share')} × "
            f"{given.words('load')} × {given.words('radius')} ÷ {given.words('ratio')} = "
            f"{both_habits(needed, 'N m', 4, Rounding.UP)}",
        ),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
        cannot=() if "brake" in given else (missing,),
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="brake-torque",
    title="Torque of a brake",
    family="Machines",
    purpose="The torque that each brake of a winch must hold alone, at its own shaft.",
    inputs=(
        Input("load", "Rated load on the drum", "load", "5 kN, 1100 lb", bounds=ABOVE_ZERO),
        Input("radius", "Radius of the rope on the drum", "length", "150 mm", bounds=ABOVE_ZERO),
        Input(
            "ratio", "Turns of the brake for one of the drum", "number", "40; 1 on the drum itself",
            bounds=ABOVE_ZERO,
        ),
        Input(
            "share", "Share of the rated load to hold", "ratio", "125 %", default="125 %", bare="%",
            bounds=Bounds("Type 100 % or more.", least=1),
        ),
        Input(
            "brake", "Torque of one brake", "torque", "30 N m, 22 lbf ft", optional=True,
            bounds=ABOVE_ZERO,
        ),
    ),
    compute=compute,
    sources=(TWO_BRAKES, STATICS),
    examples=(
        Example(
            "5000 N at 0.15 m, 40 to 1", {"load": "5000 N", "radius": "0.15 m", "ratio": "40"},
            STATICS, ExampleClass.OWN_OUTPUT, {"torque": "23.4 N m"}, {"brake": UNDECIDED},
            ("brake",),
        ),
        Example(
            "125 % on the drum itself, one brake a little weak",
            {"load": "10 kN", "radius": "1 m", "ratio": "1", "brake": "12.4 kN m"},
            TWO_BRAKES, ExampleClass.PRINTED, {"torque": "12.5 kN m"}, {"brake": BEYOND},
            note="125 % as printed.",
        ),
    ),
)  # fmt: skip
