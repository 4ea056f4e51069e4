"""What a lift platform takes, standing and moving, and its test load. Pure."""

from __future__ import annotations

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
    Missing,
    Rounding,
    Source,
)
from rigging.calculators.loads.lift_load import load_for_test, platform_load
from rigging.calculators.loads.load_testing import CRANE_RULE
from rigging.calculators.showing import both_habits

PRACTICE = Source("Area times pressure, once standing and once moving", "", "", "common practice")
KINDS = (("standing", "standing on its locks"), ("moving", "moving"))
ASSUMPTIONS = ("Load spread evenly over the whole platform.",)
LIMITS = (
    "Two ratings, never one: what it may move with is less than what it may stand with.",
    "Wheels, feet of a piano and people crowding one edge need the point and edge loads "
    "of the maker.",
    "Who may test, how and with what is for the maker and the competent person; a crane "
    "rule is used here for want of one for the stage.",
)


def compute(given: Given) -> Answer:
    area = given["length"] * given["width"]
    figures = [Figure("area", "Area", area, "m2", Rounding.DOWN)]
    working = [
        f"area = {given.words('length')} × {given.words('width')} = {both_habits(area, 'm2')}"
    ]
    cannot = []
    for slug, words in KINDS:
        if slug not in given:
            label = f"the maker's pressure for {words}"
            cannot.append(Missing(f"The load while {words}", label, slug))
            continue
        load = platform_load(area, given[slug])
        figures.append(Figure(f"load_{slug}", f"Load while {words}", load, "kN", Rounding.DOWN))
        working.append(
            f"load while {words} = area × {given.words(slug)} = {both_habits(load, 'kN')}"
        )
        if slug == "moving":
            test = load_for_test(load, given["share"])
            label = f"Test load at {given.words('share')} of the moving load"
            figures.append(Figure("test", label, test, "kN"))
            working.append(f"test load = {given.words('share')} × {both_habits(load, 'kN')}")
    return Answer(
        figures=tuple(figures), working=tuple(working), cannot=tuple(cannot),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="lift-platform",
    title="Load of a lift platform",
    family="Machines",
    purpose="What a platform takes standing and moving, and the load for its test.",
    inputs=(
        Input("length", "Length of the platform", "length", "12 m, 40 ft", bounds=ABOVE_ZERO),
        Input("width", "Width of the platform", "length", "3 m, 10 ft", bounds=ABOVE_ZERO),
        Input(
            "moving", "Allowed pressure while moving", "pressure", "2.5 kN/m2, 50 psf",
            optional=True, bounds=ABOVE_ZERO,
        ),
        Input(
            "standing", "Allowed pressure while standing", "pressure", "5 kN/m2, 100 psf",
            optional=True, bounds=ABOVE_ZERO,
        ),
        Input(
            "share", "Test load over rated load", "ratio", "125 %", default="125 %", bare="%",
            bounds=Bounds("Type from 100 to 200 %.", least=1, most=2),
        ),
    ),
    compute=compute,
    sources=(PRACTICE, CRANE_RULE),
    examples=(
        Example(
            "12 × 3 m at 2.5 and 5.0 kN/m²",
            {"length": "12 m", "width": "3 m", "moving": "2.5 kN/m2", "standing": "5 kN/m2"},
            PRACTICE, ExampleClass.COMMON_PRACTICE,
            {"load_moving": "90 kN", "load_standing": "180 kN", "test": "112.5 kN"},
        ),
    ),
)  # fmt: skip
