"""How much an arbor takes: bricks, spreader plates, height and mark. Pure."""

from __future__ import annotations

import math
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    NOT_BELOW_ZERO,
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
from rigging.calculators.drawing import Box, Drawing, Mark, Stroke, Words
from rigging.calculators.loads.bricks import most_bricks
from rigging.calculators.showing import both_habits

PLATE_RULE = Source(
    "Trade blog on spreader plates; university notes", "2012", "a plate every two feet", "document"
)
PRACTICE = Source("Height of the arbor over thickness of a brick", "", "", "common practice")
MOST_DRAWN = 60
MOST_PLATES_DRAWN = 12
ASSUMPTIONS = ("One thickness of brick; the bare arbor is not counted.",)
LIMITS = (
    "The mark on the arbor rules where it is lower, and so do the head block, lines and "
    "steel above.",
    "The stack stays below the collars; both collars are tightened on top of the last plate.",
)


def compute(given: Given) -> Answer:
    clear, thickness, plate = given["clear"], given["thickness"], given["plate"]
    count, plates = most_bricks(clear, thickness, plate)
    by_height = count * given["brick"]
    most = min(by_height, given["mark"]) if "mark" in given else by_height
    stack = count * thickness
    figures = [
        Figure("bricks", "Bricks that fit by height", count),
        Figure("plates", "Spreader plates for a full stack, the locked one on top included",
               plates),
        Figure("by_height", "Weight that fits by height", by_height, "kg", Rounding.DOWN),
    ]  # fmt: skip
    if "mark" in given:
        figures.append(Figure("most", "Most that may be laid in", most, "kg", Rounding.DOWN))
    return Answer(
        figures=tuple(figures),
        checks=_checks(given, most),
        working=(
            f"plates = ⌈stack ÷ 24 in⌉ = ⌈{both_habits(stack, 'in')} ÷ 24 in⌉ = {plates}",
            f"bricks = ⌊(clear height − plates × plate) ÷ thickness⌋ = ⌊({given.words('clear')} − "
            f"{plates} × {given.words('plate')}) ÷ {given.words('thickness')}⌋ = {count}",
            f"weight = {count} × {given.words('brick')} = {both_habits(by_height, 'kg')}",
        ),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
        cannot=_cannot(given),
        diagram=_drawing(count, plates, float(plates * plate + stack) / float(clear)),
    )


def _checks(given: Given, most: Fraction) -> tuple[Check, ...]:
    if "wanted" not in given:
        return ()
    wanted = given["wanted"]
    below = WITHIN if "mark" in given else UNDECIDED
    state = BEYOND if wanted > most else below
    words = f"{given.words('wanted')} against at most {both_habits(most, 'kg', 4, Rounding.DOWN)}"
    words += "." if "mark" in given else " by height; the mark on the arbor is not given."
    return (Check("capacity", "Weight wanted", state, words, PRACTICE),)


def _cannot(given: Given) -> tuple[Missing, ...]:
    if "mark" in given:
        return ()
    return (Missing("What the arbor may carry", "the mark on the arbor", "mark"),)


def _drawing(count: int, plates: int, filled: float) -> Drawing:
    share = math.floor(100 * filled)
    told = f"{plates_and_bricks(count, plates)}, filling {share} per cent of its height."
    return stack_drawing(count, plates, filled, told)


def plates_and_bricks(count: int, plates: int) -> str:
    """The stack in words.

    >>> plates_and_bricks(27, 2)
    'An arbor with 27 bricks and 2 spreader plates, the last on top'
    """
    return f"An arbor with {count} bricks and {plates} spreader plates, the last on top"


def stack_drawing(count: int, plates: int, filled: float, told: str) -> Drawing:
    """An arbor with its stack; a thin stroke for each brick, a thick one for each plate."""
    bottom, top = 230.0, 30.0
    height = (bottom - top) * min(filled, 1)
    marks: list[Mark] = [
        Box(140, 16, 120, 10), Box(140, bottom, 120, 10),
        Stroke(((155, 26), (155, bottom)), "measure"),
        Stroke(((245, 26), (245, bottom)), "measure"),
    ]  # fmt: skip
    if count:
        marks.append(Box(145, round(bottom - height, 1), 110, round(height, 1), "load"))
        drawn = min(count, MOST_DRAWN)
        for i in range(1, drawn):
            y = round(bottom - height * i / drawn, 1)
            marks.append(Stroke(((145, y), (255, y)), "measure"))
    for i in range(max(0, plates - MOST_PLATES_DRAWN), plates):
        share = 1.0 if i == plates - 1 else (i + 1) / max(plates, 1)
        y = round(bottom - height * share, 1)
        marks.append(Stroke(((132, y), (268, y)), "rope"))
        marks.append(Words(276, y + 4, "top plate" if i == plates - 1 else "plate", "start"))
    marks.append(Words(20, 130, f"{count} bricks", "start"))
    return Drawing("Stack in the arbor", told, tuple(marks), 400, 260)


SHEET = Source("Own arithmetic on a 72 in arbor", "", "", "own arithmetic")
CALCULATOR = Calculator(
    slug="arbor-stack",
    title="What an arbor takes",
    family="Counterweight",
    purpose="Bricks and spreader plates that fit an arbor, and the weight they make.",
    inputs=(
        Input(
            "clear", "Clear height for the stack", "length", "72 in, 1.8 m",
            bounds=Bounds("Type a height up to 20 m.", above=0, most=20),
        ),
        Input(
            "thickness", "Thickness of a brick", "length", "1 in, 25 mm",
            bounds=Bounds("Type a thickness of 1 mm or more.", least=Fraction(1, 1000)),
        ),
        Input("brick", "Weight of a brick", "mass", "25 lb, 12 kg", bounds=ABOVE_ZERO),
        Input(
            "plate", "Thickness of a spreader plate", "length", "3/16 in, 5 mm",
            bounds=NOT_BELOW_ZERO,
        ),
        Input(
            "mark", "Marked capacity, bare arbor not counted", "mass", "1200 lb", optional=True,
            bounds=ABOVE_ZERO,
        ),
        Input(
            "wanted", "Weight to be laid in", "mass", "660 lb", optional=True,
            bounds=NOT_BELOW_ZERO,
        ),
    ),
    compute=compute,
    sources=(PLATE_RULE, PRACTICE),
    examples=(
        Example(
            "72 in clear, bricks of 1 in",
            {"clear": "72 in", "thickness": "1 in", "brick": "26.163 lb", "plate": "3/16 in",
             "wanted": "660 lb"},
            SHEET, ExampleClass.OWN_OUTPUT,
            {"bricks": "71", "by_height": "1857.6 lb", "plates": "3"}, {"capacity": UNDECIDED},
            ("mark",),
        ),
        Example(
            "A plate every two feet: 48 in of bricks",
            {"clear": "48.5 in", "thickness": "1 in", "brick": "25 lb", "plate": "1/4 in",
             "mark": "1000 lb", "wanted": "1100 lb"},
            PLATE_RULE, ExampleClass.PRINTED, {"bricks": "48", "plates": "2"},
            {"capacity": BEYOND}, note="Printed: height in inches over 24.",
        ),
    ),
)  # fmt: skip
