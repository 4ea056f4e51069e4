"""A count in another window decides only what it proves; listed wires are counted by sliding."""

from __future__ import annotations

import pytest

from rigging.engine import RopeObservation, Verdict, judge_rope, load_rulesets
from tests.rigging.ropes import make_observation, make_rope

RULESETS = load_rulesets()


def verdict_of(slug: str, criterion: str, rope, seen) -> Verdict:
    judged = judge_rope(rope, seen, RULESETS[slug])
    return next(result for result in judged.results if result.slug == criterion).verdict


def counted(number: int, window: list, **more) -> RopeObservation:
    return make_observation(counts=[{"number": number, "window": window, **more}])


@pytest.mark.parametrize(
    ("number", "window", "verdict"),
    [
        # One lay of this rope is 39 mm; the rule retires at 6 in one lay.
        (6, ["length", "20 mm"], Verdict.MET),  # a shorter window is already over
        (2, ["length", "20 mm"], Verdict.NOT_MET),  # two such windows cover a lay: 4 at most
        (3, ["length", "20 mm"], Verdict.CANNOT_BE_DECIDED),
        (5, ["length", "100 mm"], Verdict.NOT_MET),  # a longer window is still under
        (6, ["length", "100 mm"], Verdict.CANNOT_BE_DECIDED),
        (16, ["length", "100 mm"], Verdict.MET),  # three lays cover it: 6 in one of them
        (15, ["length", "100 mm"], Verdict.CANNOT_BE_DECIDED),
        (5, ["whole_rope"], Verdict.NOT_MET),
        (50, ["whole_rope"], Verdict.CANNOT_BE_DECIDED),
        (0, ["diameters", 1], Verdict.NOT_MET),
    ],
)
def test_a_count_in_another_window_decides_only_what_it_proves(number, window, verdict):
    seen = counted(number, window)
    assert verdict_of("us-osha-1926-1413", "breaks-one-lay", make_rope(), seen) is verdict


def test_without_the_lay_length_other_windows_prove_nothing_and_it_is_named():
    rope, seen = make_rope(lay_length=None), counted(4, ["diameters", 30])
    judged = judge_rope(rope, seen, RULESETS["us-osha-1926-1413"])
    assert judged.state == "cannot be decided"
    assert any("lay length" in word for word in judged.missing)


def wires(*places: float, strand: int | None = None, zone: str | None = None) -> list[dict]:
    return [
        {"position": f"{place} mm", "strand": strand or index, "zone": zone}
        for index, place in enumerate(places, 1)
    ]


@pytest.mark.parametrize(
    ("places", "verdict"),
    [
        ((0, 8, 16, 24, 32, 39), Verdict.MET),  # the ends of the window count
        ((0, 8, 16, 24, 32, 39.001), Verdict.NOT_MET),
        ((500, 0, 502, 504, 510, 505, 512, 900), Verdict.MET),  # wherever, in any order
    ],
)
def test_the_worst_place_is_found_by_sliding_over_the_listed_wires(places, verdict):
    seen = make_observation(counts=[], broken_wires=wires(*places))
    assert verdict_of("us-osha-1926-1413", "breaks-one-lay", make_rope(), seen) is verdict


def test_listed_wires_without_a_lay_length_still_prove_a_small_number():
    rope = make_rope(lay_length=None)
    seen = make_observation(counts=[], broken_wires=wires(0, 8, 16, 24, 32))
    assert verdict_of("us-osha-1926-1413", "breaks-one-lay", rope, seen) is Verdict.NOT_MET
    seen = make_observation(counts=[], broken_wires=wires(0, 8, 16, 24, 32, 33))
    undecided = Verdict.CANNOT_BE_DECIDED
    assert verdict_of("us-osha-1926-1413", "breaks-one-lay", rope, seen) is undecided


def test_three_wires_of_one_strand_are_found_among_others():
    listed = wires(0, 10, 20, strand=4) + wires(1, 2)
    seen = make_observation(counts=[], broken_wires=listed)
    assert judge_rope(make_rope(), seen, RULESETS["us-osha-1926-1413"]).state == "retire"


def test_wires_of_unknown_strand_may_all_be_in_one():
    listed = [{"position": f"{place} mm"} for place in (0, 10, 20)]
    seen = make_observation(counts=[], broken_wires=listed)
    judged = judge_rope(make_rope(), seen, RULESETS["us-osha-1926-1413"])
    assert judged.state == "cannot be decided"
    assert any("strand of every broken wire" in word for word in judged.missing)


def test_wires_of_unknown_zone_may_be_in_the_valleys():
    listed = [{"position": f"{place} mm", "strand": place + 1} for place in (0, 1)]
    seen = make_observation(counts=[], broken_wires=listed)
    found = verdict_of("us-msha-30cfr-56-19024", "valley-breaks", make_rope(), seen)
    assert found is Verdict.CANNOT_BE_DECIDED


def test_where_count_and_list_disagree_the_higher_counts_and_a_note_says_so():
    seen = make_observation(
        counts=[{"number": 6, "window": ["lay", 1], "in_one_strand": 1}], broken_wires=wires(0)
    )
    judged = judge_rope(make_rope(), seen, RULESETS["us-osha-1926-1413"])
    assert judged.state == "retire"
    assert any("disagree" in note for note in judged.notes)


def test_a_standing_rope_needs_to_know_which_breaks_are_at_the_end():
    rope = make_rope(duty="standing")
    lone = [{"number": 3, "window": ["lay", 1]}]
    judged = judge_rope(rope, make_observation(counts=lone), RULESETS["us-osha-1926-1413"])
    assert judged.state == "cannot be decided"
    both = [*lone, {"number": 0, "window": ["lay", 1], "zone": "termination"}]
    judged = judge_rope(rope, make_observation(counts=both), RULESETS["us-osha-1926-1413"])
    assert judged.state == "retire"
