"""Line loads of battens against printed tables, two independent programs and laws of statics."""

from __future__ import annotations

import itertools
import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sympy import Rational, symbols
from sympy.physics.continuum_mechanics import Beam

from rigging.calculators import BadValue, answer, load_calculators, read_values
from rigging.calculators.contract import BEYOND, WITHIN, Given
from rigging.calculators.loads.batten import pipe_rigidity
from rigging.calculators.loads.continuous_beam import (
    PointLoad,
    SpreadLoad,
    beam_of,
    equal_share,
    settlement_sensitivity,
    solve_beam,
)
from rigging.calculators.loads.lines_that_pull import BeamTips, hang_beam

F = Fraction
BEAMS = json.loads(
    (Path(__file__).parent.parent / "vectors" / "beams.json").read_text(encoding="utf-8")
)
# Civil Engineering Formulas, table 2.1 (page 50 of the ebook): shear left and right of each
# support up to the middle one, in parts of w·l; their sum is the reaction.
TABLE = "Civil Engineering Formulas, table 2.1"
PRINTED_SHEARS = {
    2: (2, [(0, 1)]),
    3: (8, [(0, 3), (5, 5)]),
    4: (10, [(0, 4), (6, 5)]),
    5: (28, [(0, 11), (17, 15), (13, 13)]),
    6: (38, [(0, 15), (23, 20), (18, 19)]),
    7: (104, [(0, 41), (63, 55), (49, 51), (53, 53)]),
    8: (142, [(0, 56), (86, 75), (67, 70), (72, 71)]),
}
# Sets of formulas for continuous beams of equal spans, as stored; w and l are 1. Spans with load,
# then every reaction as printed.
FORMULA_PAGES = "Beam design formulas, continuous beams of equal spans"
PRINTED_PATTERNS = [
    ([1, 1, 1], ["0.400", "1.100", "1.100", "0.400"]),
    ([1, 1, 0], ["0.383", "1.200", "0.450", "-0.033"]),
    ([1, 0, 1], ["0.450", "0.550", "0.550", "0.450"]),
    ([1, 1, 1, 1], ["0.393", "1.143", None, "1.143", "0.393"]),
    ([1, 0, 1, 0], ["0.446", "0.572", "0.464", "0.572", "-0.054"]),
]
# Civil Engineering Reference Manual, fifteenth edition, as quoted by a page of formulas:
# equal loads at these parts of each of two spans, reactions in parts of one load.
REFERENCE_MANUAL = "Civil Engineering Reference Manual, fifteenth edition"
PRINTED_POINTS = [
    ([F(1, 2)], [F(5, 16), F(11, 8), F(5, 16)]),
    ([F(1, 3), F(2, 3)], [F(2, 3), F(8, 3), F(2, 3)]),
]


def equal_spans(count: int) -> list[Fraction]:
    return [F(i) for i in range(count)]


def even(length: Fraction | int) -> SpreadLoad:
    return SpreadLoad(F(1), F(0), F(length))


@pytest.mark.external("printed")
@pytest.mark.parametrize("supports", PRINTED_SHEARS)
def test_an_even_load_over_equal_spans_is_the_printed_table_exactly(supports: int) -> None:
    denominator, shears = PRINTED_SHEARS[supports]
    printed = [F(left + right, denominator) for left, right in shears]
    half = printed + printed[: supports // 2][::-1]
    found = solve_beam(equal_spans(supports), [even(supports - 1)]).reactions
    assert list(found) == half, TABLE


@pytest.mark.external("printed")
@pytest.mark.parametrize(("loaded", "printed"), PRINTED_PATTERNS)
def test_loads_on_some_spans_are_the_printed_coefficients(loaded, printed) -> None:
    loads = [SpreadLoad(F(1), F(i), F(i + 1)) for i, on in enumerate(loaded) if on]
    found = solve_beam(equal_spans(len(loaded) + 1), loads).reactions
    compared = [(a, F(b)) for a, b in zip(found, printed, strict=True) if b is not None]
    assert len(compared) >= 3
    allowed = F(1, 1000) if "0.572" in printed else F(1, 2000)  # printed for 0.5714
    assert all(abs(a - b) <= allowed for a, b in compared), FORMULA_PAGES


@pytest.mark.external("printed")
@pytest.mark.parametrize(("parts", "printed"), PRINTED_POINTS)
def test_single_loads_on_both_spans_are_the_printed_fractions(parts, printed) -> None:
    loads = [PointLoad(F(1), span + part) for span in (0, 1) for part in parts]
    assert list(solve_beam([0, 1, 2], loads).reactions) == printed, REFERENCE_MANUAL


@pytest.mark.external("printed")
@given(st.fractions(0, 1, max_denominator=60))
def test_one_load_anywhere_on_the_first_of_two_spans_is_the_printed_formula(a: Fraction) -> None:
    """R1 = P·b·(4L² − a(L + a)) ÷ 4L³, R2 = P·a·(2L² + b(L + a)) ÷ 2L³, R3 = −P·a·b(L + a) ÷ 4L³."""
    b = 1 - a
    printed = [b * (4 - a * (1 + a)) / 4, a * (2 + b * (1 + a)) / 2, -a * b * (1 + a) / 4]
    assert list(solve_beam([0, 1, 2], [PointLoad(F(1), a)]).reactions) == printed, REFERENCE_MANUAL


@pytest.mark.external("printed")
def test_a_load_in_the_middle_of_one_of_two_spans_is_the_printed_fraction() -> None:
    found = solve_beam([0, 1, 2], [PointLoad(F(1), F(1, 2))]).reactions
    assert list(found) == [F(13, 32), F(11, 16), F(-3, 32)], FORMULA_PAGES


@pytest.mark.external("printed")
@pytest.mark.parametrize(
    ("supports", "at", "printed"), [(4, "0.446", "0.0069"), (5, "0.440", "0.0065")]
)
def test_the_deepest_point_is_the_printed_coefficient(supports, at, printed) -> None:
    """Printed in parts of w·l⁴ ÷ E·I, at that part of the first span."""
    rigidity = F(7)
    found = solve_beam(equal_spans(supports), [even(supports - 1)], rigidity=rigidity)
    assert abs(found.drop_at(F(at)) * rigidity - F(printed)) <= F(1, 20_000), FORMULA_PAGES


@pytest.mark.external("independent program")
@pytest.mark.parametrize("one", BEAMS["beams"], ids=range(len(BEAMS["beams"])))
def test_an_independent_program_agrees_on_every_batten_of_the_file(one) -> None:
    """Also with lines out of level, loads beyond the outer lines, and partly spread loads."""
    loads = [PointLoad(F(load), F(place, 10)) for place, load in one["points"]]
    loads += [SpreadLoad(F(r), F(start, 10), F(end, 10)) for start, end, r in one["spread"]]
    lines = [F(place, 10) for place in one["lines"]]
    drops = [F(drop, 1000) for drop in one["drops"]]
    found = solve_beam(lines, loads, drops, F(one["rigidity"])).reactions
    told = [F(text) for text in one["reactions"]]
    allowed = max(map(abs, told)) / 10**7
    assert all(abs(a - b) <= allowed for a, b in zip(found, told, strict=True)), BEAMS["program"]


def test_the_file_of_battens_is_whole() -> None:
    assert len(BEAMS["beams"]) == 400
    assert sum(len(one["reactions"]) for one in BEAMS["beams"]) == 2273


CASES = [
    ([1, 3], [(2, 7)], [(0, 4, 3)]),
    ([0, 5, 9], [(7, 12)], [(0, 10, 2)]),
    ([2, 12, 22, 32, 42], [(27, 200)], [(0, 44, 12)]),
    ([1, 2, 4, 8], [(0, 5), (6, 9)], [(3, 7, 4)]),
]


@pytest.mark.external("independent program")
@pytest.mark.parametrize(("places", "points", "spreads"), CASES)
def test_the_beam_module_of_a_computer_algebra_agrees_exactly(places, points, spreads) -> None:
    length = max([*places, *(p for p, _ in points), *(end for _, end, _ in spreads)])
    beam = Beam(length, 1, 1)
    forces = symbols(f"R0:{len(places)}")
    for place, force in zip(places, forces, strict=True):
        beam.apply_load(force, place, -1)
    for place, load in points:
        beam.apply_load(-load, place, -1)
    for start, end, rate in spreads:
        beam.apply_load(-rate, start, 0, end=end)
    beam.bc_deflection = [(place, 0) for place in places]
    beam.solve_for_reaction_loads(*forces)
    loads = [PointLoad(F(load), F(place)) for place, load in points]
    loads += [SpreadLoad(F(rate), F(start), F(end)) for start, end, rate in spreads]
    found = solve_beam(places, loads).reactions
    told = [beam.reaction_loads[force] for force in forces]
    assert [Rational(value.numerator, value.denominator) for value in found] == told


@pytest.mark.external("printed")
def test_a_makers_rule_for_ropes_covers_an_even_load_and_not_every_other() -> None:
    """A stage hoist maker's page: each rope for 40 % of the load, the middle of three for 70 %."""
    for lines in range(3, 9):
        worst = max(solve_beam(equal_spans(lines), [even(lines - 1)]).reactions) / (lines - 1)
        assert worst <= (F(7, 10) if lines == 3 else F(4, 10))
    at_one_line = solve_beam(equal_spans(5), [PointLoad(F(1), F(2))]).reactions
    assert max(at_one_line) > F(4, 10)


def test_an_equal_share_is_wrong_on_the_unsafe_side() -> None:
    """The middle of three lines carries 62.5 %, not a third."""
    found = solve_beam(equal_spans(3), [even(2)]).reactions
    assert found[1] / 2 == F(625, 1000)
    assert found[1] > equal_share(F(2), 3)


lengths = st.integers(1, 400).map(lambda n: F(n, 10))


@st.composite
def battens(draw, most: int = 6):
    gaps = draw(st.lists(lengths, min_size=2, max_size=most))
    lines = list(itertools.accumulate(gaps))
    end = lines[-1] + draw(lengths)
    loads = [
        PointLoad(F(load), end * part)
        for load, part in draw(
            st.lists(st.tuples(st.integers(0, 500), st.fractions(0, 1, max_denominator=20)),
                     max_size=3)
        )
    ]  # fmt: skip
    return lines, end, [SpreadLoad(F(draw(st.integers(1, 50))), F(0), end), *loads]


@settings(max_examples=60)
@given(battens())
def test_the_lines_carry_the_whole_load_and_its_moment(batten) -> None:
    lines, _, loads = batten
    found = solve_beam(lines, loads)
    assert sum(found.reactions) == sum(load.load for load in loads)
    moment = sum(r * x for r, x in zip(found.reactions, lines, strict=True))
    assert moment == sum(load.moment for load in loads)
    assert all(found.drop_at(x) == 0 for x in lines)


@settings(max_examples=40)
@given(battens())
def test_a_mirrored_batten_has_mirrored_loads(batten) -> None:
    lines, end, loads = batten
    mirrored = [
        PointLoad(load.load, end - load.position)
        if isinstance(load, PointLoad)
        else SpreadLoad(load.rate, end - load.end, end - load.start)
        for load in loads
    ]
    there = solve_beam(lines, loads).reactions
    back = solve_beam([end - x for x in reversed(lines)], mirrored).reactions
    assert there == back[::-1]
    both = solve_beam(equal_spans(5), [even(4), PointLoad(F(3), F(1)), PointLoad(F(3), F(3))])
    assert both.reactions == both.reactions[::-1]


@settings(max_examples=40)
@given(battens(), st.integers(1, 99), st.integers(1, 99))
def test_units_cancel(batten, unit_of_length, unit_of_force) -> None:
    """The same batten in other units of length and force has the same loads in that unit."""
    lines, _, loads = batten
    k, f = F(unit_of_length, 7), F(unit_of_force, 3)
    other = [
        PointLoad(load.load * f, load.position * k)
        if isinstance(load, PointLoad)
        else SpreadLoad(load.rate * f / k, load.start * k, load.end * k)
        for load in loads
    ]
    there = solve_beam(lines, loads).reactions
    assert solve_beam([x * k for x in lines], other).reactions == tuple(r * f for r in there)


@settings(max_examples=40)
@given(battens(), st.integers(1, 1000))
def test_settlement_adds_no_load_and_is_symmetric(batten, rigidity: int) -> None:
    lines, _, loads = batten
    changes = settlement_sensitivity(lines, F(rigidity))
    assert all(sum(row) == 0 for row in changes)
    assert all(changes[i][j] == changes[j][i] for i, j in itertools.product(range(len(lines)),
                                                                           repeat=2))  # fmt: skip
    drops = [F(1, 50) if i == 0 else F(0) for i in range(len(lines))]
    moved = solve_beam(lines, loads, drops, F(rigidity)).reactions
    still = solve_beam(lines, loads).reactions
    assert [a - b for a, b in zip(moved, still, strict=True)] == [c / 50 for c in changes[0]]
    assert len(lines) == 2 or changes[0][0] < 0  # a line let out carries less


@settings(max_examples=60)
@given(battens(5), st.data())
def test_a_line_pulls_or_hangs_slack_and_no_other_state_is_possible(batten, data) -> None:
    """Every choice of taut lines is tried; only the one that was found may stand."""
    lines, _, loads = batten
    drops = [F(data.draw(st.integers(-3, 3)), 10) for _ in lines]
    rigidity = F(10 ** data.draw(st.integers(2, 6)))
    possible = []
    for size in range(2, len(lines) + 1):
        for taut in itertools.combinations(range(len(lines)), size):
            solved = solve_beam([lines[i] for i in taut], loads, [drops[i] for i in taut], rigidity)
            free = [i for i in range(len(lines)) if i not in taut]
            if min(solved.reactions) >= 0 and all(
                solved.drop_at(lines[i]) <= drops[i] for i in free
            ):
                tensions = [F(0)] * len(lines)
                for i, reaction in zip(taut, solved.reactions, strict=True):
                    tensions[i] = reaction
                possible.append(tuple(tensions))
    try:
        found = hang_beam(lines, loads, drops, rigidity)
    except BeamTips:
        assert not possible
        return
    assert set(possible) == {found.tensions}
    assert sum(found.tensions) == sum(load.load for load in loads)


@settings(max_examples=25)
@given(battens(5), st.integers(1, 1000))
def test_the_drop_at_a_slack_line_is_the_same_from_what_is_known_already(batten, rigidity) -> None:
    lines, _, loads = batten
    level = (F(0),) * len(lines)
    solved = beam_of(lines, loads).solve((0, len(lines) - 1), level, F(rigidity), level)
    for i, place in enumerate(lines):
        assert solved.drop_at_support(i) == solved.drop_at(place)


def test_a_stretchy_line_carries_less_and_two_equal_ones_share_evenly() -> None:
    """A middle line that gives a third of what the bar would gives way to the outer ones."""
    still = solve_beam(equal_spans(3), [even(2)]).reactions
    soft = solve_beam(equal_spans(3), [even(2)], stretches=[F(0), F(1, 3), F(0)]).reactions
    # Middle of a bar on its ends sags 5·w·L⁴ ÷ 384 for L = 2; a force of one lifts it L³ ÷ 48.
    assert soft[1] == F(5 * 16, 384) / (F(8, 48) + F(1, 3))
    assert soft[1] < still[1]
    assert soft[0] == soft[2]


@settings(max_examples=40)
@given(battens(5), st.data())
def test_a_line_that_is_gone_is_as_if_it_had_never_been_there(batten, data) -> None:
    lines, _, loads = batten
    gone = data.draw(st.integers(0, len(lines) - 1))
    left = [line for i, line in enumerate(lines) if i != gone]
    try:
        without = hang_beam(left, loads).tensions
    except BeamTips:
        with pytest.raises(BeamTips):
            hang_beam(lines, loads, cut=[gone])
        return
    with_it = hang_beam(lines, loads, cut=[gone]).tensions
    assert with_it[gone] == 0
    assert with_it[:gone] + with_it[gone + 1 :] == without


def test_a_line_right_under_a_load_carries_all_and_the_other_hangs_without_tension() -> None:
    hung = hang_beam([0, 1], [PointLoad(F(5), F(0))])
    assert hung.tensions == (5, 0)
    assert hung.slack == (1,)


@pytest.mark.parametrize(("long_by", "carries"), [(0, True), (1, True), (5, False)])
def test_a_line_that_is_long_carries_only_once_the_batten_sags_down_to_it(long_by, carries) -> None:
    """The middle of a bar of length 2 on its ends sags 5·w·L⁴ ÷ 384·E·I."""
    sag = F(5 * 16, 384)
    hung = hang_beam([0, 1, 2], [even(2)], [F(0), F(long_by) * sag / 4, F(0)])
    assert (hung.tensions[1] > 0) == carries
    assert hung.tensions[1] == (48 * (sag - F(long_by) * sag / 4) / 8 if carries else 0)


def test_a_load_beyond_two_lines_tips_the_batten() -> None:
    with pytest.raises(BeamTips):
        hang_beam([1, 2], [PointLoad(F(5), F(0))])
    with pytest.raises(BeamTips):
        hang_beam([0, 1], [even(1)], cut=[0])


def asked(slug: str, **typed: str):
    one = load_calculators()[slug]
    return answer(one, read_values(one, typed))


SMALL = {"length": "4 m", "lines": "0 m; 4 m", "own": "5 kg/m"}


def test_a_winch_of_two_lines_with_one_slack_is_beyond_any_limit() -> None:
    found = asked("winch-lines", **SMALL, allowed="100 kN")
    assert {check.slug: check.state for check in found.checks}["slack"] == BEYOND
    assert any("tips" in warning for warning in found.warnings)


WINCH = {"length": "20 ft", "lines": "0 ft; 10 ft; 20 ft", "own": "10 lb/ft"}
PIPE = {"outside": "48.3 mm", "wall": "3.2 mm", "modulus": "200000 MPa"}
POUND = F("4.4482216152605")


def pounds(found, slug: str) -> float:
    return round(float(found.figure(slug).value / POUND), 6)


@pytest.mark.parametrize(
    ("allowed", "level", "slack"),
    [
        ("124.99 lb", BEYOND, BEYOND), ("125 lb", WITHIN, BEYOND),
        ("199.99 lb", WITHIN, BEYOND), ("200 lb", WITHIN, WITHIN),
    ],
)  # fmt: skip
def test_a_winch_is_judged_level_and_with_any_one_line_slack(allowed, level, slack) -> None:
    """200 lb even on three lines: 5/8 in the middle; an outer one slack leaves all of it there."""
    found = asked("winch-lines", **WINCH, allowed=allowed)
    assert pounds(found, "level") == 125
    assert pounds(found, "slack") == 200
    assert found.figure("slack").label == "Heaviest line, line 1 slack"
    assert {check.slug: check.state for check in found.checks} == {"level": level, "slack": slack}
    assert {check.label for check in found.checks} == {"All lines level", "One line slack"}
    assert found.cannot == ()
    assert [row[0] for row in found.tables[0].rows] == [
        "All level", "Line 1 slack", "Line 2 slack", "Line 3 slack",
    ]  # fmt: skip


def test_a_short_line_takes_load_from_the_others_and_its_factor() -> None:
    """48·E·I·δ ÷ (2·L)³ on the middle of three: the settlement of a beam of two spans."""
    found = asked("winch-lines", **WINCH, **PIPE, short_by="1 mm", factor="2", allowed="400 lb")
    stiffness = float(pipe_rigidity(Given({name: read(name) for name in PIPE})))
    more = 48 * stiffness * 0.001 / float(F(20) * F("0.3048")) ** 3
    assert float(found.figure("short").value) == pytest.approx(2 * (125 * float(POUND) + more))
    assert found.figure("short").label == "Heaviest line, line 2 short"
    states = {check.slug: check.state for check in found.checks}
    assert states == {"level": WITHIN, "slack": WITHIN, "short": WITHIN}
    tight = asked("winch-lines", **WINCH, **PIPE, short_by="1 mm", factor="2", allowed="250 lb")
    assert {check.slug: check.state for check in tight.checks}["short"] == BEYOND
    unknown = asked("winch-lines", **WINCH, short_by="1 mm", allowed="400 lb")
    assert [missing.slug for missing in unknown.cannot] == ["outside"]


def read(slug: str) -> Fraction:
    one = load_calculators()["winch-lines"]
    return read_values(one, {slug: PIPE[slug]})[slug]


@pytest.mark.parametrize(
    ("slug", "typed"),
    [
        ("lines", {"lines": "2 m; 2 m"}),
        ("lines", {"lines": "2 m"}),
        ("lines", {"lines": "1 m; 5 m"}),
        ("lines", {"lines": "; ".join(f"{i / 10} m" for i in range(13))}),
        ("lines", {"lines": "3 m; 4 m", "loads": "500 kg at 0 m"}),
        ("loads", {"loads": "10 kg at 4.1 m"}),
        ("spread", {"spread": "10 kg from 3 m to 2 m"}),
        ("spread", {"spread": "10 kg from 2 m to 2 m"}),
        ("spread", {"spread": "10 kg from 3 m to 5 m"}),
        ("own", {"own": "0 kg/m"}),
        ("wall", {"outside": "48 mm", "wall": "25 mm", "modulus": "200000 MPa"}),
    ],
)
def test_a_batten_that_cannot_be_is_refused_by_the_field_that_is_wrong(slug, typed) -> None:
    with pytest.raises(BadValue) as refused:
        asked("line-loads", **(SMALL | typed))
    assert refused.value.slug == slug


@pytest.mark.parametrize(
    ("typed", "slack"),
    [({"loads": "500 kg at 2 m"}, True), ({"loads": "500 kg at 4 m"}, False)],
)
def test_a_line_that_the_load_lifts_off_is_told_and_shares_are_of_the_whole(typed, slack) -> None:
    found = asked("line-loads", length="8 m", lines="0 m; 4 m; 8 m", own="1 kg/m", **typed)
    assert any("slack" in warning for warning in found.warnings) == slack
    shares = sum(float(found.figure(f"line_{i}").value) for i in (1, 2, 3))
    assert shares == pytest.approx(float(found.figure("total").value))


def test_what_lies_right_at_the_end_of_the_batten_or_fills_the_pipe_is_taken() -> None:
    at_end = asked("line-loads", **SMALL, loads="10 kg at 4 m", spread="10 kg from 3 m to 4 m")
    assert at_end.figure("total").value == (20 + 10 + 10) * F("9.80665")
    solid = asked("line-loads", **SMALL, outside="48 mm", wall="24 mm", modulus="200000 MPa")
    assert solid.cannot == ()


def test_without_the_pipe_what_a_line_out_of_level_does_cannot_be_decided() -> None:
    found = asked("line-loads", **SMALL, outside="48.3 mm")
    assert [missing.slug for missing in found.cannot] == ["wall"]
    full = asked("line-loads", **SMALL, outside="48.3 mm", wall="3.2 mm", modulus="200000 MPa")
    assert full.cannot == ()
    assert len(full.tables) == 2
