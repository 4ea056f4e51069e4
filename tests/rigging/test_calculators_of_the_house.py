"""Smoke, slopes, falls, outages, stops, lifts, brakes and blocks: laws, limits and refusals."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigging.calculators import BadValue, answer, load_calculators, read_values
from rigging.calculators.contract import BEYOND, UNDECIDED, WITHIN
from rigging.calculators.house.fall_room import room_below_anchor
from rigging.calculators.house.light_loss import (
    FOOT,
    decibels_from_total,
    density_from_total,
    rate_from_total,
    total_from_decibels,
    total_from_rate,
)
from rigging.calculators.house.outages import hours_from_moments, joined, worst_day
from rigging.calculators.house.steepness import degrees_from_grade, grade_from_degrees
from rigging.calculators.loads.block_force import block_force
from rigging.calculators.loads.brake_load import torque_at_brake
from rigging.calculators.loads.lift_load import greatest_rating, load_for_test
from rigging.calculators.loads.stopping import (
    deceleration_in_distance,
    deceleration_in_time,
    dynamic_factor,
    lightest_factor,
)

F = Fraction
shares = st.floats(0, 0.999, allow_nan=False)
paths = st.integers(10, 2000).map(lambda n: F(n, 10))
positive = st.integers(1, 10_000).map(lambda n: F(n, 8))


def asked(slug: str, **typed: str):
    one = load_calculators()[slug]
    return answer(one, read_values(one, typed))


def state(slug: str, **typed: str) -> str:
    return asked(slug, **typed).checks[0].state


@given(shares, paths)
def test_light_loss_comes_back_from_every_scale(total: float, path: Fraction) -> None:
    for per in (FOOT, F(1)):
        rate = rate_from_total(total, per, path)
        assert math.isclose(total_from_rate(rate, per, path), total, rel_tol=1e-9, abs_tol=1e-12)
    assert math.isclose(
        total_from_decibels(decibels_from_total(total)), total, rel_tol=1e-9, abs_tol=1e-12
    )
    assert math.isclose(10 ** -density_from_total(total), 1 - total, rel_tol=1e-9)


@given(shares.filter(lambda share: share > 0.001), paths.filter(lambda path: path > 1))
def test_loss_over_a_longer_path_is_more_but_never_in_proportion(rate, path) -> None:
    total = total_from_rate(rate, F(1), path)
    assert rate < total <= 1
    assert total < rate * float(path)


def test_loss_per_length_times_length_would_pass_the_whole() -> None:
    """0.5 % a foot over 250 ft: 125 % by multiplication, 71.4 % by Beer and Lambert."""
    found = asked("smoke-in-a-beam", per_foot="0.5 %", path="250 ft").figure("total").value
    assert 0.5 * 250 > 100
    assert round(100 * float(found), 3) == 71.439


@pytest.mark.parametrize(
    ("slug", "typed"),
    [
        ("per_metre", {"per_foot": "1 %", "per_metre": "3 %"}),
        ("decibels", {"total": "25 %", "decibels": "1"}),
        ("total", {"total": "100 %"}),
        ("total", {"total": "-1 %"}),
        ("per_foot", {"per_foot": "100 %"}),
        ("per_foot", {"per_foot": "99.9 %", "path": "2000 ft"}),
    ],
)
def test_smoke_is_said_in_one_way_and_leaves_some_light(slug, typed) -> None:
    with pytest.raises(BadValue) as refused:
        asked("smoke-in-a-beam", **({"path": "30 m"} | typed))
    assert refused.value.slug == slug


@given(st.integers(0, 8999).map(lambda n: F(n, 100)))
def test_a_slope_comes_back_from_degrees(degrees: Fraction) -> None:
    back = degrees_from_grade(F(grade_from_degrees(degrees)))
    assert math.isclose(back, float(degrees), abs_tol=1e-9)


@pytest.mark.external("printed")
@pytest.mark.parametrize(
    ("degrees", "expected"),
    [("49.99 deg", BEYOND), ("50 deg", WITHIN), ("70 deg", WITHIN), ("70.01 deg", BEYOND)],
)
def test_ship_stairs_are_within_fifty_to_seventy_degrees(degrees, expected) -> None:
    """29 CFR 1910.25(e): both ends belong to it."""
    assert state("slope", degrees=degrees, use="ship_stairs") == expected


def test_a_slope_said_twice_is_refused_and_half_said_is_undecided() -> None:
    with pytest.raises(BadValue):
        asked("slope", degrees="5 deg", percent="9 %")
    assert [one.slug for one in asked("slope", rise="1 ft").cannot] == ["rise"]


FALL = {"connector": "6 ft", "deceleration": "3.5 ft", "stretch": "1 ft", "ring": "5 ft",
        "margin": "2 ft"}  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ({"available": "17.5 ft"}, WITHIN),
        ({"available": "17.49 ft"}, BEYOND),
        ({"available": "13 ft", "height": "5 ft"}, BEYOND),
        ({"available": "13 ft", "height": "5 ft", "datum": "surface"}, WITHIN),
        ({"available": "12.49 ft", "height": "5 ft", "datum": "surface"}, BEYOND),
        ({"available": "13 ft", "datum": "surface"}, UNDECIDED),
        ({}, UNDECIDED),
    ],
)
def test_room_for_a_fall_is_judged_on_the_datum_it_was_measured_from(typed, expected) -> None:
    found = asked("fall-clearance", **FALL, **typed)
    assert found.checks[0].state == expected
    assert ("short by" in found.checks[0].words) == (expected == BEYOND)
    slugs = {figure.slug for figure in found.figures}
    assert ("below_surface" in slugs) == ("height" in typed)


@pytest.mark.external("printed")
def test_four_printed_terms_of_a_leading_edge_device_add_to_the_printed_total() -> None:
    """A maker's leading-edge manual, page 26: 17.5 ft from the walking surface."""
    assert room_below_anchor([F(1), F(10), F(3, 2), F(5)]) == F(35, 2)


outages = st.lists(
    st.tuples(st.integers(0, 400), st.integers(0, 60)).map(lambda o: (F(o[0], 4), F(sum(o), 4))),
    max_size=6,
)


@settings(max_examples=25)
@given(outages)
def test_no_window_of_a_day_holds_more_hours_out(found) -> None:
    """Every quarter of an hour is tried: all ends lie on quarters."""
    together = joined(found)
    worst = worst_day(found).hours
    tried = max(
        sum(
            (max(F(0), min(end, F(start, 4) + 24) - max(begin, F(start, 4)))
             for begin, end in together),
            F(0),
        )
        for start in range(-100, 480)
    )  # fmt: skip
    assert tried == worst
    assert worst <= 24


@pytest.mark.external("printed")
@pytest.mark.parametrize(
    ("rule", "hours", "expected"),
    [
        ("alarm_4", "4 h", WITHIN), ("alarm_4", "4.001 h", BEYOND),
        ("alarm_8", "8 h", WITHIN), ("alarm_8", "8.001 h", BEYOND),
        ("sprinkler_10", "10 h", WITHIN), ("sprinkler_10", "10.001 h", BEYOND),
        ("at_once", "0.001 h", BEYOND),
    ],
)  # fmt: skip
def test_an_outage_is_beyond_only_when_it_is_more_than_the_rule_has(rule, hours, expected) -> None:
    assert state("impairment-hours", outages=f"0 h to {hours}", rule=rule) == expected


def test_two_outages_at_once_count_once() -> None:
    assert worst_day([(F(1), F(4)), (F(2), F(5))]).hours == 4
    with pytest.raises(BadValue):
        asked("impairment-hours", outages="5 h to 4 h", rule="alarm_4")


def test_a_night_in_which_the_clocks_change_counts_as_long_as_it_was() -> None:
    zone = ZoneInfo("Europe/London")
    begin = datetime(2025, 3, 30, 0, 30, tzinfo=zone)
    end = datetime(2025, 3, 30, 3, 30, tzinfo=zone)
    spring = hours_from_moments([(begin.astimezone(UTC), end.astimezone(UTC))])
    assert [stop - start for start, stop in spring] == [F(2)]
    assert hours_from_moments([(begin, end)]) == spring
    with pytest.raises(ValueError, match="time zone"):
        hours_from_moments([(datetime(2025, 3, 1), datetime(2025, 3, 2))])  # noqa: DTZ001
    moment = datetime(2025, 3, 1, tzinfo=UTC)
    (one,) = hours_from_moments([(moment, moment + timedelta(microseconds=1))])
    assert one[1] - one[0] == F(1, 3_600_000_000)


@given(positive, positive)
def test_a_shorter_stop_pulls_harder(speed, time) -> None:
    slow, quick = deceleration_in_time(speed, time), deceleration_in_time(speed, time / 2)
    assert dynamic_factor(quick) > dynamic_factor(slow) > 1
    # The way covered in an even stop is v·t/2: both formulas are one.
    assert deceleration_in_distance(speed, speed * time / 2) == slow
    assert lightest_factor(slow) == max(F(0), 2 - dynamic_factor(slow))


def test_a_stop_that_throws_the_load_is_warned_of_and_half_an_answer_is_none() -> None:
    assert asked("stop-of-a-load", speed="9.80665 m/s", time="1 s").warnings
    assert not asked("stop-of-a-load", speed="9.8 m/s", time="1 s").warnings
    assert not asked("stop-of-a-load", speed="1 m/s", time="1 s").warnings
    assert [one.slug for one in asked("stop-of-a-load", speed="1 m/s").cannot] == ["time"]
    with pytest.raises(BadValue):
        asked("stop-of-a-load", speed="1 m/s", time="1 s", distance="1 m")


@given(positive, st.integers(0, 180).map(F))
def test_a_block_feels_the_sum_of_both_parts_of_its_rope(tension, wrap) -> None:
    """The vector sum, by components: a second way to 2·T·sin(wrap ÷ 2)."""
    force = block_force(tension, wrap)
    assert math.isclose(
        math.hypot(force.along, force.across), force.resultant, rel_tol=1e-9, abs_tol=1e-6
    )
    assert force.resultant <= 2 * float(tension) * (1 + 1e-12)


@pytest.mark.external("printed")
@given(positive)
def test_a_rating_by_test_and_a_test_by_rating_are_one_rule(load) -> None:
    """29 CFR 1910.179(k)(2): 80 % of the test, 125 % of the rating."""
    assert greatest_rating(load_for_test(load)) == load


@pytest.mark.external("printed")
@pytest.mark.parametrize(
    ("tested", "expected"),
    [("1250 lb", WITHIN), ("1249.99 lb", BEYOND), ("", UNDECIDED)],
)
def test_a_rating_above_four_fifths_of_its_test_is_beyond(tested, expected) -> None:
    assert state("load-test", rated="1000 lb", tested=tested) == expected


@pytest.mark.external("printed")
@pytest.mark.parametrize(
    ("brake", "expected"),
    [("23.4375 N m", WITHIN), ("23.4374 N m", BEYOND), ("", UNDECIDED)],
)
def test_each_brake_alone_holds_125_per_cent_exactly(brake, expected) -> None:
    """Michigan R 408.10575."""
    assert torque_at_brake(F(5000), F(15, 100), F(40)) == F("23.4375")
    typed = {"load": "5000 N", "radius": "0.15 m", "ratio": "40", "brake": brake}
    assert state("brake-torque", **typed) == expected


def test_a_platform_has_two_ratings_and_a_missing_one_is_named() -> None:
    found = asked("lift-platform", length="12 m", width="3 m", standing="5 kN/m2")
    assert [one.slug for one in found.cannot] == ["moving"]
    assert {figure.slug for figure in found.figures} == {"area", "load_standing"}
