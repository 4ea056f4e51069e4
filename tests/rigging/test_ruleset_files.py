"""A rule set without source or example, or with a misprint, is refused by file and fault."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path

import pytest

from rigging.engine import (
    RuleSetRefused,
    faults_of_example,
    load_ruleset,
    load_rulesets,
    read_ruleset,
)
from rigging.engine.ruleset_files import FOLDER

ROOT = Path(__file__).parent.parent.parent
TEMPLATE = ROOT / "docs" / "examples" / "house_rule.toml"
ISO = FOLDER / "iso-4309-2017-counts.toml"


def parsed(path: Path) -> dict:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def refusal(content: dict) -> str:
    with pytest.raises(RuleSetRefused) as refused:
        read_ruleset(content, "mine.toml")
    assert str(refused.value).startswith("mine.toml: ")
    return str(refused.value)


def test_the_template_of_a_house_rule_is_read_and_its_example_holds():
    rules = load_ruleset(TEMPLATE)
    assert [faults_of_example(rules, example) for example in rules.examples] == [[]]


@pytest.mark.parametrize(
    "missing", ["source", "example", "criterion", "title", "edition", "verified"]
)
def test_a_rule_set_without_one_of_its_parts_is_refused(missing):
    content = parsed(TEMPLATE)
    del content[missing]
    assert missing in refusal(content)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"clause": ""}, "no clause"),
        ({"indicator": "wires"}, "indicator is one of"),
        ({"comparator": "="}, "comparator is one of"),
        ({"outcome": "keep"}, "outcome is one of"),
        ({"limit": {"number": 2.5}}, "not a whole number or a text"),
        ({"limit": {"number": 0}}, "more than zero"),
        ({"limit": {"table": "counts", "column": "x"}}, "names no number"),
        ({"window": ["lay"]}, "has not the amount"),
        ({"only": ["valleys"]}, "valleys"),
        ({"when": {"duty": ["hoisting"]}}, "hoisting"),
        ({"when": {"colour": ["red"]}}, "colour"),
        ({"limmit": 3}, "limmit"),
        ({"verified": "from memory"}, "switched off"),
        ({"verified": "own output"}, "switched off"),
    ],
)
def test_a_faulty_criterion_is_refused_with_its_fault(change, says):
    content = parsed(TEMPLATE)
    content["criterion"][0] |= change
    said = refusal(content)
    assert says in said
    assert "breaks-one-lay" in said or "clause" in says


def test_a_misspelt_key_of_the_file_is_refused():
    assert "exmaple" in refusal(parsed(TEMPLATE) | {"exmaple": []})


def test_two_criteria_of_one_name_are_refused():
    content = parsed(TEMPLATE)
    content["criterion"].append(content["criterion"][0])
    assert "twice" in refusal(content)


def test_a_rule_without_wear_must_say_that_it_is_incomplete():
    content = parsed(TEMPLATE)
    del content["criterion"][1]
    assert "incomplete" in refusal(content)


@pytest.mark.parametrize(
    ("row", "column", "value"),
    [(3, "ordinary_6d", 6), (3, "lang_30d", 4), (0, "ordinary_30d", 14), (5, "multi_30d", 62),
     (12, "ordinary_6d", 21)],
)  # fmt: skip
def test_a_misprint_in_the_printed_table_is_refused(row, column, value):
    content = parsed(ISO)
    content["table"][0]["row"][row]["cells"][column] = value
    said = refusal(content)
    assert "table counts, row" in said
    assert column in said


def test_every_single_cell_of_the_table_is_guarded_by_its_arithmetic():
    refused, content = 0, parsed(ISO)
    for place, row in enumerate(content["table"][0]["row"]):
        for column, value in row.get("cells", {}).items():
            if isinstance(value, list):
                continue  # two documents differ here; both figures are kept
            wrong = copy.deepcopy(content)
            wrong["table"][0]["row"][place]["cells"][column] = value + 1
            refusal(wrong)
            refused += 1
    assert refused == 13 * 6 - 8


@pytest.mark.parametrize(("first", "last"), [(77, 100), (75, 100), (100, 76)])
def test_a_gap_or_an_overlap_between_rows_is_refused(first, last):
    content = parsed(ISO)
    content["table"][0]["row"][2] |= {"first": first, "last": last}
    assert "row 3" in refusal(content)


def test_a_file_that_is_not_toml_or_not_named_by_its_slug_is_refused(tmp_path):
    (tmp_path / "broken.toml").write_text("slug = ", encoding="utf-8")
    with pytest.raises(RuleSetRefused, match=r"broken\.toml: it is not readable TOML"):
        load_rulesets(tmp_path)
    (tmp_path / "broken.toml").write_text(TEMPLATE.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(RuleSetRefused, match="not the file's name"):
        load_ruleset_folder(tmp_path)


def load_ruleset_folder(folder: Path):
    load_rulesets.cache_clear()
    return load_rulesets(folder)


def test_comments_and_spacing_do_not_change_the_hash_but_a_figure_does(tmp_path):
    text = TEMPLATE.read_text(encoding="utf-8")
    spaced, changed = tmp_path / "spaced.toml", tmp_path / "changed.toml"
    spaced.write_text(f"# a comment\n\n{text}", encoding="utf-8")
    changed.write_text(text.replace('"5 %"', '"6 %"'), encoding="utf-8")
    assert load_ruleset(spaced).hash == load_ruleset(TEMPLATE).hash
    assert load_ruleset(changed).hash != load_ruleset(TEMPLATE).hash


def test_what_is_known_only_from_memory_is_there_and_switched_off_with_its_reason():
    off = [each for rules in load_rulesets().values() for each in rules.criteria if each.off]
    assert len(off) == 10
    assert all(each.verified == "from memory" and "from memory" in each.off for each in off)


MADE = FOLDER / "asme-b30-5.toml"
SCALED = FOLDER / "cn-crane-rule-as-quoted.toml"
RANGES = FOLDER / "ca-ontario-213-91-168.toml"
GERMAN = FOLDER / "din-15020-2.toml"


def criterion_of(content: dict, slug: str) -> dict:
    return next(each for each in content["criterion"] if each["slug"] == slug)


def test_a_shorter_window_with_the_larger_number_is_refused_as_a_misprint():
    content = parsed(MADE)
    criterion_of(content, "rotation-resistant-6d")["limit"]["number"] = 6
    assert "rotation-resistant-6d allows more than rotation-resistant-30d" in refusal(content)


def test_one_strand_with_more_than_the_rope_is_refused_as_a_misprint():
    content = parsed(MADE)
    criterion_of(content, "breaks-one-strand")["limit"]["number"] = 7
    assert "breaks-one-strand allows more than breaks-one-lay" in refusal(content)


def test_the_misprints_that_documents_are_known_for_are_refused():
    content = parsed(FOLDER / "asme-b30-7.toml")
    content["criterion"] = [
        each for each in content["criterion"] if each["slug"] != "rotation-resistant-30d"
    ]
    criterion_of(content, "rotation-resistant-6d")["limit"]["number"] = 6
    assert "known misprint: 6 in 6 diameters" in refusal(content)
    content = parsed(SCALED)
    content["source"][0]["document"] = "PB 10-14-92, appendix"
    criterion_of(content, "breaks-one-lay")["limit"]["scale"]["steps"][-1][0] = "39 %"
    assert "30 % is meant" in refusal(content)
    content = parsed(FOLDER / "us-osha-1926-251.toml")
    content["criterion"][0] |= {"window": ["lay", 1], "limit": {"number": 6}}
    assert "another rule" in refusal(content)


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ([["10 %", "0.85"], ["15 %", "0.90"]], "factors fall"),
        ([["15 %", "0.85"], ["10 %", "0.75"]], "losses rise"),
        ([["10 %", "1.2"]], "below 1"),
        ([], "below 1"),
    ],
)
def test_a_scale_that_does_not_fall_with_the_loss_is_refused(steps, says):
    content = parsed(SCALED)
    criterion_of(content, "breaks-one-lay")["limit"]["scale"]["steps"] = steps
    assert says in refusal(content)


@pytest.mark.parametrize(
    ("bands", "says"),
    [
        ([["3.5 %", 20], ["3 %", 40], ["7.5 %", 100]], "the bands rise"),
        ([["3.5 %", 40], ["4.5 %", 20], ["7.5 %", 100]], "so do their severities"),
        ([["3.5 %", 20], ["7.5 %", 80]], "the last band is 100"),
        ([], "the bands rise"),
    ],
)
def test_bands_that_do_not_rise_to_discard_are_refused(bands, says):
    content = parsed(ISO)
    criterion_of(content, "diameter-steel-core")["limit"]["bands"] = bands
    assert says in refusal(content)


def test_a_column_below_the_one_it_holds_is_refused():
    content = parsed(FOLDER / "iso-4309-2017-rotation-resistant.toml")
    table = next(each for each in content["table"] if each["slug"] == "eleven-strands")
    table["row"][4]["cells"]["single_30d"] = 3
    said = refusal(content)
    assert "single_30d is less than" in said
    assert "eleven-strands, row 5" in said


@pytest.mark.parametrize(
    ("row", "change", "says"),
    [
        (1, {"above": "18 mm"}, "does not follow"),
        (1, {"above": "19 mm", "first": "19 mm"}, "begins twice"),
        (2, {"above": "28 mm"}, "does not follow"),
        (1, {"last": "18 mm"}, "first is after last"),
        (1, {"cells": {"loss": "0.5 mm"}}, "less than in the row above"),
        (1, {"cells": {"los": "2 mm"}}, "other columns"),
    ],
)
def test_a_faulty_range_of_diameters_is_refused(row, change, says):
    content = parsed(RANGES)
    content["table"][0]["row"][row] |= change
    assert says in refusal(content)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"parts": {"light_ordinary_6d": "1.5"}}, "between zero and one"),
        ({"parts": {"light_ordinary_6d": "four"}}, "is not a part"),
        ({"first": 302}, "does not follow"),
        ({"cells": {"light_ordinary_6d": 13}}, "twice"),
    ],
)
def test_a_faulty_open_row_is_refused(change, says):
    content = parsed(GERMAN)
    content["table"][0]["row"][-1] |= change
    assert says in refusal(content)


def test_every_cell_of_the_german_table_is_guarded_by_its_arithmetic():
    refused, content = 0, parsed(GERMAN)
    for place, row in enumerate(content["table"][0]["row"][:-1]):
        for column, value in row["cells"].items():
            wrong = copy.deepcopy(content)
            wrong["table"][0]["row"][place]["cells"][column] = value + 1
            said = refusal(wrong)
            assert "table counts, row" in said
            assert column in said
            refused += 1
    assert refused == 13 * 8


@pytest.mark.parametrize(
    ("slug", "change", "says"),
    [
        ("combined", {"combines": ["no-such"]}, "combines no-such"),
        ("combined", {"combines": []}, "names the criteria it combines"),
        ("combined", {"window": ["lay"]}, "has not the amount"),
        ("corrosion-rough", {"severity": 120}, "whole percentage"),
        ("ordinary-6d", {"severity": 50}, "whole percentage"),
        ("ordinary-6d", {"asks": "burn"}, "asks is one of"),
        ("ordinary-6d", {"limit": {"number": 2, "percent": "4"}}, "names no number"),
        ("ordinary-6d", {"limit": {"number": 2, "times": "0"}}, "more than zero"),
        ("ordinary-6d", {"when": {"outer_strands": [11, "and more"]}}, "cannot be"),
    ],
)
def test_a_faulty_combination_severity_or_modifier_is_refused(slug, change, says):
    content = parsed(ISO)
    criterion_of(content, slug).update(change)
    assert says in refusal(content)
