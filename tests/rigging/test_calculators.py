"""Every calculator keeps its contract and its worked examples, whoever wrote it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from rigging.calculators import Calculator, answer, load_calculators, read_values
from rigging.calculators.contract import (
    BACKINGS,
    CHECK_STATES,
    UNDECIDED,
    WEAK_BACKINGS,
    BadValue,
    Example,
    ExampleClass,
)
from rigging.calculators.drawing import LOOKS, Words
from rigging.calculators.examples import faults_of_example
from rigging.calculators.showing import figure_text, other_habit
from rigging.calculators.svg import svg_of
from rigging.engine import CAUTION
from venue.quantities import DIMENSIONS, UNITS

CALCULATORS = list(load_calculators().values())
EXAMPLES = [(one, example) for one in CALCULATORS for example in one.examples]
EXTRA = ("load", "choice", "number", "measure")
every_calculator = pytest.mark.parametrize("one", CALCULATORS, ids=lambda one: one.slug)
every_example = pytest.mark.parametrize(
    ("one", "example"), EXAMPLES, ids=[f"{one.slug}: {example.name}" for one, example in EXAMPLES]
)


def answered(one: Calculator, example: Example):
    return answer(one, read_values(one, example.typed))


def test_each_is_found_once_and_named_for_an_address() -> None:
    assert len(CALCULATORS) >= 1
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one.slug) for one in CALCULATORS)


@every_calculator
def test_what_it_asks_can_be_asked(one: Calculator) -> None:
    slugs = [asked.slug for asked in one.inputs]
    assert len(set(slugs)) == len(slugs) > 0
    for asked in one.inputs:
        named = asked.dimension if isinstance(asked.dimension, tuple) else (asked.dimension,)
        assert set(named) <= {*DIMENSIONS, *EXTRA}
        assert asked.label
        assert re.fullmatch(r"[a-z0-9_]+", asked.slug)
        assert bool(asked.choices) == (asked.dimension == "choice")
        assert asked.bare in ("", *UNITS)
    assert one.title
    assert one.purpose.endswith(".")


@every_calculator
def test_it_names_its_sources_and_how_well_they_are_backed(one: Calculator) -> None:
    assert one.sources
    for source in (*one.sources, *(example.source for example in one.examples)):
        assert source.document
        assert source.backing in BACKINGS
    assert one.examples


@every_example
def test_its_worked_examples_agree(one: Calculator, example: Example) -> None:
    assert example.printed or example.checks or example.cannot
    assert faults_of_example(one, example) == []


def test_examples_are_counted_by_class() -> None:
    counted = Counter(example.kind for _, example in EXAMPLES)
    print("; ".join(f"{kind}: {counted[kind]}" for kind in ExampleClass))
    assert sum(counted.values()) == len(EXAMPLES)


def test_an_example_that_is_wrong_in_its_last_place_is_told() -> None:
    one = load_calculators()["fleet-angle"]
    example = one.examples[0]
    assert faults_of_example(one, replace(example, printed={"angle": "1.45 deg"}))
    assert faults_of_example(one, replace(example, checks={"limit": "beyond"}))
    assert faults_of_example(one, replace(example, printed={"none": "1"}))
    assert faults_of_example(one, replace(example, cannot=("offset",)))


@every_example
def test_an_answer_can_be_shown_and_carries_the_caution(one: Calculator, example: Example) -> None:
    found = answered(one, example)
    assert found.caution == CAUTION
    assert found.working or found.cannot
    assert len({figure.slug for figure in found.figures}) == len(found.figures)
    for figure in found.figures:
        assert figure.label
        assert figure_text(figure)
        assert "." not in other_habit(figure)[-1:]
    for check in found.checks:
        assert check.state in CHECK_STATES
        assert check.words
        assert check.source.document
        weak = check.source.backing in WEAK_BACKINGS
        assert weak <= any(check.source.document in warning for warning in found.warnings)
    for table in found.tables:
        assert all(len(row) == len(table.headings) for row in table.rows)


@every_example
def test_a_missing_datum_is_named_and_nothing_is_guessed(one: Calculator, example: Example) -> None:
    """Left empty, one required field at a time: no figure, no pass, the name of the field."""
    for asked in one.inputs:
        if asked.optional:
            continue
        found = answer(one, read_values(one, {**example.typed, asked.slug: ""}))
        assert [missing.slug for missing in found.cannot] == [asked.slug]
        assert asked.label in found.cannot[0].sentence
        assert not found.figures
        assert not found.checks


@every_example
def test_what_is_undecided_names_what_would_decide_it(one: Calculator, example: Example) -> None:
    """Also with each optional datum left out in turn."""
    for left_out in ("", *(asked.slug for asked in one.inputs if asked.optional)):
        typed = {**example.typed, **({left_out: ""} if left_out else {})}
        found = answer(one, read_values(one, typed))
        if any(check.state == UNDECIDED for check in found.checks):
            assert found.cannot
        assert all(missing.datum and missing.what for missing in found.cannot)


@every_example
def test_a_diagram_says_in_words_what_it_shows(one: Calculator, example: Example) -> None:
    drawing = answered(one, example).diagram
    if drawing is None:
        return
    root = ElementTree.fromstring(svg_of(drawing))
    title, words = root[0].text, root[1].text
    assert title
    assert words is not None
    assert words.endswith(".")
    assert all(mark.look in LOOKS for mark in drawing.marks)
    for mark in drawing.marks:
        if isinstance(mark, Words):
            assert 0 <= mark.x <= drawing.width
            assert 0 <= mark.y <= drawing.height
    assert "style=" not in svg_of(drawing)


@every_calculator
def test_nonsense_is_refused_with_a_sentence_that_says_what_to_do(one: Calculator) -> None:
    refused = 0
    for asked in one.inputs:
        for nonsense in ("banana", "-", "1e9"):
            with pytest.raises(BadValue) as refusal:
                answer(one, read_values(one, {asked.slug: nonsense}))
            assert refusal.value.slug == asked.slug
            assert refusal.value.sentence.endswith(".")
            refused += 1
    assert refused == 3 * len(one.inputs)
    with pytest.raises(BadValue, match="not asked here"):
        read_values(one, {"no_such_key": "1"})
