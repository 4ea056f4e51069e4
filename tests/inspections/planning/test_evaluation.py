"""The evaluator finds every sort of wrong plan, and counts days and money as by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from inspections.calendar_rules import Interval
from inspections.planning.evaluate import evaluate
from inspections.planning.house import DueDay, Examiner, House, Need, Plan, SetUp, Task
from inspections.planning.usable import usable_slots
from tests.inspections.planning.small_houses import (
    BLOCKED,
    DARK,
    make_house,
    make_person,
    make_plan,
)

PAIR = frozenset({("grid", "above"), ("grid", "below")})
ABOVE, BELOW = frozenset({("grid", "above")}), frozenset({("grid", "below")})
EXAMINER = Examiner("lifting", 500, 8, frozenset({1, 2}), notice_days=2, arranged=frozenset({0}))


def examined(key: str) -> Plan:
    return make_plan(key, 9, examiner="lifting", examiner_quarters=5)


WRONG: dict[str, tuple[House, list[Task], str]] = {
    "no such plan": (make_house(2), [Task("ghost", 0)], "no such plan"),
    "outside": (make_house(2, make_plan("a", 9)), [Task("a", 4)], "outside the year"),
    "long task outside": (make_house(2, make_plan("a", 9, duration=2)), [Task("a", 3)], "outside"),
    "access": (
        make_house(2, make_plan("a", 9, access=DARK), access=(BLOCKED, DARK, DARK, DARK)),
        [Task("a", 0)], "lacks stage clear",
    ),
    "access in the second half of a long task": (
        make_house(2, make_plan("a", 9, access=DARK, duration=2), access=(DARK, BLOCKED, DARK, DARK)),
        [Task("a", 0)], "lacks stage clear",
    ),
    "examiner without notice": (
        make_house(3, examined("a"), examiners={"lifting": EXAMINER}), [Task("a", 2)], "does not come",
    ),
    "examiner's day too full": (
        make_house(3, examined("a"), examined("b"), examiners={"lifting": EXAMINER}),
        [Task("a", 4), Task("b", 5)], "too much",
    ),
    "notice of a set-up": (
        make_house(3, make_plan("a", 9, set_ups=frozenset({"iso"})),
                   set_ups={"iso": SetUp("iso", "day", 10, notice_days=2)}),
        [Task("a", 3)], "too late to give notice of iso for day 1",
    ),
    "work above people": (
        make_house(2, make_plan("a", 9, zones=ABOVE), make_plan("b", 9, zones=BELOW),
                   clashes=frozenset({PAIR})),
        [Task("a", 1), Task("b", 1)], "clash",
    ),
    "two where one may be": (
        make_house(2, make_plan("a", 9, zones=ABOVE), make_plan("b", 9, zones=ABOVE),
                   clashes=frozenset({ABOVE})),
        [Task("a", 1), Task("b", 1)], "clash",
    ),
    "order on a day": (
        make_house(2, make_plan("sweep", 9), make_plan("drop", 9), order=(("sweep", "drop"),)),
        [Task("drop", 2), Task("sweep", 3)], "comes before",
    ),
    "people": (
        make_house(2, make_plan("a", 9, needs=(Need("competent", 9),)), people=(make_person(2, 8),)),
        [Task("a", 0)], "people are missing",
    ),
    "competence that has run out": (
        make_house(2, make_plan("a", 9, needs=(Need("competent", 4),)), people=(
            replace(make_person(2, 8), competences=(make_person(0).competences[0],)),)),
        [Task("a", 2)], "people are missing",
    ),
    "two people where there is one who may do both": (
        make_house(2, make_plan("a", 9, needs=(Need("competent", 4), Need("trained", 4))),
                   people=(make_person(2, 8, "competent", "trained"),)),
        [Task("a", 0)], "lacks different people",
    ),
    "a helper who has gone home before the end": (
        make_house(2, make_plan("a", 9, needs=(Need("competent", 4), Need("trained", 4))),
                   people=(make_person(2, 8, "competent", "trained"),
                           make_person(2, 2, "trained", key="two"))),
        [Task("a", 0)], "lacks different people",
    ),
    "twice on a day": (make_house(2, make_plan("a", 9)), [Task("a", 0), Task("a", 1)], "twice"),
    "locked elsewhere": (
        make_house(2, make_plan("a", 9), locked=frozenset({Task("a", 0)})), [Task("a", 1)], "locked",
    ),
    "before its window opens": (
        make_house(9, Plan("a", "a", Interval(days=7), due_days=(DueDay(4, 6, 6),))),
        [Task("a", 6)], "opens",
    ),
    "more tasks than due days": (
        make_house(9, Plan("a", "a", Interval(days=7), due_days=(DueDay(0, 6, 6),))),
        [Task("a", 6), Task("a", 9)], "more tasks",
    ),
}  # fmt: skip


@pytest.mark.parametrize("sort", WRONG)
def test_a_wrong_plan_is_found_and_named(sort: str) -> None:
    house, tasks, words = WRONG[sort]
    assert words in " ".join(evaluate(house, tasks).faults)


@pytest.mark.parametrize("sort", [sort for sort in WRONG if sort not in ("people", "no such plan")])
def test_the_same_house_with_another_plan_has_no_such_fault(sort: str) -> None:
    house, tasks, words = WRONG[sort]
    right = [Task("a", 8)] if sort == "before its window opens" else sorted(house.locked)
    assert words not in " ".join(evaluate(house, right).faults)
    assert words in " ".join(evaluate(house, tasks).faults)


def notice_house(per: Literal["half-day", "day"], *units: int) -> House:
    """Something made ready with two days of notice, which was given for these days or half-days."""
    made = SetUp("iso", per, 10, notice_days=2, arranged=frozenset(units))
    return make_house(3, make_plan("a", 9, set_ups=frozenset({"iso"})), set_ups={"iso": made})


@pytest.mark.parametrize(
    ("house", "usable"),
    [
        (notice_house("day"), (4, 5)),
        (notice_house("day", 1), (2, 3, 4, 5)),
        (notice_house("half-day", 2), (2, 4, 5)),
    ],
)
def test_a_set_up_of_which_notice_was_given_is_made_then_and_on_no_other_day(
    house: House, usable: tuple[int, ...]
) -> None:
    judged = {slot: evaluate(house, [Task("a", slot)]).faults for slot in range(house.slots)}
    assert tuple(slot for slot, faults in judged.items() if not faults) == usable
    assert usable_slots(house, house.plans[0]) == usable


def test_days_late_are_counted_from_the_last_lawful_day_and_to_the_end() -> None:
    house = make_house(12, make_plan("a", 3, 2))
    assert evaluate(house, [Task("a", 2 * day) for day in (2, 5, 8, 11)]).late_days == 0
    assert evaluate(house, [Task("a", 2 * day) for day in (2, 7, 10)]).late_days == 2
    assert evaluate(house, [Task("a", 2 * 2)]).late == {"a": 12 - 5}


def test_an_early_task_moves_all_later_ones() -> None:
    house = make_house(12, make_plan("a", 4, 3))
    assert evaluate(house, [Task("a", 0), Task("a", 14)]).late == {"a": 7 - 4 + 12 - 11}


def test_months_are_counted_in_the_calendar_and_not_in_days() -> None:
    plan = Plan("a", "a", Interval(months=1), 0, 0)
    house = make_house(60, plan)
    # 4 January, 4 February (31 days), 4 March (28 days).
    assert evaluate(house, [Task("a", 0), Task("a", 62)]).late_days == 60 - 59
    assert evaluate(house, [Task("a", 0), Task("a", 62), Task("a", 118)]).late_days == 0


def test_money_is_paid_once_for_what_is_shared() -> None:
    plan = {"set_ups": frozenset({"iso"}), "price": 30}
    house = make_house(
        3, make_plan("a", 9, **plan), make_plan("b", 9, **plan),
        set_ups={"iso": SetUp("iso", "day", 100)},
    )  # fmt: skip
    together, apart = [Task("a", 2), Task("b", 3)], [Task("a", 2), Task("b", 4)]
    assert evaluate(house, together).parts["set-ups"] == 100
    assert evaluate(house, apart).parts["set-ups"] == 200
    assert evaluate(house, apart).parts["tasks"] == 60


def test_overtime_is_the_least_that_people_of_several_competences_need() -> None:
    both = make_person(1, 4, "competent", "trained", overtime=(4, 4))
    hand = make_person(1, 4, "trained", key="hand")
    house = make_house(
        1,
        make_plan("a", 9, needs=(Need("competent", 3), Need("trained", 5))),
        people=(both, hand),
        overtime_price=5,
    )
    assert evaluate(house, [Task("a", 0)]).overtime_quarters == 0
    harder = replace(house, plans=(replace(house.plans[0], needs=(Need("competent", 6),)),))
    assert evaluate(harder, [Task("a", 0)]).parts["overtime"] == 2 * 5
