"""Turns of a drum for a travel, with its dead wraps, in one layer. Pure."""

from __future__ import annotations

import math

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
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
    Rounding,
    Source,
)
from rigging.calculators.rope.drum_drawing import draw_drum
from rigging.calculators.rope.drums import turns_for
from rigging.calculators.rope.tables import choices_of, row_of, sources
from rigging.calculators.showing import both_habits, quantity_text

GEOMETRY = Source("Own arithmetic: a travel wound on a drum", "", "", "own arithmetic")


def compute(given: Given) -> Answer:
    barrel, rope, lines = given["barrel"], given["diameter"], int(given["lines"])
    dead, pitch = given["dead_wraps"], given.get("pitch", rope)
    moving = turns_for(given["travel"], barrel, rope)
    turns = moving + float(dead)
    face = math.ceil(turns) * pitch * lines
    row = row_of("dead_wraps", given["rule"])
    state = WITHIN if dead >= row.number("wraps") else BEYOND
    shown = quantity_text(turns, "1", 3, Rounding.UP)
    pitch_words = given.words("pitch") if "pitch" in given else given.words("diameter")
    return Answer(
        figures=(
            Figure("turns", "Turns on the drum for each line", turns, "1", Rounding.UP, 3),
            Figure("face", "Grooved face for all lines", face, "mm", Rounding.UP),
        ),
        checks=(
            Check(
                "dead_wraps", row["words"], state,
                f"{dead} full wraps left against {row['wraps']} at least.", row.source,
            ),
        ),
        working=(
            f"turns = travel ÷ (π × (D + d)) + dead wraps = {given.words('travel')} ÷ (π × ("
            f"{given.words('barrel')} + {given.words('diameter')})) + {dead} = {shown}",
            f"face = {math.ceil(turns)} turns × {pitch_words} × {lines} lines = "
            f"{both_habits(face, 'mm', 4, Rounding.UP)}",
        ),
        assumptions=(
            "One layer. Where no pitch is typed the turns lie side by side.",
            "The dead wraps are those left at the lowest point of the travel.",
        ),
        limits=("Flanges, gaps between lines and the clamp are not in the face.",),
        diagram=draw_drum(
            barrel, rope, math.ceil(turns), 1,
            f"A drum of {both_habits(barrel, 'mm')} with one layer of {shown} turns.",
        ),
    )  # fmt: skip


WRAPS = Bounds("Type 0 or more full wraps.", least=0, most=100)

CALCULATOR = Calculator(
    slug="drum-turns",
    title="Drum turns and dead wraps",
    family="Drums",
    purpose="How many turns a travel takes, the face of the drum for it, and the wraps left.",
    inputs=(
        Input("travel", "Travel of the rope", "length", "20 m, 60 ft", bounds=ABOVE_ZERO),
        Input("barrel", "Barrel diameter", "length", "300 mm, 12 in", bounds=ABOVE_ZERO),
        Input("diameter", "Rope diameter", "length", "6 mm, 1/4", bounds=ABOVE_ZERO),
        Input("dead_wraps", "Full wraps left at the lowest point", "count", "3", bounds=WRAPS),
        Input(
            "pitch", "Pitch of the grooves", "length", "7 mm", optional=True, bounds=ABOVE_ZERO
        ),
        Input(
            "lines", "Lines on the drum", "count", "5", default="1",
            bounds=Bounds("Type from 1 to 40 lines.", least=1, most=40),
        ),
        Input(
            "rule", "Rule for the wraps that stay", "choice", choices=choices_of("dead_wraps")
        ),
    ),
    compute=compute,
    sources=tuple(
        sources()[code]
        for code in ("cfr-57-19026", "ontario-213", "wac-296-870", "michigan-15226", "asme-b30-6")
    ),
    examples=(
        Example(
            "Five lines, 20 m on a 300 mm drum",
            {"travel": "20 m", "barrel": "300 mm", "diameter": "6 mm", "dead_wraps": "3",
             "pitch": "7 mm", "lines": "5", "rule": "mine-hoist"},
            GEOMETRY, ExampleClass.OWN_OUTPUT, {"turns": "23.8", "face": "840 mm"},
            {"dead_wraps": WITHIN},
        ),
        Example(
            "Two wraps where three are asked",
            {"travel": "20 m", "barrel": "300 mm", "diameter": "6 mm", "dead_wraps": "2",
             "rule": "mine-hoist"},
            sources()["cfr-57-19026"], ExampleClass.PRINTED, {}, {"dead_wraps": BEYOND},
        ),
        Example(
            "Two wraps where two are asked",
            {"travel": "20 m", "barrel": "300 mm", "diameter": "6 mm", "dead_wraps": "2",
             "rule": "michigan"},
            sources()["michigan-15226"], ExampleClass.PRINTED, {}, {"dead_wraps": WITHIN},
        ),
    ),
)  # fmt: skip
