"""A task for several people has as many different ones, whoever judges it."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from random import Random

import pytest

from inspections.planning.house import House, Need, Person, Task
from inspections.planning.rules import rule_faults
from inspections.planning.usable import hindrances, usable_slots
from tests.inspections.planning.small_houses import make_house, make_person, make_plan

BOTH = (Need("competent", 4), Need("trained", 4))


def house_of(*people: Person, needs: tuple[Need, ...] = BOTH) -> House:
    return make_house(1, make_plan("a", 9, needs=needs), people=people)


def test_who_may_do_both_parts_is_still_one_person() -> None:
    one = make_person(1, 8, "competent", "trained")
    assert hindrances(house_of(one), house_of(one).plans[0], 0) == [
        "people (competent and trained)"
    ]
    two = (one, make_person(1, 8, "trained", key="two"))
    assert usable_slots(house_of(*two), house_of(*two).plans[0]) == (0, 1)


def test_what_is_missing_for_one_part_is_told_once() -> None:
    trained = [make_person(1, 8, "trained", key=key) for key in ("one", "two")]
    house = house_of(*trained)
    assert hindrances(house, house.plans[0], 0) == ["people (competent)"]


def test_what_one_person_does_alone_may_be_taken_over() -> None:
    short = [make_person(1, 3, key=key) for key in ("one", "two")]
    house = house_of(*short, needs=(Need("competent", 5),))
    assert usable_slots(house, house.plans[0]) == (0, 1)


def by_trying(house: House, slot: int) -> bool:
    """Whether any order of the people gives each part its own."""
    parts = [need for need in house.plans[0].needs for _ in range(need.people)]
    return any(
        all(
            person.may(need.competence, 0)
            and person.quarters[slot] >= max(1, need.quarters // need.people)
            for person, need in zip(some, parts, strict=True)
        )
        for some in permutations(house.people, len(parts))
    )


@pytest.mark.parametrize("seed", range(60))
def test_planner_and_evaluator_find_what_trying_everybody_finds(seed: int) -> None:
    random = Random(seed)
    names = ("competent", "trained", "rigger")
    people = tuple(
        make_person(1, random.choice((0, 2, 6)), *random.sample(names, random.choice((1, 2))), key=f"p{n}")
        for n in range(random.choice((2, 3, 4)))
    )  # fmt: skip
    needs = tuple(
        Need(name, 4, people=random.choice((1, 1, 2)))
        for name in random.sample(names, random.choice((2, 3)))
    )
    house = house_of(*people, needs=needs)
    hours_are_there = replace(house, people=tuple(replace(p, overtime=(0, 0)) for p in people))
    possible = by_trying(hours_are_there, 0)
    judged = [f for f in rule_faults(house, [Task("a", 0)], {0: [Task("a", 0)]}) if "people" in f]
    assert (not judged) == possible
    assert (0 in usable_slots(house, house.plans[0])) == possible
