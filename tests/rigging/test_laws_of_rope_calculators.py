"""Properties of the rope calculators: units cancel, more is never safer than less."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rigging.calculators import answer, load_calculators, read_values
from rigging.calculators.contract import BEYOND, UNDECIDED, WITHIN, Answer, Source
from rigging.calculators.readings.guard_band import guarded_state
from rigging.calculators.rope.clips import clips_by_rule, printed_clips
from rigging.calculators.rope.drums import layer_pull, rope_length, turns_for
from rigging.calculators.rope.fleet_angle import fleet_angle
from rigging.calculators.rope.hoist_factor import row_for_speed
from rigging.calculators.rope.sheave_ratio import sheave_ratio, strength_left
from rigging.calculators.rope.strength_from_formula import breaking_force
from rigging.calculators.rope.tables import (
    Row,
    TableRefused,
    not_above,
    ropes,
    ropes_of,
    rows,
    slug_of,
    sources,
)
from venue.quantities import UNITS, exact_text

MILLIMETRE = Fraction(1, 1000)
lengths = st.integers(1, 4_000_000).map(lambda microns: Fraction(microns, 1_000_000))
ratios = st.integers(100, 10_000).map(lambda hundredths: Fraction(hundredths, 100))
factors = st.sampled_from([Fraction(1), Fraction(254, 10_000), Fraction(1000), Fraction(7, 3)])
readings = st.integers(0, 100_000).map(lambda hundredths: Fraction(hundredths, 100))
RANK = {WITHIN: 0, UNDECIDED: 1, BEYOND: 2}


def asked(slug: str, **typed: str) -> Answer:
    calculator = load_calculators()[slug]
    return answer(calculator, read_values(calculator, typed))


def number(found: Answer, slug: str) -> Fraction | float:
    value = found.figure(slug).value
    assert not isinstance(value, str)
    return value


@given(tread=lengths, rope=lengths, factor=factors)
def test_units_cancel_in_every_ratio(tread: Fraction, rope: Fraction, factor: Fraction) -> None:
    assert sheave_ratio(tread, rope) == sheave_ratio(tread * factor, rope * factor)
    assert fleet_angle(tread, rope) == pytest.approx(fleet_angle(tread * factor, rope * factor))
    assert turns_for(tread, rope, rope) == pytest.approx(
        turns_for(tread * factor, rope * factor, rope * factor)
    )


@given(
    force=st.integers(100, 50_000), load=st.integers(1, 5_000), units=st.sampled_from(["kN", "kgf"])
)
@settings(max_examples=40)
def test_a_design_factor_is_the_same_in_whichever_unit_it_was_typed(
    force: int, load: int, units: str
) -> None:
    """500 lb and the very same weight in kilonewtons are one load."""
    rest = {"termination": "clips", "bend": "straight", "rule": "stage-running"}
    one = asked("design-factor", strength=f"{force} lbf", load=f"{load} lb", **rest)
    to = UNITS["lbf"].factor / UNITS[units].factor
    words = [exact_text(value * to) for value in (Fraction(force), Fraction(load))]
    assume(all(" " not in text and "/" not in text and len(text) < 30 for text in words))
    other = asked(
        "design-factor", strength=f"{words[0]} {units}", load=f"{words[1]} {units}", **rest
    )
    assert number(one, "factor") == number(other, "factor")
    assert one.checks[0].state == other.checks[0].state


def test_a_bigger_rope_of_one_table_is_never_weaker_or_lighter() -> None:
    pairs = 0
    for sizes in ropes().values():
        for below, one in pairwise(sizes):
            assert one.strength > below.strength
            assert one.diameter > below.diameter
            if one.mass is not None and below.mass is not None:
                assert one.mass >= below.mass
            pairs += 1
    print(f"{pairs} pairs of sizes")
    assert pairs >= 110


@given(row=st.sampled_from(rows("k_factors")), one=lengths, more=lengths)
def test_a_bigger_rope_by_formula_is_never_weaker(row: Row, one: Fraction, more: Fraction) -> None:
    k, grade = row.number("k"), Fraction(1770 * 10**6)
    assert breaking_force(k, one + more, grade) > breaking_force(k, one, grade)


@given(
    load=st.integers(10, 3000), more=st.integers(0, 3000),
    end=st.sampled_from([row["slug"] for row in rows("terminations")]),
    tread=st.integers(20, 800), smaller=st.integers(0, 700),
)  # fmt: skip
@settings(max_examples=60)
def test_more_load_or_a_tighter_bend_never_betters_the_design_factor(
    load: int, more: int, end: str, tread: int, smaller: int
) -> None:
    rest = {
        "strength": "31 kN", "termination": slug_of(end), "bend": "bent", "diameter": "6 mm",
        "rule": "stage-carrying",
    }  # fmt: skip
    one = asked("design-factor", load=f"{load} kg", tread=f"{tread} mm", **rest)
    tight = max(6, tread - smaller)
    other = asked("design-factor", load=f"{load + more} kg", tread=f"{tight} mm", **rest)
    assert number(other, "factor") <= number(one, "factor")
    assert RANK[other.checks[0].state] >= RANK[one.checks[0].state]


@given(ratio=ratios, more=ratios)
def test_a_bigger_sheave_never_costs_strength_and_nothing_is_made_up_between_rows(
    ratio: Fraction, more: Fraction
) -> None:
    here, there = strength_left(ratio), strength_left(ratio + more)
    assert here is not None
    assert there is not None
    assert there >= here
    assert here in [row.quantity("strength left", "ratio") for row in rows("bending_strength")]
    below = not_above("bending_strength", "ratio", ratio)
    assert below is not None
    assert below.number("ratio") <= ratio


@given(barrel=lengths, rope=lengths, layer=st.integers(1, 12))
def test_an_upper_layer_pulls_less_and_holds_more(
    barrel: Fraction, rope: Fraction, layer: int
) -> None:
    pull = Fraction(1000)
    assert layer_pull(pull, barrel, rope, layer + 1) < layer_pull(pull, barrel, rope, layer)
    assert layer_pull(pull, barrel, rope, 1) == pull
    one, more = (rope_length(barrel, rope, 10, layers) for layers in (layer, layer + 1))
    assert more - one > one / layer


@given(offset=lengths, distance=lengths, further=lengths)
def test_a_block_further_away_makes_a_smaller_fleet_angle(
    offset: Fraction, distance: Fraction, further: Fraction
) -> None:
    near, far = fleet_angle(offset, distance), fleet_angle(offset, distance + further)
    assert 0 < far < near < 90


@given(one=st.integers(1, 28), more=st.integers(0, 27))
def test_a_bigger_rope_never_wants_fewer_clips_or_less_turned_back(one: int, more: int) -> None:
    sizes = [Fraction(one) * MILLIMETRE, Fraction(min(28, one + more)) * MILLIMETRE]
    small, big = (printed_clips(size) for size in sizes)
    assert small is not None
    assert big is not None
    assert int(big["clips"]) >= int(small["clips"])
    assert big.quantity("turn-back", "length") >= small.quantity("turn-back", "length")
    assert clips_by_rule(sizes[1] / UNITS["in"].factor) >= clips_by_rule(
        sizes[0] / UNITS["in"].factor
    )


@given(slow=st.integers(1, 304), faster=st.integers(0, 300))
def test_a_faster_hoist_never_wants_a_smaller_factor(slow: int, faster: int) -> None:
    speeds = [Fraction(speed, 100) for speed in (slow, min(304, slow + faster))]
    found = [row_for_speed(speed) for speed in speeds]
    factors = [row.number("factor") for row in found if row]
    assert len(factors) == 2
    assert factors[1] >= factors[0]


@given(
    reading=readings, doubt=readings, more=readings, limit=readings,
    side=st.sampled_from(["at_most", "at_least"]),
)  # fmt: skip
@settings(max_examples=100)
def test_more_doubt_never_makes_a_pass_and_never_turns_one_side_into_the_other(
    reading: Fraction, doubt: Fraction, more: Fraction, limit: Fraction, side: str
) -> None:
    sure, unsure = (guarded_state(reading, one, limit, side) for one in (doubt, doubt + more))
    assert unsure in (sure, UNDECIDED)
    if sure == WITHIN:
        assert reading <= limit if side == "at_most" else reading >= limit


FAKE = Source("A page that is not there", backing="from memory")


def fake(*sizes: tuple[str, str]) -> tuple[Row, ...]:
    """Rows of an invented table."""
    return tuple(
        Row("fake.csv", line, {"rope": "x", "size": size, "strength": force, "mass": ""}, FAKE)
        for line, (size, force) in enumerate(sizes, start=2)
    )


def test_an_honest_table_is_taken() -> None:
    assert len(ropes_of(fake(("6 mm", "20 kN"), ("8 mm", "36 kN")))["x"]) == 2


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        # The pair that a real sheet misprints: 3.5 mm weaker than 3.2 mm.
        ((("3.2 mm", "8.9 kN"), ("3.5 mm", "8.4 kN")), "strength does not rise"),
        ((("6 mm", "20 kN"), ("6 mm", "21 kN")), "diameter does not rise"),
        ((("10 mm", "64.7 kN"), ("11 mm", "98.2 kN")), "square of the diameter"),
        ((("6 mm", "20"),), "strength: Type the unit too"),
    ],
)
def test_a_misprint_is_refused_with_its_file_and_line(
    bad: tuple[tuple[str, str], ...], says: str
) -> None:
    with pytest.raises(TableRefused, match=rf"fake\.csv, line [23]: .*{says}"):
        ropes_of(fake(*bad))


def test_every_source_of_the_tables_is_used_and_every_row_can_be_read() -> None:
    seen = 0
    used: set[Source] = set()
    for table, headings in {
        "strength": (), "k_factors": ("k", "w"), "sheave_ratios": ("least", "suggested"),
        "bending_strength": ("ratio",), "bending_life": ("ratio", "relative life"), "clips": (),
        "terminations": (), "design_factors": ("factor",), "hoist_factors": ("factor",),
        "dead_wraps": ("wraps",),
    }.items():  # fmt: skip
        for row in rows(table):
            used.add(row.source)
            assert all(row.number(heading) > 0 for heading in headings)
            seen += 1
    print(f"{seen} printed rows, {len(used)} sources")
    assert seen >= 240
    assert used == set(sources().values())
