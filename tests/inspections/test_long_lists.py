"""The long lists: what they show of 400 rows, and that these cost no more questions than three."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.open_finding import press_out_of_service
from inspections.models import Finding, Order, Plan, RegimeVersion, Task
from inspections.views.day import local_day
from tests.guards import unguarded
from tests.house import make_house
from venue.models import Equipment, Part

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)
DAY = date(2026, 2, 10)
LISTS = ("equipment_list", "rope_list", "task_list", "finding_list", "order_list", "audit")
ASKED = {"audit": {"start": "2026-01-01", "end": "2027-12-31"}}


@pytest.fixture
def house() -> Any:
    house = make_house()
    house.version = RegimeVersion.objects.create(
        slug="winch_ropes_monthly", hash="0" * 64, title="Ropes of a winch", body="", first_used=AT
    )
    return house


def many(house: Any, numbers: range) -> None:
    """Of each kind of row as many as there are numbers."""
    venue, person, winch = house.venue, house.people["competent"], house.winch
    pieces = Equipment.objects.bulk_create(
        Equipment(venue=venue, place=winch.place, tag=f"CW{n}", name=f"Set {n}", kind=winch.kind,
                  kind_hash=winch.kind_hash, fields=winch.fields, walking_order=n)
        for n in numbers
    )  # fmt: skip
    Part.objects.bulk_create(
        Part(equipment=piece, code="line 1", kind="wire_rope", kind_hash="", name="Wire rope",
             fields=house.rope.fields)
        for piece in pieces
    )  # fmt: skip
    plans = Plan.objects.bulk_create(
        Plan(equipment=piece, regime="winch_ropes_monthly", version=house.version,
             level="competent_person", interval="P1M", counting="anchored", anchor=DAY)
        for piece in pieces
    )  # fmt: skip
    Task.objects.bulk_create(
        Task(venue=venue, plan=plan, equipment=plan.equipment, number=1, due_on=DAY, planned_on=DAY,
             last_lawful_on=DAY + timedelta(days=4000 if plan.equipment.walking_order % 2 else 0))
        for plan in plans
    )  # fmt: skip
    found = Finding.objects.bulk_create(
        Finding(venue=venue, equipment=piece, grade="observation", what=f"Dust at {piece.tag}", by=person, at=AT)
        for piece in pieces
    )  # fmt: skip
    Order.objects.bulk_create(
        Order(venue=venue, equipment=each.equipment, finding=each, what="restricted", why="Dust",
              restriction="Slow", bites_on=DAY, by=person, at=AT)
        for each in found
    )  # fmt: skip


def seen(house: Any, name: str, who: str = "manager", **asked: str) -> str:
    client = Client()
    client.force_login(house.people["auditor" if name == "audit" else who])
    answer = client.get(reverse(name, args=["larkspur"]), ASKED.get(name, {}) | asked)
    assert answer.status_code == 200
    return answer.content.decode()


def rows_of(text: str) -> int:
    (body,) = re.findall(r"<tbody>(.*?)</tbody>", text, re.DOTALL)
    return body.count("<tr")


def test_four_hundred_rows_stand_on_one_page_and_cost_as_many_questions_as_three(
    house: Any,
) -> None:
    costs = []
    for numbers in (range(3), range(3, 400)):
        many(house, numbers)
        for name in LISTS:
            seen(house, name)  # what a process learns once is learnt
        costs.append({})
        for name in LISTS:
            with CaptureQueriesContext(connection) as queries:
                text = seen(house, name)
            costs[-1][name] = len(queries)
            least = numbers.stop + (1 if name in ("equipment_list", "rope_list") else 0)
            assert rows_of(text) == min(least, 400), name
    assert costs[0] == costs[1]
    assert max(costs[1].values()) <= 28, costs


def test_each_list_sums_up_what_it_shows(house: Any) -> None:
    many(house, range(4))
    for name, words in {
        "equipment_list": ("5 pieces", "2 late, 2 restricted, 1 not known"),
        "rope_list": ("5 ropes", "5 cannot be decided"),
        "task_list": ("4 tasks", "2 late"),
        "finding_list": ("4 findings", "4 observation"),
        "order_list": ("4 orders", "4 in force"),
        "audit": ("4 tasks", "2 missed, still open, 2 open"),
    }.items():
        (foot,) = re.findall(r"<tfoot>(.*?)</tfoot>", seen(house, name), re.DOTALL)
        assert all(each in foot for each in words), (name, foot)
    assert ">1 late<" in seen(house, "task_list", words="cw0")
    hours = seen(house, "task_list", columns="hours").partition("<tfoot>")[2]
    assert ">4<" in hours  # an hour each, as the file of work has it


def test_a_choice_of_columns_goes_into_the_address_and_is_kept(house: Any) -> None:
    client, where = Client(), reverse("equipment_list", args=["larkspur"])
    client.force_login(house.people["stagehand"])
    answer = client.get(where, {"kind": "drum_winch", "column": ["", "tag", "serial"]})
    assert answer["Location"] == f"{where}?kind=drum_winch&columns=tag.serial"
    for text in (client.get(answer["Location"]).content, client.get(where).content):
        assert b'data-label="Serial number"' in text
        assert b'data-label="Place"' not in text
    assert (
        client.get(where, {"columns": "place"}).content.count(b'<td data-label="Place">Stage') == 1
    )
    assert (
        client.get(where, {"column": ["", "tag", "kind", "place", "state", "last"]})["Location"]
        == f"{where}?"
    )
    assert b'data-label="Serial number"' not in client.get(where).content


def test_a_lifted_order_is_shown_only_when_all_are_asked_for(house: Any) -> None:
    press_out_of_service(equipment=house.winch, why="Noise", by=house.people["stagehand"], at=AT)
    assert "Noise" in seen(house, "order_list")
    assert "Noise" in seen(house, "order_list", show="all")
    assert reverse("finding", args=["larkspur", Finding.objects.get().pk]) in seen(
        house, "order_list"
    )
    assert "Out of service" in seen(house, "order_list", standing="in force")
    assert rows_of(seen(house, "order_list", standing="in force", what="out_of_service")) == 1


def test_an_order_for_a_later_day_is_not_yet_shown_as_in_force(house: Any) -> None:
    many(house, range(1))
    order = Order.objects.get()
    where = reverse("finding", args=["larkspur", order.finding_id])
    client = Client()
    client.force_login(house.people["manager"])
    for days, words in ((1, "goes out of service by itself on"), (0, "Out of service: CW0")):
        with unguarded():
            Order.objects.update(
                what="barred_from", bites_on=local_day(house.venue) + timedelta(days)
            )
        text = " ".join(client.get(where).content.decode().split())
        assert words in text.replace("</h2>", "")
        assert ("banner-out" in text) == (days == 0)
