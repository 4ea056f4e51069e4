"""What the calculators of a batten ask, and how they read it. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from rigging.calculators.contract import (
    ABOVE_ZERO,
    NOT_BELOW_ZERO,
    BadValue,
    Given,
    Input,
    Missing,
    Source,
)
from rigging.calculators.drawing import Arrow, Box, Drawing, Mark, Stroke, Words
from rigging.calculators.loads.continuous_beam import Beam, Load, PointLoad, SpreadLoad, beam_of
from rigging.calculators.loads.lines_that_pull import BeamTips, HungBeam, hang
from rigging.calculators.loads.stopping import GRAVITY

MOST_LINES = 12
FORMULAS = Source("Civil Engineering Formulas", "ebook, page 50", "table 2.1, 2 to 8 supports")
ELASTIC_LINE = Source(
    "Own arithmetic on the elastic line of Euler and Bernoulli", "", "", "own arithmetic"
)
RIGIDITY_INPUTS = ("outside", "wall", "modulus")

INPUTS = (
    Input("length", "Length of the batten", "length", "44 ft, 14 m", bounds=ABOVE_ZERO),
    Input(
        "lines", "Where the lines are, from one end", "length", "2 ft; 12 ft; 22 ft", many=True,
        bounds=NOT_BELOW_ZERO,
    ),
    Input(
        "own", "Batten's own weight per length", "mass per length", "12 lb/ft, 5 kg/m",
        bounds=NOT_BELOW_ZERO,
    ),
    Input(
        "loads", "Loads at a place", ("load", "length"), "200 lb at 27 ft; 90 kg at 4 m",
        optional=True, many=True, bounds=NOT_BELOW_ZERO,
    ),
    Input(
        "spread", "Loads spread evenly", ("load", "length", "length"),
        "300 lb from 5 ft to 25 ft", optional=True, many=True, bounds=NOT_BELOW_ZERO,
    ),
)  # fmt: skip
PIPE_INPUTS = (
    Input(
        "outside", "Outside diameter of the pipe", "length", "48.3 mm, 1.9 in", optional=True,
        bounds=ABOVE_ZERO,
    ),
    Input("wall", "Wall of the pipe", "length", "3.2 mm", optional=True, bounds=ABOVE_ZERO),
    Input(
        "modulus", "Modulus of elasticity", "pressure",
        "steel about 200000 MPa, aluminium about 70000 MPa", optional=True, bounds=ABOVE_ZERO,
    ),
)  # fmt: skip
ASSUMPTIONS = (
    "A straight batten of one section, joined stiffly throughout; its lines hang plumb.",
    "All lines trimmed level and equally stiff; small differences change much, see below.",
)
LIMITS = (
    "Loads at rest: a stop, a start or a jerk comes on top.",
    "A jointed pipe or a truss with loose joints bends otherwise and shares otherwise.",
    "Whether batten, line and clamp hold these loads is another question: ask the maker or an "
    "engineer.",
)


@dataclass(frozen=True)
class Batten:
    length: Fraction
    lines: tuple[Fraction, ...]
    loads: tuple[Load, ...]

    @property
    def total(self) -> Fraction:
        return sum((load.load for load in self.loads), Fraction(0))

    def hung(
        self,
        drops: tuple[Fraction, ...] = (),
        rigidity: Fraction = Fraction(1),
        cut: tuple[int, ...] = (),
    ) -> HungBeam:
        return hang(self.beam, drops, rigidity, cut=cut)

    @cached_property
    def beam(self) -> Beam:
        return beam_of(self.lines, self.loads)


def batten_of(given: Given) -> Batten:
    """The batten as typed; refuses what lies beyond its ends and more lines than 12."""
    length, lines = given["length"], tuple(sorted(given["lines"]))
    if len(set(lines)) < len(lines) or not 2 <= len(lines) <= MOST_LINES:
        raise BadValue("lines", f"Type from 2 to {MOST_LINES} places, each once.")
    if lines[-1] > length:
        raise BadValue("lines", "A line is beyond the end of the batten.")
    loads: list[Load] = [SpreadLoad(given["own"] * GRAVITY, Fraction(0), length)]
    for load, place in given.get("loads", ()):
        if place > length:
            raise BadValue("loads", "A load is beyond the end of the batten.")
        loads.append(PointLoad(load, place))
    for load, start, end in given.get("spread", ()):
        if not start < end <= length:
            raise BadValue("spread", "Type where it begins, then where it ends, on the batten.")
        loads.append(SpreadLoad(load / (end - start), start, end))
    found = Batten(length, lines, tuple(loads))
    if not found.total:
        raise BadValue("own", "The batten weighs nothing and carries nothing.")
    return found


def level(batten: Batten) -> HungBeam:
    """The batten on level lines."""
    try:
        return batten.hung()
    except BeamTips as fault:
        raise BadValue("lines", f"{fault} Look at the places of loads and lines again.") from fault


def pipe_rigidity(given: Given) -> Fraction | Missing:
    """E·I of a pipe: `E × π ÷ 64 × (D⁴ − (D − 2·wall)⁴)`, in N·m². Source: geometry."""
    for slug in RIGIDITY_INPUTS:
        if slug not in given:
            names = {one.slug: one.label for one in PIPE_INPUTS}
            return Missing("What a line out of level does", names[slug], slug)
    outside, wall = given["outside"], given["wall"]
    if 2 * wall > outside:
        raise BadValue("wall", "The wall is thicker than half the pipe.")
    area = outside**4 - (outside - 2 * wall) ** 4
    # Twelve digits are more than any pipe keeps to, and keep the fractions short.
    return Fraction(f"{float(given['modulus'] * area) * math.pi / 64:.12g}")


def drawing(batten: Batten, hung: HungBeam, description: str) -> Drawing:
    """Lines above the batten with their share in per cent, loads below it."""

    def across(place: Fraction) -> float:
        return round(30 + 340 * float(place / batten.length), 1)

    marks: list[Mark] = [Box(30, 96, 340, 8)]
    for i, place in enumerate(batten.lines):
        x, slack = across(place), i in hung.slack
        share = 100 * float(hung.tensions[i] / batten.total)
        top = 34 if i % 2 == 0 else 18
        marks.append(Stroke(((x, top + 6), (x, 96)), "ghost" if slack else "rope"))
        marks.append(Words(x, top, "slack" if slack else f"{share:.1f} %"))
    for load in batten.loads[1:]:
        marks += _load_marks(load, across)
    marks.append(Stroke(((30, 104), (30, 112), (370, 112), (370, 104)), "load"))
    high = 170 if len(batten.loads) > 1 else 124
    return Drawing("Share of each line", description, tuple(marks), 400, high)


def _load_marks(load: Load, across: Callable[[Fraction], float]) -> list[Mark]:
    if isinstance(load, PointLoad):
        x = across(load.position)
        return [Arrow(x, 114, x, 154, "load")]
    begin, end = across(load.start), across(load.end)
    return [Box(begin, 114, end - begin, 12, "load"), Arrow((begin + end) / 2, 126,
            (begin + end) / 2, 154, "load")]  # fmt: skip
