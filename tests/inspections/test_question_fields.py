"""The quick form of a question is the form rendered in full, to the letter."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.template.loader import get_template
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspections.answers import Question
from inspections.queries.checks import Asked, ask
from inspections.regime_files import regimes
from inspections.views import question_fields
from inspections.views.question_fields import filled_in, in_full, with_fields
from rigging.engine import RopeFacts, load_rulesets

RULES = [load_rulesets()["us-osha-1926-1413"]]
KINDS = ("rope", "yes_no", "measured", "count", "choice", "text", "photo")
SOUND = {
    "dia_1_a": "6.14 mm", "dia_1_b": "6.14 mm", "broken_lay": "0", "looked": "yes",
    "instrument": "Caliper 2", "broken_valley": "0", "cond_corrosion": "seen", "unit": "mm",
}  # fmt: skip
NAMES = st.sampled_from(
    [
        *SOUND, "given", "value", "choice", "text", "reason", "grade", "cured_by", "restriction",
        "uncertainty", "dia_2_a", "dia_3_b", "wires", "sure_value", "sure_dia_1_a", "at",
        "broken_end", "broken_strand_count", "photo", "cond_nothing", "smuggled",
    ]
)  # fmt: skip
VALUES = st.sampled_from(
    [
        "yes", "no", "could_not_look", "not_applicable", "seen", "mm", "in", "0", "12", "6.2 mm",
        'name="k:given" value="yes"', '"><script>', "value", "restricted", "2026-12-01", "Clean",
    ]
) | st.text(min_size=1, max_size=8)  # fmt: skip


def question_of(kind: str, unit: str = "") -> Question:
    checks = [check for regime in regimes().values() for check in regime.checks]
    check = next(check for check in checks if check.answer == kind)
    rope = RopeFacts() if kind == "rope" else None
    unit = unit or ("mm" if rope else check.unit("metric"))
    return Question(
        f"{check.slug}.7", check, part_id=7, part_label="line 1, rope", rope=rope, usual_unit=unit
    )


def both_ways(asked: Asked, may_grade: bool) -> tuple[str, str]:
    template = get_template("inspections/question.html").template  # type: ignore[attr-defined]
    quick = question_fields._fields(template, asked, may_grade)
    return quick, in_full(template, asked, may_grade)


@settings(max_examples=120, deadline=None)
@given(
    kind=st.sampled_from(KINDS),
    typed=st.dictionaries(NAMES, VALUES, max_size=7),
    may_grade=st.booleans(),
)
@example(kind="rope", typed=SOUND, may_grade=True)
@example(kind="rope", typed=SOUND | {"unit": "in"}, may_grade=True)
@example(kind="yes_no", typed={"given": "no"}, may_grade=False)
@example(kind="yes_no", typed={"given": "not_applicable", "reason": "None here"}, may_grade=True)
def test_values_put_in_give_the_form_rendered_in_full(
    kind: str, typed: dict[str, str], may_grade: bool
) -> None:
    asked = ask(question_of(kind), typed, RULES, [])
    quick, full = both_ways(asked, may_grade)
    assert quick == full


@pytest.mark.parametrize(
    ("kind", "typed"),
    [("rope", SOUND), ("yes_no", {"given": "yes"}), ("measured", {"value": "3.5"}), ("rope", {})],
)
def test_usual_answers_take_the_quick_way(kind: str, typed: dict[str, str]) -> None:
    asked = ask(question_of(kind), typed, RULES, [])
    template = get_template("inspections/question.html").template  # type: ignore[attr-defined]
    quick = filled_in(in_full(template, Asked(asked.question, {}, None), False), asked)
    assert quick == in_full(template, asked, False)


def test_what_was_typed_is_escaped() -> None:
    asked = ask(question_of("measured"), {"value": '"><script>alert(1)</script>'}, RULES, [])
    ((_, fields),) = with_fields([asked], "competent")
    assert "<script" not in fields
    assert "&lt;script&gt;" in fields


def test_the_same_case_gives_the_same_verdict_and_another_rule_set_its_own() -> None:
    sets = load_rulesets()
    question = question_of("rope")
    first = ask(question, SOUND | {"at": "2026-05-04"}, RULES, [])
    again = ask(question, SOUND | {"at": "2026-05-05"}, RULES, [])
    other = ask(question, SOUND, [sets["us-msha-30cfr-56-19024"]], [])
    forged = replace(RULES[0], criteria=sets["us-msha-30cfr-56-19024"].criteria)
    assert ask(question, SOUND, [forged], []).judgements[0].results != first.judgements[0].results
    worse = ask(question, SOUND | {"broken_lay": "9"}, RULES, [])
    assert first.judgements == again.judgements
    assert again.typed["at"] == "2026-05-05"
    assert other.judgements[0].ruleset != first.judgements[0].ruleset
    assert worse.judgements != first.judgements


def test_a_count_has_the_keys_of_a_count() -> None:
    for kind, fields in (("count", 1), ("rope", 4)):
        ((_, html),) = with_fields([ask(question_of(kind), {}, RULES, [])], "competent")
        assert html.count('data-keypad="count"') == fields


@pytest.mark.parametrize(("usual", "other"), [("mm", "in"), ("in", "mm")])
def test_a_reading_offers_both_units_the_usual_one_first(usual: str, other: str) -> None:
    question = question_of("rope", usual)
    ((_, html),) = with_fields([ask(question, {}, RULES, [])], "competent")
    key = f'name="{question.key}:unit"'
    chosen, offered = f'{key} value="{usual}" checked', f'{key} value="{other}">'
    assert html.index(chosen) < html.index(offered)
    assert html.count(key) == 2


def test_the_unit_chosen_rules_a_bare_number() -> None:
    question = question_of("rope", "mm")
    asked = ask(question, SOUND | {"dia_1_a": "0.25", "dia_1_b": "0.25", "unit": "in"}, RULES, [])
    assert [measured.quantity.si for measured in asked.read.measured] == [
        measured.quantity.si
        for measured in ask(
            question, SOUND | {"dia_1_a": "6.35", "dia_1_b": "6.35"}, RULES, []
        ).read.measured
    ]
    ((_, html),) = with_fields([asked], "competent")
    assert f'name="{question.key}:unit" value="in" checked' in html


@pytest.mark.parametrize("unit", ["furlong", "kg", "'; --"])
def test_a_unit_that_is_none_of_this_field_is_said_and_kept_from_the_figures(unit: str) -> None:
    asked = ask(question_of("rope"), SOUND | {"dia_1_a": "6.1", "unit": unit}, RULES, [])
    assert unit in asked.spoken()["faults"]["dia_1_a"]
    assert not asked.complete
