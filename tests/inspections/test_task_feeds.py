"""Tasks in the calendar programs of people: at secret addresses, the same entry for good."""

from __future__ import annotations

import hashlib
import logging
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from icalendar import Calendar

from inspections.actions.planning_settings import set_examiner_trade
from inspections.actions.plans import apply_regime
from inspections.actions.task_feeds import (
    note_changed_tasks,
    renew_feed_of_person,
    renew_feed_of_place,
    withdraw_feed,
)
from inspections.actions.tasks import cancel_task, change_task
from inspections.feed_words import TaskSaid
from inspections.models import ExaminerTrade, FeedEntry, PlanningSettings, Task, TaskFeed
from inspections.queries.task_feeds import address_of, feed_calendar
from inspections.queries.work_of_plans import trade_of
from inspections.regime_files import regimes
from tests.house import make_equipment, make_house
from venue.actions.people import end_membership
from venue.kind_files import kinds
from venue.models import Equipment, LogLine, Membership, Place, Role
from venue.secret_paths import WithoutSecrets

pytestmark = pytest.mark.django_db

FEEDS = "/v/larkspur/feeds/"


@pytest.fixture(autouse=True)
def one_day() -> Any:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False):
        yield


@pytest.fixture
def house() -> Any:
    house = make_house()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=date(2026, 5, 20), last_done_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    return house


def path_of(feed: TaskFeed) -> str:
    return address_of(feed).removeprefix("http://localhost:8000")


def of_place(house: Any) -> TaskFeed:
    return renew_feed_of_place(
        venue=house.venue, place=house.winch.place, by=house.people["manager"], at=timezone.now()
    )


def of_person(house: Any, role: str) -> TaskFeed:
    person = house.people[role]
    return renew_feed_of_person(venue=house.venue, person=person, by=person, at=timezone.now())


def read(feed: TaskFeed) -> dict[str, Any]:
    """Each entry by its UID, as another program reads it."""
    answer = Client().get(path_of(feed))
    assert answer.status_code == 200
    calendar = Calendar.from_ical(answer.content)
    events = calendar.walk("VEVENT")
    assert not any(event.errors for event in events)
    return {str(event["UID"]): event for event in events}


def give(house: Any, task: Task, role: str, day: date | None = None, **more: Any) -> None:
    change_task(
        task=task, planned_on=day or task.planned_on, person=house.people[role], why="",
        by=house.people["manager"], at=timezone.now(), **more,
    )  # fmt: skip


def test_a_task_is_a_whole_day_with_what_there_is_to_know(house: Any) -> None:
    task = house.plan.tasks.first()
    give(house, task, "competent")
    event = read(of_place(house))[f"task-{task.pk}@localhost"]
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (
        task.planned_on, task.planned_on + timedelta(days=1),
    )  # fmt: skip
    assert str(event["SUMMARY"]) == f"{house.winch}: {house.regime.title}"
    said = str(event["DESCRIPTION"])
    assert f"last lawful day {task.last_lawful_on:%a} {task.last_lawful_on.day}" in said
    assert "Given to Competent." in said
    assert "A calendar is no permission" in said
    assert "manufacturer's instructions, local codes" in said
    assert str(event["URL"]) == f"http://localhost:8000/v/larkspur/tasks/{task.pk}/"
    assert str(event["LOCATION"]) == "Stage"
    assert (str(event["STATUS"]), str(event["TRANSP"])) == ("CONFIRMED", "TRANSPARENT")


def test_lines_are_folded_ended_and_escaped_as_the_standard_says(house: Any) -> None:
    Place.objects.update(name="Scene dock, north; wall \\ é" + "é" * 60)
    feed = of_place(house)
    content = Client().get(path_of(feed)).content
    lines = content.split(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    assert all(line.decode() for line in lines[:-1])
    assert b"LOCATION:Scene dock\\, north\\; wall \\\\ " in content
    assert all(str(one["LOCATION"]).startswith("Scene dock, north; wall \\ é")
               for one in read(feed).values())  # fmt: skip


def test_an_entry_keeps_its_identity_when_it_moves_and_its_number_rises(house: Any) -> None:
    task = house.plan.tasks.first()
    feed = of_place(house)
    first = read(feed)
    uid = f"task-{task.pk}@localhost"
    with time_machine.travel("2026-05-05T09:00:00Z", tick=False):
        give(house, task, "competent", task.planned_on + timedelta(days=1))
        live = read(feed)
        assert note_changed_tasks(at=timezone.now()) == 1
        noted = read(feed)
    assert set(first) == set(live) == set(noted)
    assert (first[uid]["SEQUENCE"], live[uid]["SEQUENCE"], noted[uid]["SEQUENCE"]) == (0, 1, 1)
    assert live[uid]["LAST-MODIFIED"].dt.isoformat() == "2026-05-05T09:00:00+00:00"
    with time_machine.travel("2026-05-06T09:00:00Z", tick=False):
        assert note_changed_tasks(at=timezone.now()) == 0
        assert read(feed)[uid].to_ical() == noted[uid].to_ical()
        assert read(feed)[uid]["DTSTAMP"].dt.isoformat() == "2026-05-05T09:00:00+00:00"
        others = [one for key, one in first.items() if key != uid]
        assert all(one.to_ical() == read(feed)[str(one["UID"])].to_ical() for one in others[:3])


def test_done_and_cancelled_ones_are_marked_and_leave_after_two_months(house: Any) -> None:
    feed = of_place(house)
    done, cancelled = house.plan.tasks.all()[:2]
    Task.objects.filter(pk=done.pk).update(state="done", done_on=date(2026, 5, 3))
    cancel_task(task=cancelled, why="Out of the house.", by=house.people["manager"],
                at=timezone.now())  # fmt: skip
    events = read(feed)
    first = events[f"task-{done.pk}@localhost"]
    assert str(first["SUMMARY"]).startswith("Done: ")
    assert first["DTSTART"].dt == date(2026, 5, 3)
    second = events[f"task-{cancelled.pk}@localhost"]
    assert (str(second["SUMMARY"])[:11], str(second["STATUS"])) == ("Cancelled: ", "CANCELLED")
    assert "Out of the house" not in str(second["DESCRIPTION"])
    with time_machine.travel("2026-09-04T12:00:00Z", tick=False):
        assert f"task-{done.pk}@localhost" not in read(feed)


def test_each_feed_holds_what_is_its_own(house: Any) -> None:
    outside = make_equipment(house.venue, "W2")
    dock = Place.objects.create(
        venue=house.venue, parent=house.winch.place, slug="dock", name="Dock"
    )
    far = Place.objects.create(venue=house.venue, slug="studio", name="Studio")
    for equipment, place in ((house.winch, dock), (outside, far)):
        type(equipment).objects.filter(pk=equipment.pk).update(place=place)
    yearly = next(one for one in regimes().values()
                  if "winch" in one.families and one.level == "outside_examiner")  # fmt: skip
    apply_regime(equipment=outside, regime=yearly, anchor=date(2026, 6, 1), last_done_on=None,
                 by=house.people["manager"], at=timezone.now())  # fmt: skip
    tasks = list(house.plan.tasks.all())
    give(house, tasks[0], "competent")
    give(house, tasks[1], "stagehand")
    theirs = {
        role: set(read(of_person(house, role))) for role in ("competent", "stagehand", "examiner")
    }
    assert theirs["competent"] == {f"task-{tasks[0].pk}@localhost"}
    assert theirs["stagehand"] == {f"task-{tasks[1].pk}@localhost"}
    waiting = Task.objects.filter(equipment=outside)
    assert theirs["examiner"] == {f"task-{task.pk}@localhost" for task in waiting} != set()
    stage = renew_feed_of_place(venue=house.venue, place=Place.objects.get(slug="stage"),
                                by=house.people["manager"], at=timezone.now())  # fmt: skip
    assert set(read(stage)) == {f"task-{task.pk}@localhost" for task in tasks}


def test_an_examiner_is_told_of_their_own_trades_and_of_no_other(house: Any) -> None:
    """Who is named for none hears of the trades that name nobody; what is given to them is theirs."""
    second = house.people["second"]
    Membership.objects.filter(person=second).update(role=Role.EXAMINER)
    kind_of = {
        "lifting": "drum_winch", "fire": "beam_smoke_detector", "anchors": "fall_arrest_anchor",
    }  # fmt: skip
    tasks = {trade: of_trade(house, trade, kind) for trade, kind in kind_of.items()}
    feeds = [of_person(house, role) for role in ("examiner", "second")]
    everything = set().union(*tasks.values())
    assert [set(read(feed)) for feed in feeds] == [everything, everything]
    for trade, role in (("lifting", "examiner"), ("fire", "second")):
        fields = {"person": house.people[role]}
        set_examiner_trade(venue=house.venue, slug=trade, fields=fields,
                           by=house.people["manager"], at=timezone.now())  # fmt: skip
    assert [set(read(feed)) for feed in feeds] == [tasks["lifting"], tasks["fire"]]
    given = Task.objects.get(pk=min(tasks["anchors"])[5:].split("@")[0])
    give(house, given, "second")
    assert set(read(feeds[1])) == tasks["fire"] | {f"task-{given.pk}@localhost"}
    Task.objects.filter(pk=given.pk).update(person=None)
    given.helpers.add(second)
    assert set(read(feeds[1])) == tasks["fire"] | {f"task-{given.pk}@localhost"}, (
        "they help with it"
    )
    given.helpers.clear()
    ExaminerTrade.objects.filter(slug="fire").update(person=None)
    assert set(read(feeds[1])) == (everything - tasks["lifting"])


def of_trade(house: Any, trade: str, kind: str) -> set[str]:
    """The entries of something that an outside examiner of this trade looks at."""
    thing = Equipment.objects.create(
        venue=house.venue, place=house.winch.place, tag=trade, name=trade, kind=kind, kind_hash=""
    )
    dated = [one for one in regimes().values() if one.interval]
    regime = next(one for one in dated if kinds()[kind].family in one.families)
    plan = apply_regime(equipment=thing, regime=regime, anchor=date(2026, 6, 1), last_done_on=None,
                        by=house.people["manager"], at=timezone.now())  # fmt: skip
    plan.regime, plan.level = "own_examination", "outside_examiner"
    plan.save(update_fields=["regime", "level"])
    assert trade_of(plan, kind) == trade
    return {f"task-{task.pk}@localhost" for task in plan.tasks.all()}


def in_the(house: Any, task: Task, half: str, half_days: int = 1) -> Any:
    """The entry of the task on 20 May, which is in summer time."""
    give(house, task, "competent", date(2026, 5, 20), half=half)
    Task.objects.filter(pk=task.pk).update(half_days=half_days)
    return read(of_place(house))[f"task-{task.pk}@localhost"]


def test_a_half_day_has_the_hours_that_the_house_gave(house: Any) -> None:
    PlanningSettings.objects.create(venue=house.venue, morning_starts=9, noon=13, afternoon_ends=24)
    task = house.plan.tasks.first()
    for half, half_days, begins, ends in (
        ("am", 1, "2026-05-20T08:00:00", "2026-05-20T12:00:00"),
        ("pm", 1, "2026-05-20T12:00:00", "2026-05-20T23:00:00"),
        ("am", 2, "2026-05-20T08:00:00", "2026-05-20T23:00:00"),
    ):
        event = in_the(house, task, half, half_days)
        times = [event[name].dt.isoformat() for name in ("DTSTART", "DTEND")]
        assert times == [f"{begins}+00:00", f"{ends}+00:00"]
        assert str(event["SUMMARY"]) == f"{house.winch}: {house.regime.title}"
    assert "Half-day: morning, takes 2 half-days." in str(event["DESCRIPTION"])
    event = in_the(house, task, "pm", 2)
    assert event["DTSTART"].dt == date(2026, 5, 20), "nobody is at it at night"
    assert str(event["SUMMARY"]).endswith(" (afternoon, takes 2 half-days)")
    Task.objects.filter(pk=task.pk).update(state="done", done_on=date(2026, 5, 20))
    assert read(of_place(house))[f"task-{task.pk}@localhost"]["DTSTART"].dt == date(2026, 5, 20)


def test_hours_that_nobody_gave_are_not_made_up(house: Any) -> None:
    task = house.plan.tasks.first()
    event = in_the(house, task, "am")
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (date(2026, 5, 20), date(2026, 5, 21))
    assert str(event["SUMMARY"]).endswith(" (morning)")
    assert "Half-day: morning." in str(event["DESCRIPTION"])


def test_a_helpers_own_feed_holds_the_work_once_and_says_with_whom(house: Any) -> None:
    first, second, third = house.plan.tasks.all()[:3]
    helpers = [house.people["stagehand"], house.people["second"]]
    give(house, first, "competent", helpers=helpers)
    give(house, second, "stagehand", helpers=[house.people["competent"]])
    give(house, third, "competent")
    feed = of_person(house, "stagehand")
    content = Client().get(path_of(feed)).content.decode()
    assert content.count("BEGIN:VEVENT") == 2
    theirs = read(feed)
    assert set(theirs) == {f"task-{task.pk}@localhost" for task in (first, second)}
    said = str(theirs[f"task-{first.pk}@localhost"]["DESCRIPTION"])
    assert "Given to Competent. Working with them: Second, Stagehand." in said


def test_another_half_other_hours_and_another_crew_raise_the_number_of_the_same_entry(
    house: Any,
) -> None:
    task = house.plan.tasks.first()
    give(house, task, "competent")
    feed = of_person(house, "competent")
    uid, numbers = f"task-{task.pk}@localhost", []

    def noted() -> None:
        event = read(feed)[uid]
        note_changed_tasks(at=timezone.now())
        assert event["SEQUENCE"] == read(feed)[uid]["SEQUENCE"]
        numbers.append(event["SEQUENCE"])

    noted()
    give(house, task, "competent", half="am")
    noted()
    give(house, task, "competent", half="pm")
    noted()
    give(house, task, "competent", half="pm", helpers=[house.people["stagehand"]])
    noted()
    noted()
    PlanningSettings.objects.create(venue=house.venue)
    noted()
    PlanningSettings.objects.update(afternoon_ends=17)
    noted()
    assert numbers == [0, 1, 2, 3, 3, 4, 5]


def test_a_whole_day_without_helpers_reads_as_it_did_before_there_were_halves(house: Any) -> None:
    """So no entry of a calendar gets another number when Loftbook is brought up to date."""
    plain = TaskSaid(date(2026, 5, 20), "W1: ropes", "What there is.", "Stage", False)
    known = hashlib.sha256(b"2026-05-20\nW1: ropes\nWhat there is.\nStage\nFalse")
    assert plain.sha256() == known.hexdigest()


def test_a_program_that_has_it_already_gets_it_once(house: Any) -> None:
    path, client = path_of(of_place(house)), Client()
    first = client.get(path)
    assert first["Cache-Control"] == "private, no-cache"
    assert first["Content-Type"] == "text/calendar; charset=utf-8"
    again = client.get(path, HTTP_IF_NONE_MATCH=first["ETag"])
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    give(house, house.plan.tasks.first(), "competent")
    assert client.get(path, HTTP_IF_NONE_MATCH=first["ETag"]).status_code == 200
    assert client.head(path).content == b""
    assert client.post(path).status_code == 405


def test_only_the_very_address_answers(house: Any) -> None:
    feed, other = of_place(house), of_person(house, "competent")
    client = Client()
    assert len(feed.token) == 64
    for pk, token in ((feed.pk, other.token), (other.pk, feed.token), (9999, feed.token),
                      (feed.pk, feed.token[:-1]), (feed.pk, feed.token.upper()), (feed.pk, "0" * 64),
                      (feed.pk, "x")):  # fmt: skip
        assert client.get(f"/feeds/{pk}/{token}.ics").status_code == 404
    assert feed.token not in str(list(TaskFeed.objects.values()))
    assert not LogLine.objects.filter(body__contains=feed.token).exists()
    assert not LogLine.objects.filter(body__contains=feed.nonce).exists()


def test_another_address_makes_the_first_dead_and_a_withdrawn_one_stays_dead(house: Any) -> None:
    first, client = of_person(house, "competent"), Client()
    second = of_person(house, "competent")
    assert client.get(path_of(first)).status_code == 404
    assert client.get(path_of(second)).status_code == 200
    withdraw_feed(feed=second, by=house.people["manager"], at=timezone.now())
    assert client.get(path_of(second)).status_code == 404
    did = LogLine.objects.filter(did__endswith="task_feed").order_by("number")
    assert [line.did for line in did] == ["make_task_feed", "renew_task_feed", "withdraw_task_feed"]


def test_who_has_left_the_house_reads_no_more(house: Any) -> None:
    feed = of_person(house, "stagehand")
    assert Client().get(path_of(feed)).status_code == 200
    member = house.people["stagehand"].memberships.get()
    end_membership(membership=member, by=house.people["manager"], at=timezone.now())
    assert Client().get(path_of(feed)).status_code == 404


def test_a_feed_costs_the_same_queries_for_few_tasks_and_many(house: Any) -> None:
    give(house, house.plan.tasks.first(), "competent", helpers=[house.people["stagehand"]])
    feed, cost = of_place(house), []
    for tag in ("W5", "W6", "W7"):
        with CaptureQueriesContext(connection) as queries:
            Client().get(path_of(feed))
        cost.append(len(queries))
        apply_regime(equipment=make_equipment(house.venue, tag), regime=house.regime,
                     anchor=date(2026, 5, 20), last_done_on=None, by=house.people["manager"],
                     at=timezone.now())  # fmt: skip
        task = Task.objects.filter(equipment__tag=tag).first()
        assert task
        give(house, task, "competent", helpers=[house.people["stagehand"], house.people["second"]])
    assert len(set(cost)) == 1, cost


def test_reading_writes_nothing_and_noting_knows_a_new_task(house: Any) -> None:
    feed = of_place(house)
    before = list(FeedEntry.objects.values())
    Task.objects.filter(pk=house.plan.tasks.first().pk).update(planned_on=date(2026, 5, 9))
    feed_calendar(feed, timezone.now())
    assert list(FeedEntry.objects.values()) == before
    assert note_changed_tasks(at=timezone.now()) == 1


def test_the_secret_never_reaches_the_servers_log(house: Any) -> None:
    feed, seen = of_place(house), []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            seen.append(record.getMessage())

    withdraw_feed(feed=feed, by=house.people["manager"], at=timezone.now())
    handler, log = Kept(), logging.getLogger("django.request")
    handler.addFilter(WithoutSecrets())
    log.addHandler(handler)
    try:
        assert Client().get(path_of(feed)).status_code == 404
    finally:
        log.removeHandler(handler)
    assert seen == [f"Not Found: /feeds/{feed.pk}/…"]


def test_a_person_makes_renews_and_withdraws_their_own_address(house: Any) -> None:
    client = Client()
    client.force_login(house.people["stagehand"])
    assert "You have no address yet" in client.get(FEEDS).content.decode()
    client.post(FEEDS + "own/")
    first = TaskFeed.objects.get()
    assert address_of(first) in client.get(FEEDS).content.decode()
    client.post(FEEDS + "own/")
    second = TaskFeed.objects.get(withdrawn_at=None)
    page = client.get(FEEDS).content.decode()
    assert address_of(second) in page
    assert address_of(first) not in page
    assert 'name="whose"' not in page
    client.post(FEEDS + "own/withdraw/")
    assert not TaskFeed.objects.filter(withdrawn_at=None).exists()


def test_the_manager_makes_those_of_places_and_examiners_and_never_sees_a_persons_own(
    house: Any,
) -> None:
    own, client = of_person(house, "stagehand"), Client()
    client.force_login(house.people["manager"])
    examiner = house.people["examiner"]
    for whose in (f"place-{house.winch.place_id}", f"examiner-{examiner.pk}"):
        assert client.post(FEEDS + "add/", {"whose": whose}).status_code == 302
    for wrong in ("", "place-99999", f"examiner-{house.people['competent'].pk}", "x"):
        assert client.post(FEEDS + "add/", {"whose": wrong}).status_code == 422
    page = client.get(FEEDS).content.decode()
    made = TaskFeed.objects.exclude(pk=own.pk)
    assert all(address_of(feed) in page for feed in made)
    assert made.count() == 2
    assert address_of(own) not in page
    assert "Their own; they see it themselves" in page
    client.post(f"{FEEDS}{own.pk}/withdraw/")
    assert Client().get(path_of(own)).status_code == 404


def test_the_page_of_feeds_is_for_those_who_carry_out_checks(house: Any) -> None:
    for role, status in (("auditor", 403), ("examiner", 200), ("other manager", 404)):
        client = Client()
        client.force_login(house.people[role])
        assert client.get(FEEDS).status_code == status
        assert client.post(FEEDS + "add/", {}).status_code == {"examiner": 403}.get(role, status)
