"""The database itself refuses to change a published plan, raw SQL too; a draft is free."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.year_plan_states import withdraw_year_plan
from inspections.models import PlannedPerson, PlannedTask, YearPlan
from tests.house import NOW
from tests.inspections.year.year_house import make_draft, make_year_house

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

DEEDS = (
    "update inspections_plannedtask set half = 'pm', day = '2026-07-01'",
    "update inspections_plannedtask set locked = (1 = 1), half_days = 2",
    "delete from inspections_plannedperson",
    "update inspections_plannedperson set quarters = 99",
    "update inspections_yearplan set first_day = '2026-01-01'",
    "update inspections_yearplan set outcome = '{}'",
    "update inspections_yearplan set state = 'draft'",
    "delete from inspections_yearplan",
    "delete from inspections_plannedtask",
)


@pytest.fixture
def house() -> Any:
    return make_year_house()


def run(text: str) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(text)


@pytest.mark.parametrize("withdrawn", [False, True])
def test_what_is_published_stays_whoever_asks(house: Any, withdrawn: bool) -> None:
    plan, odile = make_draft(house), house.people["manager"]
    publish_year_plan(year_plan=plan, by=odile, at=NOW)
    if withdrawn:
        withdraw_year_plan(year_plan=plan, why="The tour is off.", by=odile, at=NOW)
    before = [
        list(model.objects.order_by("pk").values())
        for model in (YearPlan, PlannedTask, PlannedPerson)
    ]
    for text in DEEDS:
        with pytest.raises(IntegrityError, match="is refused"):
            run(text)
    row = plan.planned.first()
    assert row
    row.pk = None
    with pytest.raises(IntegrityError, match="is refused"), transaction.atomic():
        row.save(force_insert=True)
    after = [
        list(model.objects.order_by("pk").values())
        for model in (YearPlan, PlannedTask, PlannedPerson)
    ]
    assert after == before


def test_a_draft_is_free_to_change(house: Any) -> None:
    make_draft(house)
    for text in DEEDS[1:6]:
        run(text)


def test_its_tasks_may_be_locked_until_it_is_withdrawn(house: Any) -> None:
    plan, odile = make_draft(house), house.people["manager"]
    publish_year_plan(year_plan=plan, by=odile, at=NOW)
    run("update inspections_plannedtask set locked = (1 = 1)")
    assert not plan.planned.filter(locked=False).exists()
    withdraw_year_plan(year_plan=plan, why="The tour is off.", by=odile, at=NOW)
    with pytest.raises(IntegrityError, match="update on inspections_plannedtask is refused"):
        run("update inspections_plannedtask set locked = (1 = 0)")
    assert not plan.planned.filter(locked=False).exists()
