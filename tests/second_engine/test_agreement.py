"""The product and the second engine say the same; `make vectors` asks many more."""

import random
from fractions import Fraction
from itertools import chain, islice

import pytest

from tests.second_engine import verdicts
from tests.second_engine.boundaries import boundary_vectors
from tests.second_engine.comparing import TOLD, compared, shared_vectors
from tests.second_engine.judging import judge, rules_of_files
from tests.second_engine.lots import lots, made
from tests.second_engine.quantities import read_quantity
from tests.second_engine.wires import (
    ENDLESS,
    ZONES,
    broken_wires,
    every_window,
    longest_run,
    most_in_strand,
    wanted_zones,
    window_length,
)  # fmt: skip

PER_RULESET = 40
ROPE = {"lay_length": "60 mm", "nominal_diameter": "8 mm"}
WINDOWS = (
    ["lay", 1], ["lay", 3], ["diameters", 6], ["diameters", 30], ["length", "60 mm"],
    ["length", "25 mm"], ["whole_rope"],
)  # fmt: skip


def test_both_engines_agree_on_every_rule_set_in_the_judgement_and_in_every_criterion():
    found = compared(chain.from_iterable(map(made, lots(PER_RULESET, seed=20_260_101))))

    assert found.disagreements == []
    assert found.examples == PER_RULESET * len(rules_of_files())
    assert min(found.states[each] for each in ("watch", "out of service", "retire")) > 10
    assert found.states["fit"] > 0


def test_every_third_answer_kept_in_the_shared_file_is_that_of_the_second_engine():
    every, differing = rules_of_files(), []
    for vector in islice(shared_vectors(), 0, None, 3):
        told = judge(vector["rope"], vector["observation"], every[vector["ruleset"]])
        if any(told[name] != vector["answer"][name] for name in TOLD):
            differing.append(vector)

    assert differing == []


@pytest.mark.parametrize(("written", "misread"), [(">=", ">"), (">", ">="), ("<", "<=")])
def test_one_comparator_misread_is_found_at_the_limits(monkeypatch, written, misread):
    right = verdicts.holds
    monkeypatch.setattr(
        verdicts,
        "holds",
        lambda v, sign, edge: right(v, misread if sign == written else sign, edge),
    )
    every = rules_of_files()

    found = compared(boundary_vectors(3, 12 * len(every), every))

    assert found.differing
    assert (found.unsafe > 0) == (written != ">=")


def test_a_count_never_proves_more_of_another_window_than_the_wires_allow():
    """Ropes known to the last wire: what is counted on them gives a range that holds the truth."""
    chance = random.Random(7)
    for _ in range(1_500):
        there = [wire_somewhere(chance) for _ in range(chance.randrange(1, 8))]
        criterion = criterion_somehow(chance)
        truth = counted(there, criterion)
        seen = {"counts": [count_of(there, chance) for _ in range(chance.choice((1, 2)))]}

        low, high = broken_wires(criterion, ROPE, seen)

        assert low <= truth, (there, criterion, seen)
        assert high is None or truth <= high, (there, criterion, seen)


def test_listed_wires_with_gaps_give_a_range_that_holds_the_truth():
    chance = random.Random(8)
    for _ in range(1_500):
        there = [wire_somewhere(chance) for _ in range(chance.randrange(1, 8))]
        criterion = criterion_somehow(chance)
        told = [
            wire | {name: None for name in ("strand", "wire", "zone") if chance.random() < 0.3}
            for wire in there
        ]

        low, high = broken_wires(criterion, ROPE, {"broken_wires": told})

        assert low <= counted(there, criterion) <= high, (there, criterion, told)


def wire_somewhere(chance):
    return {
        "position": f"{chance.choice((0, 25, 48, 60, 61, 120, chance.randrange(400)))} mm",
        "strand": chance.randrange(3),
        "wire": chance.randrange(1, 1_000_000) if chance.random() < 0.2 else chance.randrange(1, 8),
        "zone": chance.choice(ZONES),
    }


def criterion_somehow(chance):
    how = chance.choice(({}, {}, {"per_strand": True}, {"adjacent": True}))
    zones = chance.choice(
        ({}, {"only": ["valley"]}, {"without": ["termination"]}, {"only": ["crown", "valley"]})
    )
    return {"window": chance.choice(WINDOWS), **how, **zones}


def counted(there, criterion):
    """By looking through every window."""
    of_zones = [wire for wire in there if wire["zone"] in wanted_zones(criterion)]
    length = window_length(criterion["window"], ROPE)
    how = len
    if criterion.get("per_strand"):
        how = lambda wires: most_in_strand(wires, surely=True)  # noqa: E731
    if criterion.get("adjacent"):
        how = longest_run
    return max((how(wires) for wires in every_window(of_zones, length or ENDLESS)), default=0)


def count_of(there, chance):
    """A count as it is asked for: the most in any window of that length, in any one strand of it."""
    window, zone = chance.choice(WINDOWS), chance.choice((None, None, *ZONES))
    asked = {"window": window, "only": [zone]} if zone else {"window": window}
    return {
        "number": counted(there, asked),
        "window": window,
        "zone": zone,
        "in_one_strand": chance.choice((None, counted(there, asked | {"per_strand": True}))),
        "adjacent": chance.choice((None, counted(there, asked | {"adjacent": True}))),
    }


def test_quantities_are_read_exactly():
    assert read_quantity("1 1/4 in") == Fraction("0.03175")
    assert read_quantity("2.5 in") == Fraction("0.0635")
    assert read_quantity("7000 lbf") == Fraction("31137.5513068235")
