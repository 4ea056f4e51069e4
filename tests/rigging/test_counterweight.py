"""Counterweight: balance, bricks, trim and runaway against printed rules and laws of mechanics."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigging.calculators import BadValue, answer, load_calculators, read_values
from rigging.calculators.contract import BEYOND, UNDECIDED, WITHIN
from rigging.calculators.loads.bricks import (
    BrickSize,
    brick_weight,
    bricks_needed,
    choose_bricks,
    most_bricks,
    spreader_plates,
)
from rigging.calculators.loads.counterweight import (
    PUBLISHED_LOCK_LIMITS,
    balance_over_travel,
    counterweight_needed,
    imbalance_at_low,
    lock_may_hold,
    out_of_balance,
    runaway,
    trim_shift,
)

F = Fraction
GRAVITY = F(980_665, 100_000)
weights = st.integers(1, 4000).map(lambda n: F(n, 4))
purchases = st.sampled_from([1, 2])
SET = {
    "bar": "150 lb", "fittings": "30 lb", "load": "600 lb", "arbor": "120 lb",
    "purchase": "single", "mark": "1200 lb", "travel": "60 ft", "lines": "5", "line": "0.11 lb/ft",
}  # fmt: skip


def asked(**typed: str):
    one = load_calculators()["counterweight"]
    return answer(one, read_values(one, typed))


def states(**typed: str) -> dict[str, str]:
    return {check.slug: check.state for check in asked(**(SET | typed)).checks}


@given(weights, weights, purchases)
def test_with_what_is_needed_the_set_is_in_balance(bar, arbor, purchase) -> None:
    needed = counterweight_needed(bar, arbor, purchase)
    assert out_of_balance(bar, arbor + needed, purchase) == 0
    # What is wrong in the arbor is felt at the bar by the purchase.
    assert out_of_balance(bar, arbor + needed - purchase, purchase) == 1


@settings(max_examples=40)
@given(st.integers(1, 120), st.lists(st.integers(3, 30), min_size=1, max_size=3, unique=True))
def test_no_other_stack_within_a_brick_of_the_weight_needs_fewer_bricks(weight, sizes) -> None:
    found = choose_bricks(F(weight), [BrickSize(F(size)) for size in sizes])
    assert found is not None
    total = sum(n * size for n, size in zip(found, sizes, strict=True))
    assert total >= weight
    ranges = [range(weight // size + 2) for size in sizes]
    every = (
        (sum(counts), sum(n * size for n, size in zip(counts, sizes, strict=True)))
        for counts in itertools.product(*ranges)
    )
    near = [one for one in every if weight <= one[1] < weight + min(sizes)]
    assert min(near) == (sum(found), total)


def test_bricks_of_a_hundred_thousandth_are_counted_exactly() -> None:
    assert bricks_needed(F(660), F("26.163")) == 26
    assert bricks_needed(F(50), F(25)) == 2
    assert bricks_needed(F(50) + F(1, 100_000), F(25)) == 3
    assert choose_bricks(F(-5), [BrickSize(F(25))]) == (0,)
    assert choose_bricks(F(120), [BrickSize(F(1))]) == (120,)
    assert choose_bricks(F(121), [BrickSize(F(1))]) is None
    # One brick of 25 is too much by a whole small one: two small ones are taken.
    assert choose_bricks(F(15), [BrickSize(F(25)), BrickSize(F(10))]) == (0, 2)


@pytest.mark.parametrize("sizes", [[], [F(1)] * 4, [F(5), F(0)]])
def test_sizes_that_cannot_be_are_refused(sizes) -> None:
    with pytest.raises(ValueError, match="one to three sizes"):
        choose_bricks(F(10), [BrickSize(size) for size in sizes])


def test_nothing_runs_away_without_travel() -> None:
    assert runaway(F(2), F(1), F(0), 1, GRAVITY) is None


@pytest.mark.external("printed")
@pytest.mark.parametrize(
    ("inches", "plates"), [(0, 0), (24, 1), (25, 2), (48, 2), (49, 3), (66, 3)]
)
def test_a_spreader_plate_stands_at_every_two_feet_and_on_top(inches, plates) -> None:
    """Trade blog of 2012 and university notes: a plate every two feet, the last on top."""
    assert spreader_plates(F(inches), F(24)) == plates


@given(st.integers(1, 300), st.integers(1, 8), st.integers(0, 4))
def test_the_stack_of_an_arbor_fits_with_its_plates_and_one_more_does_not(
    clear, thickness, plate
) -> None:
    count, plates = most_bricks(F(clear), F(thickness), F(plate, 4), F(24))
    assert count * thickness + plates * F(plate, 4) <= clear
    more = (count + 1) * thickness
    assert more + spreader_plates(F(more), F(24)) * F(plate, 4) > clear


@given(weights, weights, weights)
def test_weight_of_a_brick_grows_with_its_size_and_units_cancel(a, b, c) -> None:
    inch = F(254, 10_000)
    assert brick_weight(a * inch, b * inch, c * inch) == brick_weight(a, b, c) * inch**3
    assert brick_weight(a, b, 2 * c) == 2 * brick_weight(a, b, c)


def test_a_brick_of_one_pound_density_is_its_volume() -> None:
    assert brick_weight(F(16), F(6), F(1), F(1), [(F(3, 2), F(5, 4))] * 2) == 96 - F(15, 4)
    with pytest.raises(ValueError, match="as large as the brick"):
        brick_weight(F(1), F(1), F(1), F(1), [(F(1), F(1))])


@given(st.integers(1, 12), weights, weights)
def test_lines_shift_the_balance_by_the_work_they_do(lines, rate, travel) -> None:
    """Virtual work on rope lengths, written out: a second way to the factors 2 and 3/2."""
    for purchase, parts in ((1, 1), (2, 2)):
        arbor_travel = travel / purchase

        def felt(
            risen: Fraction,
            parts: int = parts,
            arbor: Fraction = arbor_travel,
            purchase: int = purchase,
        ) -> Fraction:
            bar_side = lines * rate * (travel - risen)
            arbor_side = parts * lines * rate * (risen / travel * arbor)
            return bar_side - arbor_side / purchase

        assert trim_shift(lines, rate, travel, purchase) == felt(F(0)) - felt(travel)


@given(weights, weights)
def test_the_balance_is_given_at_both_ends_and_in_both_directions(imbalance, shift) -> None:
    for balanced in ("low", "middle", "high"):
        over = balance_over_travel(imbalance_at_low(imbalance, shift, balanced), shift)
        assert over.low - over.high == shift
        at = {"low": over.low, "middle": (over.low + over.high) / 2, "high": over.high}
        assert at[balanced] == imbalance
        assert over.worst == max(abs(over.low), abs(over.high))
        assert over.bar_heavy == max(over.low, 0)
        assert over.arbor_heavy == max(-over.high, 0)


@given(weights, weights, weights, purchases)
def test_a_runaway_keeps_its_energy(bar, arbor, travel, purchase) -> None:
    """Work of the heavier side is the energy of motion of both: a second way to the speed."""
    fallen = runaway(bar, arbor, travel, purchase, GRAVITY)
    worked = float(abs(bar * travel - arbor * travel / purchase))
    if not worked:
        assert fallen is None
        return
    moving = float(bar + arbor / purchase**2) * fallen.speed**2 / (2 * float(GRAVITY))
    assert math.isclose(worked, moving, rel_tol=1e-9)
    assert math.isclose(fallen.speed * fallen.seconds / 2, float(travel), rel_tol=1e-9)


@pytest.mark.external("printed")
def test_the_lock_is_judged_only_against_a_figure_that_is_given() -> None:
    """Three public pages print 40, 50 and 75 lb: none of them is taken by itself."""
    over = balance_over_travel(F(45), F(20))
    assert [lock_may_hold(over, limit) for limit in PUBLISHED_LOCK_LIMITS] == [False, True, True]
    assert lock_may_hold(over, None) is None
    assert lock_may_hold(over, F(75), purchase=2) is False
    assert states(laid="660 lb") == {"lock": UNDECIDED, "capacity": WITHIN}
    assert states(laid="660 lb", lock="40 lb")["lock"] == WITHIN
    assert states(laid="660 lb", lock="32 lb")["lock"] == BEYOND
    assert states(laid="660 lb", lock="33 lb")["lock"] == WITHIN


@pytest.mark.parametrize("left_out", ["lines", "line", "travel"])
def test_a_lock_never_passes_while_the_trim_shift_is_unknown(left_out) -> None:
    assert states(laid="660 lb", lock="40 lb", **{left_out: ""})["lock"] == UNDECIDED
    assert states(laid="600 lb", lock="40 lb", **{left_out: ""})["lock"] == BEYOND


def test_an_arbor_above_its_mark_is_beyond_and_without_a_mark_undecided() -> None:
    assert states(laid="1200 lb")["capacity"] == WITHIN
    assert states(laid="1200.01 lb")["capacity"] == BEYOND
    assert states(mark="")["capacity"] == UNDECIDED


ARBOR = {"clear": "72 in", "thickness": "1 in", "brick": "25 lb", "plate": "3/16 in"}


@pytest.mark.parametrize(
    ("typed", "state", "most"),
    [
        ({"mark": "1000 lb", "wanted": "1000 lb"}, WITHIN, 1000),
        ({"mark": "1000 lb", "wanted": "1000.1 lb"}, BEYOND, 1000),
        ({"mark": "9000 lb", "wanted": "1775 lb"}, WITHIN, 1775),
        ({"mark": "9000 lb", "wanted": "1776 lb"}, BEYOND, 1775),
        ({"wanted": "1775 lb"}, UNDECIDED, None),
        ({"wanted": "1776 lb"}, BEYOND, None),
    ],
)
def test_an_arbor_takes_what_fits_and_what_is_marked_whichever_is_less(typed, state, most) -> None:
    """71 bricks of 25 lb fit by height."""
    one = load_calculators()["arbor-stack"]
    found = answer(one, read_values(one, ARBOR | typed))
    (check,) = found.checks
    assert check.state == state
    assert ("not given" in check.words) == ("mark" not in typed)
    assert [missing.slug for missing in found.cannot] == ([] if "mark" in typed else ["mark"])
    if most:
        assert found.figure("most").value == most * F("0.45359237")


def test_the_order_of_loading_gives_the_runaway_as_its_reason() -> None:
    table = asked(**SET).tables[-1]
    assert [row[0] for row in table.rows] == [
        "Load 1", "Load 2", "Load 3", "Load 4", "Unload 1", "Unload 2", "Unload 3",
    ]  # fmt: skip
    assert "m/s" in table.rows[2][2]
    assert "m/s" in table.rows[-1][2]


@pytest.mark.parametrize(
    ("laid", "direction"),
    [("659 lb", "bar heavy"), ("660 lb", "in balance"), ("661 lb", "arbor heavy")],
)
def test_the_heavy_side_is_named(laid, direction) -> None:
    found = asked(**(SET | {"laid": laid}))
    assert found.figure("direction").value == direction
    assert direction in found.figure("imbalance").label
    assert found.figure("imbalance").value >= 0


def test_the_working_says_twice_only_for_double_purchase() -> None:
    single, double = (asked(**(SET | {"purchase": one})).working for one in ("single", "double"))
    assert "2 × (" not in single[0]
    assert "÷ 2" not in single[1]
    assert "2 × (" in double[0]
    assert "÷ 2" in double[1]


def test_three_sizes_are_taken_and_a_set_that_needs_nothing_is_not_warned_of() -> None:
    three = asked(**(SET | {"sizes": "25 lb by 1 in; 20 lb by 1 in; 10 lb by 1/2 in"}))
    assert len(three.tables[0].rows) == 3
    nothing = asked(**(SET | {"arbor": "780 lb"}))
    assert nothing.figure("needed").value == 0
    assert nothing.warnings == ()


@pytest.mark.parametrize(("line", "told"), [("", True), ("0.11 lb/ft", False)])
def test_a_lock_judged_without_the_lift_lines_says_so(line, told) -> None:
    (lock, _) = asked(**(SET | {"laid": "660 lb", "lock": "40 lb", "line": line})).checks
    assert ("not counted" in lock.words) == told


def test_a_bar_lighter_than_the_bare_arbor_is_told() -> None:
    found = asked(**(SET | {"arbor": "2000 lb", "sizes": "25 lb by 1 in"}))
    assert found.figure("bricks").value == 0
    assert any("cannot be balanced" in warning for warning in found.warnings)


@pytest.mark.parametrize("sizes", ["25 lb by 1 in; 20 lb by 1 in; 15 lb by 1 in; 5 lb by 1 in",
                                   "1 lb by 1 in"])  # fmt: skip
def test_more_sizes_or_bricks_than_can_be_tried_are_refused(sizes) -> None:
    with pytest.raises(BadValue) as refused:
        asked(**(SET | {"sizes": sizes}))
    assert refused.value.slug == "sizes"
