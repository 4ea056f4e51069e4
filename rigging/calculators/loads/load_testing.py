"""Test load for a rating, and the rating that a test allows. Pure."""

from __future__ import annotations

from fractions import Fraction

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
from rigging.calculators.loads.lift_load import greatest_rating, load_for_test
from rigging.calculators.showing import both_habits

CRANE_RULE = Source("29 CFR 1910.179", "state copy of 2022", "(k)(2): test load at most 125 %")
INTERPRETATION = Source("OSHA interpretation of 29 CFR 1910.179(k)(2)", "3 January 1989", "80 %")
WINCH_RULE = Source("ASME B30.7", "2016, excerpt", "load test 100 to 125 % of the rated load")
ASSUMPTIONS = ("The test was carried by the whole machine, its structure included.",)
LIMITS = (
    "Rules for cranes and winches, used for want of one for the stage. 125 % is an upper "
    "bound, not a yearly duty.",
    "Never above the maker's rating, whatever a test carried.",
)


def compute(given: Given) -> Answer:
    figures, working, cannot = [], [], []
    rated, tested = given.get("rated"), given.get("tested")
    if rated is not None:
        load = load_for_test(rated, given["share"])
        figures.append(Figure("test", "Load for the test", load, "kN"))
        working.append(
            f"test load = {given.words('share')} × {given.words('rated')} = "
            f"{both_habits(load, 'kN')}"
        )
    if tested is not None:
        rating = greatest_rating(tested)
        figures.append(Figure("rating", "Greatest rating by the test", rating, "kN", Rounding.DOWN))
        working.append(
            f"rating at most 0.8 × {given.words('tested')} = {both_habits(rating, 'kN')}"
        )
    for slug, label in (("rated", "the rated load"), ("tested", "the load that was tested")):
        if slug not in given:
            cannot.append(Missing("Whether the test bears the rating out", label, slug))
    return Answer(
        figures=tuple(figures), checks=(_check(given),), working=tuple(working),
        cannot=tuple(cannot),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
    )  # fmt: skip


def _check(given: Given) -> Check:
    if "rated" not in given or "tested" not in given:
        return Check("rating", "Rating against the test", UNDECIDED,
                     "Both the rated and the tested load are needed.", INTERPRETATION)  # fmt: skip
    within = given["rated"] <= greatest_rating(given["tested"])
    words = f"{given.words('rated')} rated against at most 80 % of {given.words('tested')}."
    return Check(
        "rating", "Rating against the test", WITHIN if within else BEYOND, words, INTERPRETATION
    )


CALCULATOR = Calculator(
    slug="load-test",
    title="Test load and rating",
    family="Machines",
    purpose="The load for a test of a rated machine, and the greatest rating a test allows.",
    inputs=(
        Input("rated", "Rated load", "load", "90 kN, 1000 lb", optional=True, bounds=ABOVE_ZERO),
        Input(
            "tested", "Load that a test carried", "load", "1250 lb", optional=True,
            bounds=ABOVE_ZERO,
        ),
        Input(
            "share", "Test load over rated load", "ratio", "100 to 125 %", default="125 %",
            bare="%", bounds=Bounds("Type from 100 to 125 %.", least=1, most=Fraction(5, 4)),
        ),
    ),
    compute=compute,
    sources=(CRANE_RULE, INTERPRETATION, WINCH_RULE),
    examples=(
        Example(
            "125 % of the rated load", {"rated": "100 kN"}, CRANE_RULE, ExampleClass.PRINTED,
            {"test": "125 kN"}, {"rating": UNDECIDED}, ("tested",), note="125 % as printed.",
        ),
        Example(
            "Rating after a test with 1250 lb", {"tested": "1250 lb", "rated": "1000 lb"},
            INTERPRETATION, ExampleClass.PRINTED, {"rating": "1000 lb"}, {"rating": WITHIN},
            note="80 % as printed.",
        ),
        Example(
            "A rating that the test does not bear out",
            {"tested": "1000 lb", "rated": "1000 lb"}, INTERPRETATION, ExampleClass.PRINTED,
            {"rating": "800 lb"}, {"rating": BEYOND}, note="125 % needed to rate at 100 %.",
        ),
    ),
)  # fmt: skip
