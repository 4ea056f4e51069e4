"""A missing datum is never a pass; a limit met exactly is compared exactly."""

from __future__ import annotations

import json

import pytest

from rigging.engine import (
    CAUTION,
    CONDITIONS,
    FaultyFact,
    RopeFacts,
    RopeObservation,
    Verdict,
    judge_limit,
    judge_rope,
    load_rulesets,
)
from tests.rigging.ropes import lay, make_observation, make_rope
from venue.quantities import read_quantity

RULESETS = load_rulesets()
OSHA = RULESETS["us-osha-1926-1413"]
MINES = RULESETS["us-msha-30cfr-56-19024"]


def length(text: str):
    return read_quantity(text, "length")


def test_a_rope_of_which_everything_is_known_and_nothing_found_is_fit():
    assert judge_rope(make_rope(), make_observation(), OSHA).state == "fit"
    assert judge_rope(make_rope(), make_observation(), MINES).state == "fit"


@pytest.mark.parametrize("slug", sorted(RULESETS))
def test_where_nothing_was_looked_at_nothing_passes(slug):
    for rope in (make_rope(), RopeFacts()):
        judged = judge_rope(rope, RopeObservation(), RULESETS[slug])
        assert judged.state == "cannot be decided"
        assert judged.missing


def test_a_rule_that_never_counts_the_wires_of_such_a_rope_does_not_pass_it():
    judged = judge_rope(
        make_rope(rotation_resistant=True), make_observation(), RULESETS["iso-4309-2017-counts"]
    )
    assert judged.state == "cannot be decided"
    assert any("counts the broken wires of such a rope" in word for word in judged.missing)


def test_an_incomplete_rule_set_never_passes_a_rope_by_itself():
    judged = judge_rope(make_rope(), make_observation(), RULESETS["us-osha-1926-251"])
    assert judged.state == "cannot be decided"


@pytest.mark.parametrize(
    ("fact", "names"), [("baseline_diameter", "baseline diameter"), ("total_wires", "wires in the rope")]
)  # fmt: skip
def test_a_missing_fact_is_named(fact, names):
    judged = judge_rope(make_rope(**{fact: None}), make_observation(counts=[lay(2, 1)]), MINES)
    assert judged.verdict is Verdict.CANNOT_BE_DECIDED
    assert any(names in word for word in judged.missing)


def test_one_of_two_conditions_not_looked_at_is_undecided_though_the_other_was_not_seen():
    for unseen in ("distortion", "core_protrusion"):
        conditions = dict.fromkeys(CONDITIONS, False) | {unseen: None}
        if unseen == "distortion":
            conditions |= dict.fromkeys(("kink", "crushing", "birdcage"), None)
        judged = judge_rope(make_rope(), make_observation(conditions=conditions), OSHA)
        assert judged.state == "cannot be decided", unseen


def test_breaks_at_the_end_taken_from_a_smaller_count_leave_none_not_fewer_than_none():
    counts = [lay(1, 1), lay(3, 3, "termination")]
    judged = judge_rope(make_rope(duty="standing"), make_observation(counts=counts), OSHA)
    away = next(each for each in judged.results if each.slug == "standing-one-lay")
    assert (away.verdict, away.value) == (Verdict.NOT_MET, "between 0 and 1")


def test_a_count_of_all_zones_does_not_say_how_many_are_in_the_valleys():
    judged = judge_rope(make_rope(), make_observation(counts=[lay(2, 1)]), MINES)
    assert judged.state == "cannot be decided"
    assert any("in the valleys" in word for word in judged.missing)


def test_a_loss_of_exactly_the_limit_is_compared_exactly():
    at_limit = make_observation(diameters=[{"a": "5.7 mm", "b": "5.7 mm"}])
    beyond = make_observation(diameters=[{"a": "5.7 mm", "b": "5.6999999 mm"}])
    judged = judge_rope(make_rope(), at_limit, OSHA)
    assert (judged.verdict, judged.state, judged.value) == (Verdict.NOT_MET, "watch", "5 %")
    judged = judge_rope(make_rope(), beyond, OSHA)
    assert judged.verdict is Verdict.MET
    assert judged.value == "5.000001 %", "the figure shown does not round onto the limit"


def test_inside_the_instruments_uncertainty_is_in_doubt_and_doubt_is_not_a_pass():
    for a, verdict in (
        ("5.81 mm", Verdict.NOT_MET),
        ("5.8 mm", Verdict.NOT_MET),  # its lowest true value is exactly the limit
        ("5.79 mm", Verdict.CANNOT_BE_DECIDED),
        ("5.61 mm", Verdict.CANNOT_BE_DECIDED),
        ("5.59 mm", Verdict.MET),
    ):
        seen = make_observation(diameters=[{"a": a, "b": a}], instrument_uncertainty="0.1 mm")
        assert judge_rope(make_rope(), seen, OSHA).verdict is verdict, a


def test_the_worst_pair_counts_and_a_pair_counts_by_its_mean():
    pairs = [{"a": "6 mm", "b": "6 mm"}, {"a": "5.5 mm", "b": "5.8 mm"}]
    judged = judge_rope(make_rope(), make_observation(diameters=pairs), OSHA)
    assert judged.value.startswith("5.83")
    assert judged.state == "retire"


def test_an_unknown_duty_is_undecided_only_where_it_matters():
    rope = make_rope(duty=None)
    assert judge_rope(rope, make_observation(), OSHA).state == "fit"
    judged = judge_rope(rope, make_observation(counts=[lay(6, 1)]), OSHA)
    assert judged.state == "cannot be decided"
    assert any("running or standing" in word for word in judged.missing)


def test_any_broken_wire_is_watched():
    assert judge_rope(make_rope(), make_observation(counts=[lay(1, 1)]), OSHA).state == "watch"


@pytest.mark.parametrize("condition", sorted(CONDITIONS))
@pytest.mark.parametrize("slug", sorted(RULESETS))
def test_a_condition_seen_is_never_passed_over_even_where_the_rule_is_silent(slug, condition):
    conditions = dict.fromkeys(CONDITIONS, False) | {condition: True}
    seen = make_observation(conditions=conditions)
    judged = judge_rope(make_rope(), seen, RULESETS[slug])
    if condition == "outer_wires_worn" and judged.state == "cannot be decided":
        assert any("outer wires" in word for word in judged.missing)
        return
    assert judged.state in ("out of service", "retire")


def test_the_caution_is_in_every_judgement():
    for rules in RULESETS.values():
        assert CAUTION in str(
            judge_rope(RopeFacts(), RopeObservation(), rules).to_dict()["caution"]
        )
    limit = judge_limit(length("5 mm"), None, length("6 mm"), None, "4", "house rule")
    assert limit.caution == CAUTION


def test_facts_observations_and_judgements_survive_json():
    seen = make_observation(
        broken_wires=[{"position": "3 m", "strand": 2, "zone": "crown"}],
        counts=[{"number": 2, "window": ["length", "1 ft"]}, {"number": 2, "window": ["whole_rope"]}],
        instrument="caliper", instrument_uncertainty="0.02 mm", outer_wire_loss="10 %",
    )  # fmt: skip
    assert RopeObservation.from_dict(json.loads(json.dumps(seen.to_dict()))) == seen
    rope = make_rope(minimum_breaking_force="23 kN", mbf_source="certificate")
    assert RopeFacts.from_dict(json.loads(json.dumps(rope.to_dict()))) == rope
    assert json.loads(json.dumps(judge_rope(rope, seen, OSHA).to_dict()))["ruleset"] == OSHA.slug


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"counts": [{"number": 0, "window": ["lay", 1], "zon": "valley"}]}, "counts[0].zon"),
        ({"counts": [{"number": -1, "window": ["lay", 1]}]}, "counts[0].number"),
        ({"counts": [{"number": 1, "window": ["lay", 0]}]}, "counts[0]"),
        ({"counts": [{"number": 1, "window": ["lay", 1], "in_one_strand": 2}]}, "counts[0]"),
        ({"counts": [{"window": ["lay", 1]}]}, "counts[0].number"),
        ({"broken_wires": [{"position": "3"}]}, "broken_wires[0].position"),
        ({"diameters": [{"a": "6 mm"}]}, "diameters[0].b"),
        ({"diameters": [{"a": 6.0, "b": "6 mm"}]}, "diameters[0].a"),
        ({"diameters": [{"a": "0 mm", "b": "6 mm"}]}, "diameters[0]"),
        ({"conditions": {"rust": True}}, "conditions.rust"),
        ({"conditions": {"corrosion": "no"}}, "conditions.corrosion"),
        ({"brokenwires": []}, "brokenwires"),
    ],
)
def test_a_faulty_observation_is_refused_by_the_name_of_its_field(said, field):
    with pytest.raises(FaultyFact) as refusal:
        RopeObservation.from_dict(said)
    assert field in str(refusal.value)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"duty": "runing"}, "duty"),
        ({"total_wires": 133.0}, "total_wires"),
        ({"nominal_diameter": "6"}, "nominal_diameter"),
        ({"nominal_diameter": "0 mm"}, "nominal_diameter"),
        ({"nominal_diameter": "6 kg"}, "nominal_diameter"),
        ({"rotation_resistant": "no"}, "rotation_resistant"),
        ({"diameter": "6 mm"}, "diameter"),
    ],
)
def test_a_faulty_fact_is_refused_by_its_name(said, field):
    with pytest.raises(FaultyFact) as refusal:
        RopeFacts.from_dict(said)
    assert field in str(refusal.value)


@pytest.mark.parametrize(
    ("reading", "uncertainty", "state"),
    [
        ("5 mm", None, "fit"),
        ("5.9 mm", None, "watch"),
        ("6 mm", None, "watch"),
        ("6.0000001 mm", None, "out of service"),
        ("6 mm", "0.1 mm", "cannot be decided"),
        ("5.9 mm", "0.1 mm", "cannot be decided"),
        ("6.1 mm", "0.1 mm", "cannot be decided"),
        ("6.11 mm", "0.1 mm", "out of service"),
        ("5 mm", "0.1 mm", "fit"),
        ("1/4 in", None, "out of service"),
    ],
)
def test_a_reading_against_its_largest_value(reading, uncertainty, state):
    doubt = length(uncertainty) if uncertainty else None
    judged = judge_limit(length(reading), None, length("6 mm"), doubt, "4.2", "house rule")
    assert judged.state == state
    assert (judged.verdict is Verdict.MET) == (state == "out of service")
    assert (judged.clause, judged.title, judged.limit) == ("4.2", "house rule", "at most 6 mm")


def test_a_reading_between_two_limits_is_judged_by_the_one_it_is_nearer_to():
    low, high = length("40 mm"), length("50 mm")
    states = [
        judge_limit(length(f"{figure} mm"), low, high, None, "", "").state
        for figure in (39, 40, 45, 50, 51)
    ]
    assert states == ["out of service", "watch", "fit", "watch", "out of service"]


@pytest.mark.parametrize(
    ("reading", "low", "high", "state", "limit"),
    [
        ("0 mm", None, "0 mm", "fit", "at most 0 mm"),
        ("0 mm", "0 mm", "0 mm", "fit", "at most 0 mm"),
        ("0.001 mm", "0 mm", "0 mm", "out of service", "at most 0 mm"),
        ("0.1 mm", "0 mm", "25 mm", "fit", "at most 25 mm"),
        ("24 mm", "0 mm", "25 mm", "watch", "at most 25 mm"),
        ("25.1 mm", "0 mm", "25 mm", "out of service", "at most 25 mm"),
        ("0 mm", "0 mm", None, "fit", "at least 0 mm"),
        ("12 mm", "12 mm", "12 mm", "fit", "at least 12 mm"),
    ],
)
def test_nothing_found_where_nothing_may_be_found_is_fit_and_not_watched(
    reading, low, high, state, limit
):
    low, high = (length(each) if each else None for each in (low, high))
    judged = judge_limit(length(reading), low, high, None, "", "")
    assert (judged.state, judged.limit) == (state, limit)


def test_a_reading_below_a_smallest_value_of_zero_breaks_it():
    below = read_quantity("-0.1 mm", "length", allow_negative=True)
    judged = judge_limit(below, length("0 mm"), length("25 mm"), None, "", "")
    assert (judged.state, judged.limit) == ("out of service", "at least 0 mm")


def test_a_reading_that_cannot_be_compared_with_its_limit_is_undecided():
    per_foot = read_quantity("3 %/ft", "obscuration")
    per_metre = read_quantity("4 %/m", "obscuration")
    assert judge_limit(per_foot, None, per_metre, None, "", "").state == "cannot be decided"
    assert judge_limit(per_foot, None, None, None, "", "").state == "cannot be decided"


@pytest.mark.parametrize("slug", sorted(RULESETS))
def test_no_rule_set_passes_a_rope_that_has_lost_a_third_of_its_diameter(slug):
    thin = make_observation(
        diameters=[{"a": "4 mm", "b": "4 mm"}],
        counts=[lay(0, 0), lay(0, 0, "valley"), lay(0, 0, "termination")],
    )
    for duty in ("running", "standing"):
        judged = judge_rope(make_rope(duty=duty), thin, RULESETS[slug])
        assert judged.state not in ("fit", "watch"), duty
