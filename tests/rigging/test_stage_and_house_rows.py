"""Every sourced row on stage machinery and the house is used, or listed with the reason why not."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from rigging.calculators import load_calculators
from rigging.engine.limit_set_files import printed_limit
from rigging.engine.limit_sets import judge_printed_limit
from rigging.engine.two_points import FilterTest, judge_two_points
from venue.quantities import read_quantity

TESTS = Path(__file__).parents[1]
ROWS = tomllib.loads(
    (Path(__file__).parent / "printed" / "stage_and_house.toml").read_text(encoding="utf-8")
)
RAIL = ("access-us:guardrail-height", "access-iso-uk:guardrail-height",
        "access-iso-uk:uk-construction-rail")  # fmt: skip
# The row, the limit, the reading, what else is known, and whether it is kept.
JUDGED: list[tuple[str, str, str, dict[str, str], bool]] = [
    ("sums:lift_level", "stage-lifts:corner-level", "2 mm", {}, True),
    ("sums:lift_level", "stage-lifts:corner-level", "3.2 mm", {}, False),  # 1/8 in is 3.175 mm
    ("sums:lift_step", "stage-lifts:landing-step", "5 mm", {}, True),
    ("sums:gap", "stage-lifts:closing-gap-foot", "110 mm", {}, False),
    ("sums:edge_reverse", "stage-lifts:edge-reversal", "3 in", {}, True),
    ("house:HC-02", "access-us:hole-cover-strength", "2900 lb", {"intended_load": "1450 lb"}, True),
    ("house:HC-03", "access-us:hole-cover-strength", "1300 lb", {"intended_load": "650 lb"}, True),
    ("house:HC-03", "access-us:hole-cover-strength", "1299 lb", {"intended_load": "650 lb"}, False),
    ("house:SP-09", "beam-detectors:spacing-by-length", "3.5 m", {"path_length": "40 m"}, True),
    ("house:GR-08", "access-us:toe-board-height", "100 mm", {}, True),
    *(
        (f"house:GR-0{number}", limit, height, {}, kept)
        for number, height, verdicts in [
            (1, "950 mm", (False, False, True)),
            (2, "1000 mm", (True, False, True)),
            (3, "1066.8 mm", (True, False, True)),
            (4, "1100 mm", (True, True, True)),
            (5, "1143 mm", (True, True, True)),
            # Printed: a pass only if all else is met, which a height alone does not say.
            (6, "1200 mm", (False, True, True)),
        ]
        for limit, kept in zip(RAIL, verdicts, strict=True)
    ),
]
DIMENSIONS = {"intended_load": "mass", "path_length": "length"}
LEVELS = {"house:OB-29": 25, "house:OB-30": 30, "house:OB-31": 40, "house:OB-32": 50}


@pytest.mark.external("printed")
@pytest.mark.parametrize(("row", "limit", "reading", "known", "kept"), JUDGED)
def test_a_row_is_judged_as_its_document_says(row, limit, reading, known, kept):
    rule = printed_limit(limit)
    facts = {name: read_quantity(text, DIMENSIONS[name]) for name, text in known.items()}
    found = judge_printed_limit(rule, read_quantity(reading, rule.dimension), facts)
    # A limit broken is a criterion met; at its limit a reading is still kept, and watched.
    assert str(found.verdict) == ("not met" if kept else "met"), f"{row}: {rule.source.document}"
    assert found.state in (("fit", "watch") if kept else (rule.outcome,))


@pytest.mark.external("printed")
@pytest.mark.parametrize(("row", "level"), LEVELS.items())
def test_a_filter_test_card_is_silent_ten_below_its_level_and_alarms_ten_above(row, level):
    """A maker's manual of a reflective beam detector, two of its pages."""
    limit = printed_limit("beam-detectors:two-filter-test")
    facts = {"alarm_level": read_quantity(f"{level} %", "obscuration")}
    below, above = (read_quantity(f"{level + step} %", "obscuration") for step in (-10, 10))
    right = judge_two_points(limit, FilterTest(below, False, above, True), facts)
    assert right.state == "fit", row
    for lower_alarmed, upper_alarmed in ((True, True), (False, False), (True, False)):
        wrong = judge_two_points(
            limit, FilterTest(below, lower_alarmed, above, upper_alarmed), facts
        )
        assert wrong.state == limit.outcome, row


def test_every_row_is_used_or_listed_with_the_reason_why_not():
    every = {f"{name}:{row}" for name, rows in ROWS["rows"].items() for row in rows}
    assert len(every) == 39 + 30 + 83
    judged = {row for row, *_ in JUDGED} | set(LEVELS)
    parts = (judged, set(ROWS["calculators"]), set(ROWS["tests"]), set(ROWS["not_used"]))
    assert set().union(*parts) == every
    assert sum(len(part) for part in parts) == len(every), "a row is there twice"
    assert all(len(why) > 20 for why in ROWS["not_used"].values())


def test_what_a_row_is_said_to_be_used_by_is_there():
    known = load_calculators()
    for row, named in ROWS["calculators"].items():
        slug, _, name = named.partition(": ")
        assert [example.name for example in known[slug].examples].count(name) == 1, (row, named)
    for row, named in ROWS["tests"].items():
        path, _, name = named.partition(": ")
        source = (TESTS / path).read_text(encoding="utf-8")
        assert re.search(rf"^def {name}\(", source, re.MULTILINE), (row, named)
