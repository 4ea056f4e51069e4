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
