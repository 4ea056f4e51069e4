"""Who is late at least, which demands contradict each other, and what frees them, in words."""

from __future__ import annotations

import pytest

from inspections.planning.calendar_proof import calendar_proof
from inspections.planning.gains import gains_of
from inspections.planning.house import Examiner, House, Need, Task
from inspections.planning.infeasible import explain, summary
from inspections.planning.least_late import least_late
from inspections.planning.outcome import Options
from inspections.planning.reasons import smallest_reasons
from inspections.planning.why import tightest_first, why_here
from tests.inspections.planning.small_houses import (
    BLOCKED,
    DARK,
    make_house,
    make_person,
    make_plan,
    tiny_house,
)

OPTIONS = Options(seconds=6, repeatable=True)


def house_with_a_musical() -> House:
    """A monthly look, and a musical that holds the stage for too long."""
    access = tuple(BLOCKED if 8 <= slot // 2 < 20 else DARK for slot in range(60))
    bookings = dict.fromkeys(range(16, 40), "touring musical")
    plan = make_plan("set 7", 10, 9, access=DARK)
    return make_house(30, plan, access=access, bookings=bookings)


def test_the_calendar_alone_proves_and_names_what_is_in_the_way() -> None:
    (found,) = calendar_proof(house_with_a_musical())
    assert (found.plan, found.first_day, found.last_day, found.late_days) == ("set 7", 8, 17, 3)
    assert "Missing: stage clear" in found.words
    assert "touring musical (20 half-days)" in found.words
    assert "12 January 2027 and 21 January 2027" in found.words
    assert "24 January 2027: 3 days late" in found.words


def test_what_is_overdue_before_the_first_day_is_said_to_be_and_no_stretch_runs_backwards() -> None:
    house = make_house(12, make_plan("set 7", 30, -40, access=DARK))
    (found,) = calendar_proof(house)
    assert found.words.startswith("set 7 is overdue: it was to be done by 25 November 2026, ")
    assert "between" not in found.words
    assert found.words.endswith("The first usable day is 4 January 2027.")


def test_a_house_that_can_be_on_time_has_nothing_to_explain() -> None:
    house = make_house(12, make_plan("a", 4, access=DARK))
    assert calendar_proof(house) == []
    assert explain(house, OPTIONS) is None


def test_one_dark_half_day_is_said_to_free_it() -> None:
    house = house_with_a_musical()
    found = explain(house, OPTIONS)
    assert found is not None
    assert found.least.late == {"set 7": 3}
    assert found.least.bound == 3
    assert [(gain.words, gain.late_after) for gain in found.gains] == [
        ("a dark half-day on 21 January 2027, afternoon", 0),
        ("a dark half-day on 17 January 2027, morning", 0),
        ("a dark half-day on 12 January 2027, morning", 2),
    ]
    assert "cannot all hold: set 7 on time, which needs stage clear." in summary(house, found)


def test_when_the_time_is_over_a_few_are_still_tried_and_no_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    house = house_with_a_musical()
    no_days, least = tuple(calendar_proof(house)), least_late(house, OPTIONS, 1)
    hurried = Options(seconds=1, seed=1)
    assert len(list(gains_of(house, no_days, least, hurried, 60))) == 3
    monkeypatch.setattr("inspections.planning.gains.LEAST_SOLVED", 2)
    assert len(list(gains_of(house, no_days, least, hurried, 0))) == 2


def crowded() -> House:
    """Three yearly plans due the same day, one person, hours for two; a fourth has time."""
    work = (Need("competent", 4),)
    access = (DARK, BLOCKED, BLOCKED, BLOCKED, DARK, DARK)
    plans = [make_plan(f"w{n}", 300, 1, kind=f"w{n}", access=DARK, needs=work) for n in range(3)]
    later = make_plan("later", 300, 2, access=DARK, needs=work)
    return make_house(3, *plans, later, access=access, people=(make_person(3, 8),))


def test_the_smallest_set_of_reasons_holds_nothing_that_is_not_needed() -> None:
    reasons, minimal = smallest_reasons(crowded(), OPTIONS, 6)
    assert minimal
    assert "the hours of people" in reasons
    assert len([words for words in reasons if words.startswith("w")]) == 3
    assert not [words for words in reasons if "later" in words or "zones" in words]


def test_one_more_person_is_said_to_free_it() -> None:
    found = explain(crowded(), OPTIONS)
    assert found is not None
    assert found.no_days == ()
    assert found.least.late_days == 1
    words = [gain.words for gain in found.gains if gain.late_after == 0]
    assert words[0] == "one more person (competent) on every half-day"
    assert "a dark half-day on 5 January 2027, afternoon" in words, "later work has room elsewhere"


def test_the_competence_that_is_missing_is_named_and_no_other() -> None:
    """Three sets of work need a helper each; of those who may do the rest there are enough."""
    needs = (Need("competent", 2), Need("trained", 4))
    plans = [make_plan(f"w{n}", 300, 0, kind=f"w{n}", access=DARK, needs=needs) for n in range(3)]
    people = (make_person(3, 16, "competent"), make_person(3, 4, "trained", key="hand"))
    access = (DARK, BLOCKED, BLOCKED, BLOCKED, DARK, DARK)
    found = explain(make_house(3, *plans, access=access, people=people), OPTIONS)
    assert found is not None
    people_gained = [gain.words for gain in found.gains if "person" in gain.words]
    assert people_gained == ["one more person (trained) on every half-day"]


def test_where_two_competences_are_missing_somebody_with_both_is_named_first() -> None:
    plans = [
        make_plan(name, 300, 0, access=DARK, needs=(Need(name, 4),))
        for name in ("competent", "trained")
    ]
    found = explain(make_house(3, *plans), OPTIONS)
    assert found is not None
    assert [(gain.words, gain.late_after) for gain in found.gains] == [
        ("one more person with every competence on every half-day", 0),
        ("one more person (competent) on every half-day", 3),
        ("one more person (trained) on every half-day", 3),
    ]


def test_one_more_day_of_the_examiner_is_said_to_free_it() -> None:
    plan = make_plan("winch", 300, 3, examiner="lifting", examiner_quarters=4)
    examiner = Examiner("lifting", 500, 8, frozenset({6}))
    house = make_house(9, plan, examiners={"lifting": examiner})
    found = explain(house, OPTIONS)
    assert found is not None
    assert found.no_days[0].missing == ("examiner (lifting)",)
    words = [gain.words for gain in found.gains if gain.late_after == 0]
    assert words == [f"examiner (lifting) on {day} January 2027" for day in (7, 6, 4)]


def test_what_is_proven_late_by_the_calendar_is_late_in_every_plan() -> None:
    late = [seed for seed in range(12) if calendar_proof(tiny_house(seed))]
    assert len(late) >= 3
    for seed in late[:3]:
        found = explain(tiny_house(seed), OPTIONS)
        assert found is not None
        assert found.least.bound >= 1


def test_why_here_tells_window_company_and_what_a_week_would_change() -> None:
    examiner = Examiner("lifting", 50_000, 28, frozenset(range(40)))
    plans = [
        make_plan(f"winch {n}", 300, 20 + n, examiner="lifting", examiner_quarters=4)
        for n in range(2)
    ]
    house = make_house(40, *plans, examiners={"lifting": examiner})
    tasks = [Task("winch 0", 36), Task("winch 1", 36)]
    why = why_here(house, tasks, tasks[0])
    assert (why.due, why.last_lawful) == (20, 20)
    assert "due 24 January 2027" in why.window
    assert "2 days to spare" in why.window
    assert why.shared[0].others == ("winch 1",)
    assert why.earlier.cost == 50_000
    assert "examiners +500.00" in why.earlier.words
    assert why.later.late_days == 5
    assert "5 item-days more late" in why.later.words
    assert tightest_first(house, tasks)[0] == (2, tasks[0])
