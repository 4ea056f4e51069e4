"""Limits of ways aloft, lifts, detectors, brakes and hoists: files with sources and examples."""

from __future__ import annotations

import copy
import tomllib

import pytest

from inspections.regime_checks import read_check
from inspections.regime_files import regimes
from rigging.engine import RuleSetRefused
from rigging.engine.limit_examples import faults_of_limit_example
from rigging.engine.limit_set_files import (
    FOLDER,
    SUBJECTS,
    load_limit_sets,
    printed_limit,
    read_limit_set,
)
from rigging.engine.limit_sets import judge_printed_limit
from rigging.engine.two_points import FilterTest, judge_two_points
from venue.kind_files import Source
from venue.quantities import read_quantity

EXAMPLES = [
    pytest.param(limits, example, id=f"{slug}: {example.limit}: {example.name}")
    for slug, limits in load_limit_sets().items()
    for example in limits.examples
]


@pytest.mark.parametrize(("limits", "example"), EXAMPLES)
def test_every_printed_limit_answers_its_own_worked_examples(limits, example):
    faults = faults_of_limit_example(limits, example)
    assert not faults, "\n".join(faults)


def test_every_subject_has_its_limits_and_all_of_them_have_sources():
    found = load_limit_sets()
    assert {each.subject for each in found.values()} == set(SUBJECTS)
    limits = [limit for each in found.values() for limit in each.limits]
    assert len(limits) >= 130
    assert all(limit.source.document and limit.clause for limit in limits)
    off = [limit for limit in limits if limit.off]
    assert all(limit.verified == "from memory" for limit in off)
    assert len(off) == 3


def content(name: str) -> dict:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"at_least": "46 in"}, "lies above"),
        ({"at_least": 39.0}, "not a whole number or a text"),
        ({"at_least": "39 kg"}, "guardrail-height"),
        ({"source": "nowhere"}, "not in the file"),
        ({"verified": "from memory"}, "switched off"),
        ({"dimension": "colour"}, "dimension is one of"),
        ({"outcome": "keep"}, "outcome is one of"),
        ({"hight": "39 in"}, "hight"),
        ({"two_points": "alarm_level"}, "or two_points"),
    ],
)
def test_a_faulty_limit_is_refused_with_its_fault(change, says):
    parsed = content("access-us")
    row = next(each for each in parsed["limit"] if each["slug"] == "guardrail-height")
    row |= change
    with pytest.raises(RuleSetRefused, match=says):
        read_limit_set(parsed, "mine.toml")


def test_a_limit_without_an_example_or_there_twice_is_refused():
    parsed = content("access-us")
    parsed["example"] = [each for each in parsed["example"] if each["limit"] != "handrail-force"]
    with pytest.raises(RuleSetRefused, match="handrail-force has no example"):
        read_limit_set(parsed, "mine.toml")
    twice = content("access-us")
    twice["limit"].append(copy.deepcopy(twice["limit"][0]))
    with pytest.raises(RuleSetRefused, match="there twice"):
        read_limit_set(twice, "mine.toml")


@pytest.mark.parametrize(
    ("name", "slug", "change"),
    [
        ("access-us", "guardrail-openings", {"at_most": None, "at_least": "19 in"}),
        ("access-us", "egress-travel-sprinklered", {"at_most": "122 mm"}),
        ("access-us", "hole-size", {"at_most": "12 in"}),
        ("access-iso-uk", "slip-pendulum", {"at_least": None, "at_most": "36"}),
    ],
)
def test_a_figure_known_to_be_misprinted_is_refused(name, slug, change):
    parsed = content(name)
    row = next(each for each in parsed["limit"] if each["slug"] == slug)
    row |= change
    for key in [key for key, value in row.items() if value is None]:
        del row[key]
    with pytest.raises(RuleSetRefused, match="known misprint"):
        read_limit_set(parsed, "mine.toml")


def test_within_the_instruments_uncertainty_of_a_limit_nothing_is_decided():
    limit = printed_limit("access-us:guardrail-height")
    reading, doubt = (read_quantity(text, "length") for text in ("38.95 in", "0.1 in"))
    assert judge_printed_limit(limit, reading, {}, doubt).state == "cannot be decided"
    assert judge_printed_limit(limit, reading, {}).state == "restrict"
    assert judge_printed_limit(limit, None, {}).state == "cannot be decided"


@pytest.mark.parametrize("gone", ["lower", "lower_alarmed", "upper", "upper_alarmed"])
def test_a_filter_test_with_a_half_missing_is_no_pass(gone):
    limit = printed_limit("beam-detectors:two-filter-test")
    level = read_quantity("25 %", "obscuration")
    done = {
        "lower": read_quantity("15 %", "obscuration"), "lower_alarmed": False,
        "upper": read_quantity("35 %", "obscuration"), "upper_alarmed": True,
    }  # fmt: skip
    assert judge_two_points(limit, FilterTest(**done), {"alarm_level": level}).state == "fit"
    judged = judge_two_points(limit, FilterTest(**done | {gone: None}), {"alarm_level": level})
    assert judged.state == "cannot be decided"
    assert judge_two_points(limit, FilterTest(**done), {}).state == "cannot be decided"


def test_a_filter_on_the_wrong_side_proves_nothing_and_another_scale_neither():
    limit = printed_limit("beam-detectors:two-filter-test")
    level = {"alarm_level": read_quantity("25 %", "obscuration")}
    upper = read_quantity("35 %", "obscuration")
    for lower, alarmed in (("30 %", True), ("30 %", False), ("1 dB", False)):
        test = FilterTest(read_quantity(lower, "obscuration"), alarmed, upper, True)
        assert judge_two_points(limit, test, level).state == "cannot be decided", lower


def test_regimes_repeat_printed_limits_exactly():
    linked = [check for each in regimes().values() for check in each.checks if check.limit_of]
    assert len(linked) >= 49
    assert len({check.limit_of for check in linked}) >= 30


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"minimum": "38 in"}, "prints 39 in, not 38 in"),
        ({"maximum": None}, "prints 45 in, not None"),
        ({"limit_of": "access-us:no-such"}, "no printed limit"),
        ({"limit_of": "access-iso-uk:toe-plate-height"}, "no printed limit"),
        ({"limit_of": "access-us:guardrail-openings"}, "prints no such figure"),
    ],
)
def test_a_regime_whose_figure_differs_from_the_printed_limit_is_refused(change, says):
    raw = {
        "slug": "top_rail", "question": "How high is the top rail?", "answer": "measured",
        "dimension": "length", "unit_metric": "mm", "unit_us": "in", "minimum": "39 in",
        "maximum": "45 in", "limit_text": "42 in plus or minus 3", "on_fail": "restricted",
        "source": "rails", "limit_of": "access-us:guardrail-height",
    }  # fmt: skip
    sources = {"rails": Source("29 CFR 1910.29", "as codified", "(b)(1)", "document")}
    assert read_check(raw, sources).limit_of
    changed = {key: value for key, value in (raw | change).items() if value is not None}
    with pytest.raises(ValueError, match=says):
        read_check(changed, sources)
