"""Properties that hold for every rope: worse is never better, units and gaps never help."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from rigging.engine import (
    CONDITIONS,
    STATES,
    RopeFacts,
    RopeObservation,
    confirmable,
    judge_rope,
    load_rulesets,
    with_confirmed,
)
from tests.rigging.ropes import WHOLE_ROPE
from venue.quantities import show_exact

# Every rule set as shipped, and those with figures from memory once more as if confirmed.
CONFIRMED = [
    with_confirmed(each, dict.fromkeys((one.slug for one in confirmable(each)), "confirmed"))
    for each in load_rulesets().values()
    if confirmable(each)
]
RULESETS = [*load_rulesets().values(), *CONFIRMED]
PASSES = ("fit", "watch")

zones = st.sampled_from(["crown", "valley", "termination", None])
a_wire = st.fixed_dictionaries(
    {"position": st.integers(0, 400).map(lambda mm: f"{mm} mm"),
     "strand": st.one_of(st.none(), st.integers(1, 6)), "zone": zones,
     "wire": st.one_of(st.none(), st.integers(1, 5))}
)  # fmt: skip
windows = st.sampled_from(
    [
        ["lay", 1],
        ["lay", 2],
        ["diameters", 6],
        ["diameters", 30],
        ["length", "50 mm"],
        ["whole_rope"],
    ]
)
a_count = st.fixed_dictionaries({"number": st.integers(0, 16), "window": windows, "zone": zones})
a_diameter = st.integers(540, 630).map(lambda hundredths: f"{Fraction(hundredths, 100)!s} mm")
DIAMETERS = st.lists(
    st.fixed_dictionaries(
        {"a": a_diameter, "b": a_diameter, "position": st.sampled_from([None, "10 mm", "390 mm"])}
    ),
    min_size=0,
    max_size=3,
)
observations = st.fixed_dictionaries(
    {
        "broken_wires": st.lists(a_wire, max_size=8),
        "counts": st.lists(a_count, max_size=3),
        "diameters": DIAMETERS,
        "conditions": st.fixed_dictionaries(
            {name: st.sampled_from([False, False, False, None, True]) for name in CONDITIONS}
        ),
    }
)
# Mostly sound ropes, so that passes are common and the laws below are not empty.
sound = st.fixed_dictionaries(
    {
        "broken_wires": st.lists(a_wire, max_size=2),
        "counts": st.lists(
            st.fixed_dictionaries(
                {"number": st.integers(0, 2), "window": windows, "in_one_strand": st.just(0)}
            ).map(lambda count: count | {"in_one_strand": min(1, count["number"])}),
            min_size=1, max_size=2,
        ),
        "diameters": st.just([{"a": "6.05 mm", "b": "6.04 mm"}]),
        "conditions": st.just(dict.fromkeys(CONDITIONS, False)),
    }
)  # fmt: skip
ropes = st.sets(st.sampled_from(sorted(WHOLE_ROPE))).map(
    lambda unknown: {fact: value for fact, value in WHOLE_ROPE.items() if fact not in unknown}
)
rules = st.sampled_from(RULESETS)


def state(rope: dict[str, Any], seen: dict[str, Any], ruleset) -> str:
    return judge_rope(RopeFacts.from_dict(rope), RopeObservation.from_dict(seen), ruleset).state


def never_better(worse: str, than: str) -> bool:
    return STATES.index(worse) >= STATES.index(than)


@settings(max_examples=150, deadline=None)
@given(ropes, st.lists(a_wire, min_size=1, max_size=8), a_wire, rules)
def test_one_more_broken_wire_never_gives_a_better_state(rope, wires, another, ruleset):
    clean = {"diameters": [{"a": "6.05 mm", "b": "6.05 mm"}],
             "conditions": dict.fromkeys(CONDITIONS, False)}  # fmt: skip
    before, after = (
        judge_rope(
            RopeFacts.from_dict(rope),
            RopeObservation.from_dict(clean | {"broken_wires": listed}),
            ruleset,
        )
        for listed in (wires, [*wires, another])
    )
    # Doubt whether there is something to watch may give way to something seen to be watched.
    found_out = after.state == "watch" and after.verdict == "met"
    assert found_out or never_better(after.state, than=before.state)


@settings(max_examples=150, deadline=None)
@given(ropes, st.integers(0, 20), windows, zones, rules)
def test_a_higher_count_never_gives_a_better_state(rope, number, window, zone, ruleset):
    clean = {"diameters": [{"a": "6.05 mm", "b": "6.05 mm"}],
             "conditions": dict.fromkeys(CONDITIONS, False)}  # fmt: skip
    counts = [[{"number": n, "window": window, "zone": zone}] for n in (number, number + 1)]
    before, after = (state(rope, clean | {"counts": count}, ruleset) for count in counts)
    assert never_better(after, than=before)


@settings(max_examples=150, deadline=None)
@given(sound, st.sampled_from(sorted(WHOLE_ROPE)), rules)
def test_a_fact_less_never_turns_a_rope_that_does_not_pass_into_one_that_passes(
    seen, fact, ruleset
):
    less = {name: value for name, value in WHOLE_ROPE.items() if name != fact}
    if state(less, seen, ruleset) in PASSES:
        assert state(WHOLE_ROPE, seen, ruleset) in PASSES


@settings(max_examples=100, deadline=None)
@given(observations, rules)
def test_a_rope_passes_only_if_wires_wear_and_every_condition_of_the_rule_were_looked_at(
    seen, ruleset
):
    if state(WHOLE_ROPE, seen, ruleset) not in PASSES:
        return
    assert seen["broken_wires"] or seen["counts"]
    needs_diameter = any(each.indicator == "diameter_loss" for each in ruleset.criteria)
    assert seen["diameters"] or not needs_diameter
    observed = RopeObservation.from_dict(seen)
    assert all(observed.seen(name) is False for name in ruleset.covered_conditions)


def in_inches(value: Any) -> Any:
    """The same content with every length in inches, exactly."""
    if isinstance(value, dict):
        return {name: in_inches(each) for name, each in value.items()}
    if isinstance(value, list):
        return [in_inches(each) for each in value]
    if isinstance(value, str) and value.endswith(" mm"):
        return show_exact(Fraction(value.removesuffix(" mm")) / 1000, "in")
    return value


@settings(max_examples=100, deadline=None)
@given(observations, rules)
def test_the_unit_that_was_typed_never_changes_the_verdict(seen, ruleset):
    rope = in_inches(WHOLE_ROPE)
    assert rope["nominal_diameter"].endswith(" in")
    metric, inch = state(WHOLE_ROPE, seen, ruleset), state(rope, in_inches(seen), ruleset)
    assert metric == inch


@settings(max_examples=60, deadline=None)
@given(DIAMETERS.filter(bool), st.integers(0, 30), rules)
def test_a_coarser_instrument_never_turns_doubt_into_a_pass(pairs, hundredths, ruleset):
    clean = {"counts": [{"number": 0, "window": ["lay", 1]}],
             "conditions": dict.fromkeys(CONDITIONS, False), "diameters": pairs}  # fmt: skip
    fine = state(WHOLE_ROPE, clean | {"instrument_uncertainty": "0.01 mm"}, ruleset)
    coarse = f"{Fraction(hundredths + 1, 100)} mm"
    if state(WHOLE_ROPE, clean | {"instrument_uncertainty": coarse}, ruleset) in PASSES:
        assert fine in PASSES


@settings(max_examples=150, deadline=None)
@given(st.lists(a_wire, max_size=6), DIAMETERS.filter(bool), st.integers(1, 60), rules)
def test_more_loss_of_diameter_never_gives_a_better_state(wires, pairs, hundredths, ruleset):
    clean = {"broken_wires": wires, "conditions": dict.fromkeys(CONDITIONS, False)}
    if not wires:
        clean["counts"] = [{"number": 0, "window": ["whole_rope"]}]
    before = state(WHOLE_ROPE, clean | {"diameters": pairs}, ruleset)
    worn = [dict(pair) for pair in pairs]
    thinner = Fraction(worn[0]["a"].removesuffix(" mm")) - Fraction(hundredths, 100)
    worn[0]["a"] = f"{thinner} mm"
    after = state(WHOLE_ROPE, clean | {"diameters": worn}, ruleset)
    assert never_better(after, than=before)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 20), st.integers(0, 44), st.integers(1, 20), rules)
def test_more_wear_of_the_outer_wires_never_gives_a_better_state(number, loss, more, ruleset):
    clean = {"counts": [{"number": number, "window": ["lay", 1]}],
             "diameters": [{"a": "6.05 mm", "b": "6.05 mm"}],
             "conditions": dict.fromkeys(CONDITIONS, False)}  # fmt: skip
    rope = WHOLE_ROPE | {"carries": "other"}
    states = [
        state(rope, clean | {"outer_wire_loss": f"{part} %"}, ruleset)
        for part in (loss, loss + more)
    ]
    assert never_better(states[1], than=states[0])


@settings(max_examples=150, deadline=None)
@given(st.lists(a_wire, min_size=1, max_size=6), DIAMETERS.filter(bool))
def test_a_sum_of_severities_is_never_less_than_its_largest_part(wires, pairs):
    for ruleset in CONFIRMED:
        seen = RopeObservation.from_dict({"broken_wires": wires, "diameters": pairs})
        judged = judge_rope(RopeFacts.from_dict(WHOLE_ROPE), seen, ruleset)
        found = {each.slug: each for each in judged.results}
        for sums in [each for each in ruleset.criteria if each.combines]:
            parts = [found[slug].verdict for slug in sums.combines]
            if found[sums.slug].verdict != "does not apply" and "met" in parts:
                assert found[sums.slug].verdict == "met"
