"""What a stagehand types into a calculator, read exactly; what is unclear is asked for again."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rigging.calculators import BadValue, Given, answer, read_values
from rigging.calculators.contract import Answer, Bounds, Calculator, Example, ExampleClass, Input
from rigging.calculators.contract import Source as From
from rigging.calculators.showing import quantity_text
from venue.quantity_units import GRAVITY, INCH, POUND

NOWHERE = From("Invented for this test", backing="own arithmetic")


def one_of(asked: Input) -> Calculator:
    """A calculator that hands back what it was given."""

    def compute(given: Given) -> Answer:
        return Answer(working=(given.words(asked.slug),))

    example = Example("none", {}, NOWHERE, ExampleClass.OWN_OUTPUT, cannot=(asked.slug,))
    return Calculator("one", "One", "Tests", "Asks one thing.", (asked,), compute, (NOWHERE,),
                      (example,))  # fmt: skip


def read(dimension: str | tuple[str, ...], text: str, **more: object) -> object:
    asked = Input("value", "Value", dimension, **more)  # type: ignore[arg-type]
    return read_values(one_of(asked), {"value": text})["value"]


@pytest.mark.parametrize(
    ("dimension", "typed", "si"),
    [
        ("length", "3/8", Fraction(3, 8) * INCH),
        ("length", "⅜", Fraction(3, 8) * INCH),
        ("length", '1 1/16"', Fraction(17, 16) * INCH),
        ("length", "9.5mm", Fraction(95, 10_000)),
        ("length", "0,372 in", Fraction(372, 1000) * INCH),
        ("length", "12' 6\"", 150 * INCH),
        ("load", "500 lb", 500 * POUND * GRAVITY),
        ("load", "500 lbf", 500 * POUND * GRAVITY),
        ("load", "2.2 kN", Fraction(2200)),
        ("load", "1/4 t", 250 * GRAVITY),
        ("force", "2.2 kN", Fraction(2200)),
        ("mass", "500 lb", 500 * POUND),
        ("number", "1.4", Fraction(7, 5)),
    ],
)
def test_what_is_typed_on_a_stage_is_read_exactly(dimension: str, typed: str, si: Fraction) -> None:
    assert read(dimension, typed) == si


@pytest.mark.parametrize(
    ("dimension", "typed", "says"),
    [
        ("length", "9.5", "Type the unit too"),
        ("force", "500 lb", "is a mass and this is a force"),
        ("mass", "500 lbf", "type kg"),
        ("load", "2 tons", "different weights"),
        ("load", "-2 kN", "Below zero"),
        ("length", "1,250 in", "."),
        ("number", "two", "Start with a number"),
    ],
)
def test_what_is_unclear_is_asked_for_again(dimension: str, typed: str, says: str) -> None:
    with pytest.raises(BadValue, match=says) as refusal:
        read(dimension, typed)
    assert refusal.value.slug == "value"


def test_a_weight_that_becomes_a_force_says_so_and_a_force_does_not() -> None:
    one = one_of(Input("value", "Value", "load"))
    said = answer(one, read_values(one, {"value": "500 lb"})).assumptions
    assert any("9.80665" in line for line in said)
    assert answer(one, read_values(one, {"value": "500 lbf"})).assumptions == ()


def test_lists_and_pairs_come_in_the_order_they_were_typed() -> None:
    assert read("length", "1 m\n2 m; 3 m", many=True) == (1, 2, 3)
    pairs = read(("mass", "length"), "10 kg at 2 m\n5 kg @ 1 m", many=True)
    assert pairs == ((10, 2), (5, 1))
    with pytest.raises(BadValue, match="40 values at most"):
        read("length", "1 m;" * 41, many=True)
    with pytest.raises(BadValue, match="Type it like"):
        read(("mass", "length"), "10 kg", many=True)


def test_the_working_has_the_words_that_were_typed() -> None:
    one = one_of(Input("value", "Value", "length"))
    assert answer(one, read_values(one, {"value": "12' 6\""})).working == ("12' 6\"",)
    assert answer(one, read_values(one, {"value": "3/8"})).working == ("3/8 in",)


def test_a_default_counts_unless_the_field_is_emptied() -> None:
    one = one_of(Input("value", "Value", "number", default="1"))
    assert read_values(one, {})["value"] == 1
    assert "value" not in read_values(one, {"value": ""})


@pytest.mark.parametrize("value", [0.5, True, "1", None])
def test_a_value_that_is_not_exact_is_refused(value: object) -> None:
    one = one_of(Input("value", "Value", "length", bounds=Bounds("Type more.", above=0)))
    with pytest.raises(BadValue, match="exact number"):
        answer(one, {"value": value})
    assert answer(one, {"value": Fraction(1, 2)}).working


def test_a_round_trip_through_both_habits_stays_exact() -> None:
    for typed in ("3/8", "9.5 mm", "12' 6\"", "0,372 in"):
        si = read("length", typed)
        assert isinstance(si, Fraction)
        shown = quantity_text(si, "mm", 12)
        assert read("length", shown) == si
