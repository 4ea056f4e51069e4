"""`manage.py rules`: the lists, and a rule set of one's own, read and tried."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from rigging.engine import load_rulesets
from rigging.engine.limit_set_files import load_limit_sets

EXAMPLES = Path(__file__).parent.parent.parent / "docs" / "examples"
TEMPLATE = EXAMPLES / "house_rule_template.toml"


def rules(*arguments: str) -> str:
    out = io.StringIO()
    call_command("rules", *arguments, stdout=out)
    return out.getvalue()


def test_every_rule_set_is_a_line_and_an_object():
    assert len(rules("--list").splitlines()) == len(load_rulesets())
    told = json.loads(rules("--list", "--json"))
    assert [each["slug"] for each in told] == list(load_rulesets())
    iso = next(each for each in told if each["slug"] == "iso-4309-2017-counts")
    assert iso["switched_off"] == 5


def test_every_printed_limit_is_told_with_its_document():
    told = json.loads(rules("--limits", "--json"))
    assert len(told) == sum(len(each.limits) for each in load_limit_sets().values())
    rail = next(each for each in told if each["limit"] == "access-us:guardrail-height")
    assert (rail["figure"], rail["document"]) == (
        "at least 39 in and at most 45 in",
        "29 CFR 1910.29",
    )


def test_the_filled_in_house_rule_is_read_and_its_example_holds():
    assert "3 criteria, 1 examples hold" in rules("--read", str(EXAMPLES / "house_rule.toml"))


def test_the_template_is_refused_until_everything_is_filled_in(tmp_path):
    path, text = tmp_path / "mine.toml", TEMPLATE.read_text(encoding="utf-8")
    filled = 0
    while '"FILL IN' in text:
        path.write_text(text, encoding="utf-8")
        with pytest.raises(CommandError, match="is not filled in"):
            rules("--read", str(path))
        text, filled = fill_in_one(text), filled + 1
    path.write_text(text, encoding="utf-8")
    assert "2 criteria, 1 examples hold" in rules("--read", str(path))
    assert filled == 17


def fill_in_one(text: str) -> str:
    """The next blank, as a person would fill it in."""
    before, _, rest = text.partition('"FILL IN')
    blank, _, after = rest.partition('"')
    figures = {"the number at which": '"3"', "like 5 %": '"5 %"'}
    figure = next((value for words, value in figures.items() if words in blank), '"of the house"')
    return before + figure + after


def test_a_rule_whose_example_does_not_hold_is_refused(tmp_path):
    path = tmp_path / "mine.toml"
    text = (EXAMPLES / "house_rule.toml").read_text(encoding="utf-8")
    path.write_text(text.replace("number = 3, window", "number = 2, window"), encoding="utf-8")
    with pytest.raises(CommandError, match="state is"):
        rules("--read", str(path))
    with pytest.raises(CommandError, match="cannot be read"):
        rules("--read", str(tmp_path / "nothing.toml"))
