"""A planned task is moved by hand: judged at once, its people dealt out again, and taken back."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from inspections.actions.lock_planned import set_locked
from inspections.actions.move_planned import (
    MoveRefused,
    TaskLocked,
    move_planned,
    undo_last_move,
)
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.year_plan_states import CannotChange, copy_year_plan
from inspections.models import PlannedMove, PlannedTask, YearPlan
from inspections.queries.check_year_plan import check_year_plan
from tests.house import NOW
from tests.inspections.year.year_house import book, make_draft, make_winches, make_year_house
from venue.models import LogLine

pytestmark = pytest.mark.django_db
SHOWN = (
    "pk",
    "plan_id",
    "task_id",
    "day",
    "half",
    "due_on",
    "last_lawful_on",
    "late_days",
    "locked",
)


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_winches(house, 2)
    return house


def rows(plan: YearPlan) -> list[tuple]:
    return list(plan.planned.order_by("pk").values_list(*SHOWN))


def first_of(plan: YearPlan, regime: str = "winch_ropes_monthly") -> PlannedTask:
    return plan.planned.filter(plan__regime=regime, equipment__tag="W1").order_by("day")[0]


def move(house: Any, row: PlannedTask, day: date, half: str = "am", **more: Any) -> Any:
    return move_planned(planned=row, day=day, half=half, by=house.people["manager"], at=NOW, **more)


def test_a_task_moved_sooner_brings_the_later_ones_of_its_plan_forward(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    day = row.day - timedelta(days=1)
    move(house, row, day)
    chain = list(plan.planned.filter(plan=row.plan).order_by("day"))
    assert (chain[0].day, chain[0].half) == (day, "am")
    assert chain[1].due_on == day.replace(month=day.month + 1)
    assert chain[1].last_lawful_on == chain[1].due_on
    assert check_year_plan(plan, NOW).faults == []
    line = LogLine.objects.get(did="move_planned_task")
    assert str(day) in line.body


def test_everybody_in_a_changed_half_day_is_there_and_has_the_hours(house: Any) -> None:
    plan = make_draft(house)
    row, other = first_of(plan), plan.planned.exclude(equipment__tag="W1").order_by("day")[0]
    move(house, row, other.day, other.half)
    for planned in plan.planned.prefetch_related("crew__person"):
        crew = list(planned.crew.all())
        assert sum(part.quarters for part in crew) == planned.quarters
        assert [part.leads for part in crew].count(True) == 1
    checked = check_year_plan(plan, NOW)
    given: dict[tuple, int] = {}
    for planned in checked.rows.values():
        for part in planned.crew.select_related("person"):
            key = (part.person.name, checked.slot(planned))
            given[key] = given.get(key, 0) + part.quarters
    hours = {person.key: person for person in checked.found.house.people}
    for (name, slot), quarters in given.items():
        assert quarters <= hours[name].quarters[slot] + hours[name].overtime[slot]
    assert len(given) > 5


def test_a_half_day_that_a_show_holds_is_refused_in_words(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    day = row.day - timedelta(days=2)
    book(house, day, 8, 18)
    before = rows(plan)
    with pytest.raises(MoveRefused) as refused:
        move(house, row, day)
    assert f"{day:%-d %B %Y}, morning lacks" in refused.value.reasons[0]
    assert rows(plan) == before
    assert not PlannedMove.objects.exists()


@pytest.mark.parametrize("away", [-100, 400])
def test_a_day_outside_the_plan_is_refused(house: Any, away: int) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    with pytest.raises(MoveRefused, match="is not within this plan"):
        move(house, row, row.day + timedelta(days=away))


def test_a_day_after_the_last_lawful_one_is_refused_unless_it_is_meant(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    day = row.last_lawful_on + timedelta(days=2)
    with pytest.raises(MoveRefused, match="2 days later than is lawful"):
        move(house, row, day)
    move(house, row, day, late_is_meant=True)
    row.refresh_from_db()
    assert row.late_days == 2
    plan.refresh_from_db()
    assert plan.outcome["figures"]["late_days"] == 2


def test_a_move_that_makes_a_later_task_of_its_plan_late_is_refused_too(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    with pytest.raises(MoveRefused, match=r"monthly would be 1 day later than is lawful"):
        move(house, row, row.day - timedelta(days=2))


def test_an_undone_move_leaves_everything_as_it_was(house: Any) -> None:
    plan = make_draft(house)
    before, row = rows(plan), first_of(plan)
    figures = plan.outcome["figures"]
    move(house, row, row.day - timedelta(days=2), "am", late_is_meant=True)
    assert rows(plan) != before
    undone = undo_last_move(year_plan=plan, by=house.people["manager"], at=NOW)
    assert undone
    assert rows(plan) == before
    plan.refresh_from_db()
    assert plan.outcome["figures"] == figures
    assert undo_last_move(year_plan=plan, by=house.people["manager"], at=NOW) is None
    assert LogLine.objects.filter(did="undo_planned_move").count() == 1


def test_moves_are_taken_back_one_by_one_the_newest_first(house: Any) -> None:
    plan = make_draft(house)
    row, states = first_of(plan), [rows(plan)]
    for back in (1, 2):
        day = row.day - timedelta(days=back)
        move(house, first_of(plan), day, late_is_meant=True)
        states.append(rows(plan))
    for wanted in (states[1], states[0]):
        undo_last_move(year_plan=plan, by=house.people["manager"], at=NOW)
        assert rows(plan) == wanted


def test_moving_to_where_it_is_does_nothing(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    assert move(house, row, row.day, row.half) is None
    assert not PlannedMove.objects.exists()


def test_a_locked_task_is_not_moved_until_it_is_unlocked(house: Any) -> None:
    plan = make_draft(house)
    row, odile = first_of(plan), house.people["manager"]
    for _ in range(2):
        set_locked(planned=row, locked=True, by=odile, at=NOW)
    assert LogLine.objects.filter(did="lock_planned_task").count() == 1
    with pytest.raises(TaskLocked):
        move(house, row, row.day - timedelta(days=1))
    set_locked(planned=row, locked=False, by=odile, at=NOW)
    assert move(house, row, row.day - timedelta(days=1))


def test_a_published_plan_is_neither_moved_nor_undone(house: Any) -> None:
    plan, odile = make_draft(house), house.people["manager"]
    row = first_of(plan)
    publish_year_plan(year_plan=plan, by=odile, at=NOW)
    before = rows(plan)
    for deed in (
        lambda: move(house, row, row.day - timedelta(days=1)),
        lambda: undo_last_move(year_plan=plan, by=odile, at=NOW),
    ):
        with pytest.raises(CannotChange, match="is published"):
            deed()
    assert rows(plan) == before


def test_a_copy_is_changed_without_its_original(house: Any) -> None:
    plan = make_draft(house)
    before = rows(plan)
    copy = copy_year_plan(year_plan=plan, name="Fewer Mondays", by=house.people["manager"], at=NOW)
    assert (copy.copy_of, copy.state) == (plan, "draft")
    same = [[row[1:] for row in rows(each)] for each in (plan, copy)]
    assert same[0] == same[1]
    crews = [
        sorted(each.planned.values_list("plan_id", "day", "crew__person_id", "crew__quarters"))
        for each in (plan, copy)
    ]
    assert crews[0] == crews[1]
    row = first_of(copy)
    move(house, row, row.day - timedelta(days=1))
    assert rows(plan) == before
