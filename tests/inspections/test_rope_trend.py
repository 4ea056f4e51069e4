"""Trends of a rope: limits lie exactly where the judging turns, what is not known is never drawn as 0."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest

from inspections.rope_trend import Look, Trend, diameter_trend, wire_trends
from inspections.trend_chart import LETTER, Forecast, chart_of
from rigging.engine import RuleSet, Verdict, judge_rope, load_rulesets
from rigging.engine.figures import in_unit
from tests.rigging.ropes import lay, make_observation, make_rope
from venue.quantities import exact_text

FIRST = date(2026, 1, 5)
OSHA, MSHA = "us-osha-1926-1413", "us-msha-30cfr-56-19024"
HAIR = Fraction(1, 10_000)
CHOSEN = load_rulesets()


def looks(*seen: dict, **facts: object) -> list[Look]:
    rope = make_rope(**facts)
    return [
        Look(FIRST + timedelta(days=30 * number), make_observation(**each), rope)
        for number, each in enumerate(seen)
    ]


def pair(text: str, uncertainty: str | None = None) -> dict:
    said: dict = {"diameters": [{"a": text, "b": text}]}
    return said | ({"instrument_uncertainty": uncertainty} if uncertainty else {})


def by_title(trends: list[Trend], title: str) -> Trend:
    return next(trend for trend in trends if trend.title == title)


def verdict(ruleset: RuleSet, what: str, **seen: object) -> Verdict:
    judged = judge_rope(make_rope(), make_observation(**seen), ruleset)
    return next(each.verdict for each in judged.results if each.words == what)


@pytest.mark.parametrize("slug", sorted(CHOSEN))
def test_a_line_of_the_diameter_lies_where_the_rule_set_turns(slug: str) -> None:
    rules = CHOSEN[slug]
    trend = diameter_trend(looks(pair("6 mm")), make_rope(), [rules], "mm")
    for line in trend.limits:
        criterion = next(each for each in rules.criteria if each.words == line.what)
        here, above, below = (
            verdict(rules, line.what, **pair(f"{exact_text(line.at + step)} mm"))
            for step in (Fraction(0), HAIR, -HAIR)
        )
        at_the_line = Verdict.MET if criterion.comparator == ">=" else Verdict.NOT_MET
        assert (above, here, below) == (Verdict.NOT_MET, at_the_line, Verdict.MET), line


@pytest.mark.parametrize("slug", sorted(CHOSEN))
def test_a_line_of_broken_wires_lies_where_the_rule_set_turns(slug: str) -> None:
    rules = CHOSEN[slug]
    for trend in wire_trends(looks({}), make_rope(), [rules]):
        for line in trend.limits:
            criterion = next(each for each in rules.criteria if each.words == line.what)
            reached = line.at if criterion.comparator == ">=" else line.at + 1
            most = -(-reached.numerator // reached.denominator)
            if criterion.wanted is None or criterion.wanted.window != ("lay", 1):
                continue
            if criterion.wanted.adjacent or criterion.wanted.without:
                continue
            zone = criterion.wanted.only[0] if criterion.wanted.only else None
            counts = [lay(most, most if criterion.wanted.per_strand else 0, zone)]
            reached_verdict = verdict(rules, line.what, counts=counts)
            doubtful = {Verdict.MET, Verdict.CANNOT_BE_DECIDED}
            assert reached_verdict in (doubtful if line.strictest else {Verdict.MET}), line
            fewer = [lay(most - 1, most - 1 if criterion.wanted.per_strand else 0, zone)]
            if criterion.comparator == ">=" or line.at.denominator == 1:
                assert verdict(rules, line.what, counts=fewer) is not Verdict.MET, line


def test_the_two_rule_sets_draw_two_lines_with_letters_and_clauses() -> None:
    rules = [CHOSEN[OSHA], CHOSEN[MSHA]]
    trend = diameter_trend(looks(pair("5.95 mm", "0.02 mm")), make_rope(), rules, "mm")
    assert [(line.letter, line.words, line.rules) for line in trend.limits] == [
        ("A", "less than 5.7 mm", "29 CFR 1926.1413"),
        ("B", "less than 5.734 mm", "30 CFR 56.19024"),
    ]
    (point,) = trend.points
    assert (point.low, point.read, point.high) == tuple(map(Fraction, ("5.93", "5.95", "5.97")))
    assert point.doubt_stated


def test_a_reading_without_an_uncertainty_is_marked_and_inches_stay_inches() -> None:
    seen = looks(pair("0.2475 in"), nominal_diameter="1/4 in", baseline_diameter="0.26 in")
    trend = diameter_trend(seen, seen[0].rope, [CHOSEN[OSHA]], "in")
    assert trend.points[0].read == Fraction(2475, 10_000)
    assert trend.limits[0].at == Fraction(1, 4) * Fraction(95, 100)
    assert chart_of(trend).dots[0].hollow
    assert in_unit(Fraction(254, 10_000), "in") == 1


def test_what_was_not_counted_is_not_known_and_never_nothing() -> None:
    seen = looks({"counts": []}, {"counts": [lay(2, 1)]}, {"counts": [lay(4, 2)], "diameters": []})
    trends = wire_trends(seen, make_rope(), [CHOSEN[OSHA]])
    trend = by_title(trends, "broken wires in one lay")
    assert [point.is_known for point in trend.points] == [False, True, True]
    assert len(chart_of(trend).dots) == 2
    diameter = diameter_trend(seen, make_rope(), [CHOSEN[OSHA]], "mm")
    assert [point.is_known for point in diameter.points] == [True, True, False]


def test_a_count_in_another_window_is_a_range_without_a_point() -> None:
    wider = {"number": 4, "window": ["lay", 3], "in_one_strand": 2, "zone": None}
    trend = by_title(
        wire_trends(looks({"counts": [wider]}), make_rope(), [CHOSEN[OSHA]]),
        "broken wires in one lay",
    )
    (point,) = trend.points
    assert (point.low, point.high, point.read) == (2, 4, None)
    chart = chart_of(trend)
    assert chart.dots == ()
    assert [(each.open_end, each.top < each.bottom) for each in chart.whiskers] == [(False, True)]


def test_a_rule_whose_limit_is_not_known_is_named_with_what_is_missing() -> None:
    unknown = make_rope(duty=None, baseline_diameter=None, nominal_diameter=None)
    rules = [CHOSEN[OSHA], CHOSEN[MSHA]]
    diameter = diameter_trend(looks(pair("6 mm")), unknown, rules, "mm")
    assert diameter.limits == ()
    assert [line.rules for line in diameter.without] == ["29 CFR 1926.1413", "30 CFR 56.19024"]
    wires = wire_trends(looks({}), unknown, [CHOSEN[OSHA]])
    assert any("duty" in missing or "running" in missing
               for trend in wires for line in trend.without for missing in line.missing)  # fmt: skip
    criterion = next(each for each in CHOSEN[OSHA].criteria if each.wanted)
    off = replace(CHOSEN[OSHA], criteria=(replace(criterion, off="Known from memory only."),))
    (trend,) = wire_trends([], make_rope(), [off])
    assert [line.missing for line in trend.without] == [("Known from memory only.",)]


def test_the_chart_keeps_what_is_more_above_what_is_less_and_every_limit_in_sight() -> None:
    seen = looks(*({"counts": [lay(number, 0)]} for number in (0, 1, 3, 5)))
    trends = wire_trends(seen, make_rope(), [CHOSEN[OSHA], CHOSEN[MSHA]])
    trend = by_title(trends, "broken wires in one lay")
    chart = chart_of(trend, Forecast(seen[-1].day + timedelta(days=20), Fraction(6)))
    heights, across = [dot.y for dot in chart.dots], [dot.x for dot in chart.dots]
    assert heights == sorted(heights, reverse=True)
    assert across == sorted(across)
    assert all(chart.top <= mark.y < heights[-1] for mark in chart.limits)
    gaps = [b.letters_y - a.letters_y for a, b in pairwise(chart.limits)]
    assert min(gaps) >= LETTER
    assert chart.forecast[2] == chart.right
    assert chart.forecast[3] in {mark.y for mark in chart.limits}
    assert {words for _, words in chart.ticks} >= {"0", "2", "4", "6"}


def test_one_look_is_a_point_in_the_middle_and_none_is_no_chart() -> None:
    one = diameter_trend(looks(pair("6 mm")), make_rope(), [], "mm")
    chart = chart_of(one)
    assert (chart.path, len(chart.dots), len(chart.days)) == ("", 1, 1)
    assert chart.left < chart.dots[0].x < chart.right
    assert chart_of(diameter_trend([], make_rope(), [CHOSEN[OSHA]], "mm")) is None
