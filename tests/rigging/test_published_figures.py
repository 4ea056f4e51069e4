"""The engine agrees with what is printed. Every failure names document, edition and clause."""

from __future__ import annotations

import pytest

from rigging.engine import (
    RopeObservation,
    Verdict,
    faults_of_example,
    judge_rope,
    load_rulesets,
)
from tests.rigging.ropes import lay, make_observation, make_rope

RULESETS = load_rulesets()
EXAMPLES = [
    pytest.param(rules, example, id=f"{slug}: {example.name}")
    for slug, rules in RULESETS.items()
    for example in rules.examples
]


@pytest.mark.parametrize(("rules", "example"), EXAMPLES)
def test_every_rule_set_answers_its_own_worked_examples(rules, example):
    faults = faults_of_example(rules, example)
    assert not faults, "\n".join(faults)


def test_there_are_rule_sets_and_examples_to_execute():
    assert len(RULESETS) >= 7
    assert len(EXAMPLES) >= 21


# For the same 7x19 rope (133 wires, 19 in a strand, 114 in outer strands): the fewest broken
# wires that retire it. Read from the printed rules; the percentages are computed from them.
FEWEST = [
    ("us-faa-ac-43-13-1b", 1, "FAA AC 43.13-1B, 1998 change 1, 7-149a", "lay"),
    ("us-osha-1926-1413", 6, "29 CFR 1926.1413, 2010, (a)(2)(ii)(A)(1)", "lay"),
    ("us-osha-1926-552", 6, "29 CFR 1926.552, 2006, (a)(3)(i)", "lay"),
    ("us-msha-30cfr-56-19024", 7, "30 CFR 56.19024, (a)(1): more than 5 % of 133", "lay"),
    ("us-osha-1910-184", 10, "29 CFR 1910.184, (f)(5)(i)", "lay"),
    ("us-osha-1926-251", 14, "29 CFR 1926.251, (c)(4)(iv): more than 10 % of 133", 8),
    ("iso-4309-2017-counts", 5, "ISO 4309, 2010 and 2017, single-layer, ordinary lay, 6 d", 6),
]


@pytest.mark.parametrize(("slug", "fewest", "printed", "window"), FEWEST)
def test_one_rope_many_rules(slug, fewest, printed, window):
    for number in range(16):
        there = ["lay", 1] if window == "lay" else ["diameters", window]
        count = {"number": number, "window": there, "in_one_strand": min(number, 1)}
        judged = judge_rope(make_rope(), make_observation(counts=[count]), RULESETS[slug])
        retires = judged.state == "retire"
        assert retires == (number >= fewest), f"{printed}: {number} broken wires: {judged.state}"


STRANDS = [
    ("us-osha-1926-1413", 3, "29 CFR 1926.1413, 2010, (a)(2)(ii)(A)(1)"),
    ("us-osha-1926-552", 3, "29 CFR 1926.552, 2006, (a)(3)(i)"),
    ("us-msha-30cfr-56-19024", 3, "30 CFR 56.19024, (a)(2): more than 15 % of 19"),
    ("us-osha-1910-184", 5, "29 CFR 1910.184, (f)(5)(i)"),
]


@pytest.mark.parametrize(("slug", "fewest", "printed"), STRANDS)
def test_breaks_in_one_strand_count_apart(slug, fewest, printed):
    for number in range(1, 6):
        seen = make_observation(counts=[lay(number, number), lay(0, 0, "valley")])
        retires = judge_rope(make_rope(), seen, RULESETS[slug]).state == "retire"
        assert retires == (number >= fewest), f"{printed}: {number} in one strand"


def test_nominal_and_baseline_give_different_verdicts_for_the_same_rope():
    rope = make_rope(baseline_diameter="6.36 mm")
    seen = make_observation(diameters=[{"a": "5.85 mm", "b": "5.85 mm"}])
    nominal = judge_rope(rope, seen, RULESETS["us-osha-1926-1413"])
    baseline = judge_rope(rope, seen, RULESETS["us-msha-30cfr-56-19024"])
    assert nominal.state == "fit", "29 CFR 1926.1413, 2010, (a)(2)(ii)(B): 2.5 % of nominal"
    assert baseline.state == "retire", "30 CFR 56.19024, (g): 8.02 % of the baseline"
    assert (baseline.value, baseline.limit, baseline.margin) == (
        "8.02 %", "6 %", "2.02 % beyond the limit",
    )  # fmt: skip


def test_one_valley_break_is_kept_by_one_rule_and_looked_at_closer_by_another():
    seen = make_observation(counts=[lay(1, 1), lay(1, 1, "valley")])
    mine = judge_rope(make_rope(), seen, RULESETS["us-msha-30cfr-56-19024"])
    assert mine.verdict is Verdict.NOT_MET, "30 CFR 56.19024, (b): more than one"
    iso = judge_rope(make_rope(), seen, RULESETS["iso-4309-2017-counts"])
    found = {result.slug: result for result in iso.results}
    assert found["valley-breaks"].verdict is Verdict.NOT_MET, "ISO 4309, valley breaks: two"
    assert found["valley-break-look"].state == "watch", "ISO 4309, valley breaks: one"


@pytest.mark.parametrize(
    ("zone", "kept", "stopped"), [("crown", 2, 3), ("termination", 1, 2)]
)  # fmt: skip
def test_a_standing_rope_counts_apart_at_its_end_connections(zone, kept, stopped):
    rules = RULESETS["us-osha-1926-1413"]
    verdicts = {}
    for number in (kept, stopped):
        wires = [
            {"position": f"{place} mm", "strand": place, "zone": zone}
            for place in range(1, number + 1)
        ]
        seen = make_observation(counts=[], broken_wires=wires)
        verdicts[number] = judge_rope(make_rope(duty="standing"), seen, rules).verdict
    printed = "29 CFR 1926.1413, 2010, (a)(2)(ii)(A)(3)"
    assert verdicts == {kept: Verdict.NOT_MET, stopped: Verdict.MET}, printed


def test_where_two_documents_print_different_figures_the_count_between_them_is_undecided():
    rope = make_rope(drum="multi_layer", outer_load_bearing_wires=150)
    rules = RULESETS["iso-4309-2017-counts"]
    verdicts = []
    for number in (11, 12, 13):
        count = {"number": number, "window": ["diameters", 6]}
        judged = judge_rope(rope, RopeObservation.from_dict({"counts": [count]}), rules)
        verdicts.append(next(r for r in judged.results if r.slug == "multi-layer-6d").verdict)
    assert verdicts == [Verdict.NOT_MET, Verdict.CANNOT_BE_DECIDED, Verdict.MET], (
        "ISO 4309, 2010, rope category 6, multi-layer, 6 d: 12 in one document, 13 in the other"
    )
