"""Every sourced row is used, or listed with the reason why not; the engine agrees with each.

The figures stand in `printed/` with the document they come from; a failure names it.
"""

from __future__ import annotations

import csv
import json
import tomllib
from fractions import Fraction
from math import ceil, floor
from pathlib import Path
from typing import Any

import pytest

from rigging.calculators import load_calculators
from rigging.engine import Criterion, RopeFacts, RopeObservation, RuleSet, judge_rope, load_rulesets
from rigging.engine.limits_of_rules import OR_MORE
from tests.external_checks import CLASSES
from tests.rigging.ropes import WHOLE_ROPE, make_observation, make_rope
from venue.quantities import read_quantity

PRINTED = Path(__file__).parent / "printed"
RULESETS = load_rulesets()
HAIR = Fraction(1, 10**9)


def rows(name: str) -> list[dict[str, str]]:
    with (PRINTED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def cases(name: str, *shown: str) -> list[Any]:
    return [
        pytest.param(
            row,
            id=" ".join([row["id"], *(row[each] for each in shown)]),
            marks=pytest.mark.external(row["class"]),
        )
        for row in rows(name)
    ]


def facts_for(criterion: Criterion) -> dict[str, Any]:
    """The rope of the tests, changed so that the criterion applies to it."""
    return {
        fact: next(value for value in allowed if value != OR_MORE)
        for fact, allowed in (criterion.when or {}).items()
    }


def verdict(rules: RuleSet, slug: str, rope: RopeFacts, seen: RopeObservation) -> str:
    found = judge_rope(rope, seen, rules).results
    return str(next(each for each in found if each.slug == slug).verdict)


@pytest.mark.parametrize("row", cases("wire_tables.csv", "table", "column", "printed"))
def test_a_cell_of_a_printed_table_retires_a_rope_at_its_number_and_not_below(row):
    ruleset, _, table = row["table"].partition(":")
    rules = RULESETS[ruleset]
    wanted = [
        each
        for each in rules.criteria
        if each.limit
        and each.limit.table
        and each.limit.table.slug == (table or "counts")
        and each.limit.column == row["column"]
    ]
    assert len(wanted) == 1, row
    for wires in {int(row["wires_from"]), int(row["wires_to"])}:
        rope = make_rope(**facts_for(wanted[0]) | {"outer_load_bearing_wires": wires})
        number = printed_number(row["printed"], wires)
        found = [verdict_at(rules, wanted[0], rope, count) for count in (number - 1, number)]
        told = f"{row['document']}: {wires} wires, {row['printed']}"
        if doubtful(rules, row["column"], table, wires):
            # Two documents print two figures: the rope is never kept at this one.
            assert found[1] != "not met", told
        else:
            assert found == ["not met", "met"], told


def printed_number(text: str, wires: int) -> int:
    """A number, or "0.04 of the wires", rounded up to a whole one."""
    if "of the wires" not in text:
        return int(text)
    return ceil(Fraction(text.split()[0]) * wires)


def doubtful(rules: RuleSet, column: str, table: str, wires: int) -> bool:
    """Whether two documents differ here, or how to round is not settled."""
    found = rules.tables[table or "counts"]
    cell = found.cell(make_rope(outer_load_bearing_wires=wires), column)
    return cell.low != cell.high


def verdict_at(
    rules: RuleSet, criterion: Criterion, rope: RopeFacts, number: int, **seen: Any
) -> str:
    """The verdict on so many wires in the criterion's own window, all in one strand."""
    assert criterion.wanted is not None
    kind, amount = criterion.wanted.window
    window = [kind] if amount is None else [kind, getattr(amount, "typed", amount)]
    zone = criterion.wanted.only[0] if criterion.wanted.only else None
    count = {
        "number": number, "window": window, "in_one_strand": number, "adjacent": number,
        "zone": zone,
    }  # fmt: skip
    away = [{"number": 0, "window": window, "zone": each} for each in criterion.wanted.without]
    observed = make_observation(counts=[count, *away], **seen)
    return verdict(rules, criterion.slug, rope, observed)


@pytest.mark.parametrize("row", cases("criteria.csv", "ruleset", "criterion", "printed"))
def test_a_printed_criterion_is_met_at_its_figure_and_not_on_its_other_side(row):
    rules = RULESETS[row["ruleset"]]
    criterion = next(each for each in rules.criteria if each.slug == row["criterion"])
    told = f"{row['document']}, {row['clause']}: {row['printed']}"
    assert criterion.comparator == row["comparator"], told
    facts = json.loads(row["facts"] or "{}")
    seen = {"outer_wire_loss": facts.pop("_outer_wire_loss", None)}
    rope = WHOLE_ROPE | {"carries": "other"} | facts_for(criterion) | facts
    if row["printed"] == "present":
        found = [looked(rules, criterion, rope, seen) for seen in (False, True)]
    elif criterion.wanted:
        found = counted(rules, criterion, rope, seen, row["printed"])
    else:
        found = measured(rules, criterion, rope, row["printed"])
    assert found == ["not met", "met"], told


def looked(rules: RuleSet, criterion: Criterion, rope: dict[str, Any], seen: bool) -> str:
    said = make_observation().to_dict()["conditions"] | {criterion.conditions[0]: seen}
    return verdict(
        rules, criterion.slug, RopeFacts.from_dict(rope), make_observation(conditions=said)
    )


def counted(
    rules: RuleSet, criterion: Criterion, rope: dict[str, Any], seen: dict[str, Any], printed: str
) -> list[str]:
    """At the fewest wires that reach the printed figure, and at one less."""
    limit = printed_limit(printed, rope)
    fewest = ceil(limit) if criterion.comparator == ">=" else floor(limit) + 1
    facts = RopeFacts.from_dict(rope)
    return [verdict_at(rules, criterion, facts, number, **seen) for number in (fewest - 1, fewest)]


def printed_limit(printed: str, rope: dict[str, Any]) -> Fraction:
    """A number, "10 % of total_wires", or either times a factor: "0.85 x 10 % of total_wires"."""
    times, _, rest = printed.rpartition(" x ")
    factor = Fraction(times) if times else Fraction(1)
    part, _, wires = rest.partition(" % of ")
    return factor * (Fraction(part) * rope[wires] / 100 if wires else Fraction(rest))


def measured(rules: RuleSet, criterion: Criterion, rope: dict[str, Any], printed: str) -> list[str]:
    """Exactly at the printed figure and a hair on its other side."""
    as_length = not printed.endswith(("%", "x"))
    limit = read_quantity(printed, "length" if as_length else "ratio").si
    values = (limit - HAIR, limit) if criterion.comparator == ">=" else (limit, limit + HAIR)
    facts = RopeFacts.from_dict(rope)
    found = []
    for value in values:
        if criterion.indicator == "diameter_loss":
            assert facts.nominal_diameter is not None
            nominal = criterion.reference == "nominal"
            start = facts.nominal_diameter if nominal else facts.baseline_diameter
            assert start is not None
            left = start.si - value if as_length else start.si * (1 - value)
            typed = f"{left.numerator}/{left.denominator} m"
            seen = make_observation(diameters=[{"a": typed, "b": typed}])
        else:
            typed = f"{value.numerator}/{value.denominator} x"
            seen = make_observation(**{criterion.indicator: typed})
        found.append(verdict(rules, criterion.slug, facts, seen))
    return found


@pytest.mark.parametrize("row", cases("one_rope.csv", "ruleset", "fewest"))
def test_the_same_rope_is_retired_at_the_number_of_each_rule(row):
    rules, window = RULESETS[row["ruleset"]], json.loads(row["window"])
    rope = make_rope(carries="other", **json.loads(row["facts"] or "{}"))
    states = []
    for number in range(int(row["fewest"]) + 1):
        count = {"number": number, "window": window, "in_one_strand": min(number, 1)}
        seen = make_observation(counts=[count], outer_wire_loss="0 %")
        states.append(judge_rope(rope, seen, rules).state == "retire")
    assert states == [False] * int(row["fewest"]) + [True], row["document"]
    if row["in_one_strand"]:
        most = int(row["in_one_strand"])
        for number in (most - 1, most):
            seen = make_observation(
                counts=[{"number": number, "window": window, "in_one_strand": number}]
            )
            retires = judge_rope(rope, seen, rules).state == "retire"
            assert retires == (number == most), row["document"]


EXAMPLES = json.loads((PRINTED / "worked_examples.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(each, id=f"{each['id']} {each['ruleset']}", marks=pytest.mark.external(each["class"]))
        for each in EXAMPLES
    ],
)  # fmt: skip
def test_a_worked_example_has_its_printed_answer(case):
    judged = judge_rope(
        RopeFacts.from_dict(case["rope"]),
        RopeObservation.from_dict(case["observation"]),
        RULESETS[case["ruleset"]],
    )
    found = next(each for each in judged.results if each.slug == case["criterion"])
    for key, wanted in case["expect"].items():
        assert str(getattr(found, key)) == wanted, f"{case['document']}: {key}"


LEFT = tomllib.loads((PRINTED / "not_used.toml").read_text(encoding="utf-8"))


def all_rows() -> set[str]:
    numbered = {
        f"{name}:{number}"
        for name, most in LEFT["rows"].items()
        if isinstance(most, int)
        for number in range(1, most + 1)
    }
    return numbered | {f"worked_examples:{name}" for name in LEFT["rows"]["worked_examples"]}


def test_every_row_is_used_by_a_test_or_listed_with_the_reason_why_not():
    used = {
        row["id"] for name in ("wire_tables", "criteria", "one_rope") for row in rows(f"{name}.csv")
    }
    used |= {each["id"] for each in EXAMPLES}
    memory = {f"{name}:{number}" for name, rows in LEFT["memory"].items() for number in rows}
    calculated = {f"worked_examples:{name}" for name in LEFT["calculators"]}
    parts = (used, memory, calculated, set(LEFT["not_used"]))
    assert set().union(*parts) == all_rows()
    assert sum(len(part) for part in parts) == len(all_rows()), "a row is there twice"
    assert all(len(why) > 20 for why in LEFT["not_used"].values())


def test_the_rows_left_to_calculators_have_a_calculator_with_outside_examples():
    known = load_calculators()
    for row, named in LEFT["calculators"].items():
        slug, _, name = named.partition(": ")
        kinds = [str(each.kind) for each in known[slug].examples if each.name == name]
        assert len(kinds) == 1, (row, named)
        assert kinds[0] in CLASSES, (row, named)


def test_there_are_at_least_three_hundred_checks_from_outside():
    number = sum(len(rows(f"{name}.csv")) for name in ("wire_tables", "criteria", "one_rope"))
    assert number + len(EXAMPLES) >= 300
