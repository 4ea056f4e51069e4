"""The long lists of plans, reports, bookings, people and the log: 400 rows at the price of three, and
a list that is not read to its end says so and leads on."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.models import Finding, Plan, PlannedTask, RegimeVersion, Report, Task, YearPlan
from inspections.queries import issued_reports, overview, tasks, year_board, year_plans
from tests.house import make_equipment, make_house
from venue.actions.log import Deed, write_lines
from venue.models import Booking, Competence, KeptFile, LogLine, Membership, Person
from venue.queries import log_pages
from venue.queries.stretches import stretch_of
from venue.views import bookings

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)
DAY = date(2026, 2, 10)
FAR = datetime(2101, 5, 2, 18, 0, tzinfo=UTC)
LISTS = ("year_plans", "year_tasks", "reports", "bookings", "people", "log")


@pytest.fixture
def house() -> Any:
    house = make_house()
    house.version = RegimeVersion.objects.create(
        slug="winch_ropes_monthly", hash="0" * 64, title="Ropes of a winch", body="", first_used=AT
    )
    house.plan = YearPlan.objects.create(
        venue=house.venue, first_day=DAY, days=3000, at=AT, made_at=AT, by=house.people["manager"]
    )
    house.inspected = Plan.objects.create(
        equipment=house.winch, regime="winch_ropes_monthly", version=house.version, level="competent_person",
        interval="P1M", counting="anchored", anchor=DAY,
    )  # fmt: skip
    return house


def many(house: Any, numbers: range) -> None:
    """Of each kind of row as many as there are numbers."""
    venue, person = house.venue, house.people["competent"]
    YearPlan.objects.bulk_create(
        YearPlan(venue=venue, name=f"Try {n}", first_day=DAY, days=90, at=AT, by=person, made_at=AT,
                 outcome={"figures": {"late_days": n}})
        for n in numbers
    )  # fmt: skip
    planned = PlannedTask.objects.bulk_create(
        PlannedTask(year_plan=house.plan, plan=house.inspected, equipment=house.winch, due_on=DAY,
                    day=DAY + timedelta(days=n), half="am", last_lawful_on=DAY + timedelta(days=n),
                    quarters=2)
        for n in numbers
    )  # fmt: skip
    for each in planned:
        each.crew.create(person=person, quarters=2, leads=True)
    for n in numbers:
        kept = KeptFile.objects.create(
            venue=venue, what="report", name=f"report-{n}.pdf", media_type="application/pdf", size=9,
            sha256=f"{n:064}", shown_sha256=f"{n:064}", shown_media_type="application/pdf", at=AT,
        )  # fmt: skip
        Report.objects.create(
            venue=venue, number=n + 1, what="day", title=f"Checks of day {n}", examined_on=DAY + timedelta(days=n),
            signer=person, signer_name=f"Tam {n % 2}", signer_role="Competent person", meaning="Examined",
            at=AT, record_json="{}", record_sha256=f"{n:064}", kept_file=kept,
        )  # fmt: skip
    Booking.objects.bulk_create(
        Booking(venue=venue, what="dark" if n % 2 else "performance", title=f"The Glass Ferry {n}",
                starts=FAR + timedelta(days=n), ends=FAR + timedelta(days=n, hours=3),
                leaves_accessible=["stage_clear"] if n % 2 else [])
        for n in numbers
    )  # fmt: skip
    people = Person.objects.bulk_create(
        Person(name=f"Rigger {n}", email=f"rigger{n}@larkspur.example", password="!")
        for n in numbers
    )
    Membership.objects.bulk_create(
        Membership(person=each, venue=venue, role="competent", since=DAY) for each in people
    )
    Competence.objects.bulk_create(
        Competence(person=each, venue=venue, level="competent_person", certificate=f"Card {n}",
                   issued_by="College", valid_from=DAY,
                   expires_on=DAY if n % 2 else DAY + timedelta(days=40000))
        for n, each in zip(numbers, people, strict=True)
    )  # fmt: skip
    with transaction.atomic():
        write_lines(
            venue=venue,
            by=person,
            at=AT,
            deeds=[Deed("change_equipment", house.winch) for _ in numbers],
        )


def page(house: Any, name: str, who: str = "manager", **asked: str) -> str:
    client = Client()
    client.force_login(house.people[who])
    more = [house.plan.pk] if name == "year_tasks" else []
    answer = client.get(reverse(name, args=["larkspur", *more]), asked)
    assert answer.status_code == 200
    return answer.content.decode()


def rows_of(text: str) -> int:
    (body,) = re.findall(r"<tbody>(.*?)</tbody>", text, re.DOTALL)
    return body.count("<tr")


def foot(text: str) -> str:
    (said,) = re.findall(r"<tfoot>(.*?)</tfoot>", text, re.DOTALL)
    return said


def test_four_hundred_rows_stand_on_one_page_and_cost_as_many_questions_as_three(
    house: Any,
) -> None:
    costs = []
    for numbers in (range(3), range(3, 400)):
        many(house, numbers)
        for name in LISTS:
            page(house, name)  # what a process learns once is learnt
        costs.append({})
        for name in LISTS:
            with CaptureQueriesContext(connection) as queries:
                text = page(house, name)
            costs[-1][name] = len(queries)
            assert min(numbers.stop, 400) <= rows_of(text) <= 400, name
    assert costs[0] == costs[1]
    assert max(costs[1].values()) <= 23, costs


def test_each_list_sums_up_what_it_shows(house: Any) -> None:
    many(house, range(4))
    for name, words in {
        "year_plans": ("5 plans", "5 draft"),
        "year_tasks": ("4 tasks", "4 late"),
        "reports": ("4 reports",),
        "bookings": ("4 bookings", "2 performance, 2 dark"),
        "people": (f"{4 + 6} people", "1 none on file, 2 lapsed"),
    }.items():
        assert all(each in foot(page(house, name)) for each in words), (
            name,
            foot(page(house, name)),
        )
    assert ">2 h<" in foot(page(house, "year_tasks", columns="hours"))


@pytest.mark.parametrize(
    ("name", "asked", "rows"),
    [
        ("year_plans", {"words": "2: try"}, 1),
        ("year_tasks", {"since": "2026-02-12"}, 2),
        ("year_tasks", {"since": "2026-02-11", "until": "2026-02-12"}, 2),
        ("reports", {"signer": "Tam 1"}, 2),
        ("reports", {"since": "2026-02-11", "until": "2026-02-12"}, 2),
        ("bookings", {"kind": "dark"}, 2),
        ("bookings", {"leaves": "stage_clear"}, 2),
        ("bookings", {"since": "2101-05-04"}, 2),
        ("people", {"validity": "lapsed"}, 2),
        ("people", {"level": "trained_user"}, 1),
        ("log", {"did": "change_equipment"}, 4),
    ],
)
def test_a_list_is_narrowed_by_its_address(
    house: Any, name: str, asked: dict[str, str], rows: int
) -> None:
    many(house, range(4))
    assert rows_of(page(house, name, **asked)) == rows


def test_a_list_that_was_not_read_to_its_end_says_so_and_leads_on(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module, most in (
        (year_plans, "PLANS_AT_ONCE"), (year_board, "TASKS_AT_ONCE"), (bookings, "AT_ONCE"),
        (issued_reports, "REPORTS_AT_ONCE"), (log_pages, "LINES_AT_ONCE"),
    ):  # fmt: skip
        monkeypatch.setattr(module, most, 3)
    many(house, range(8))
    for name in ("year_plans", "year_tasks", "reports", "bookings", "log"):
        text, seen, asked = page(house, name), 0, {}
        assert "This list is longer: its first 3 rows were read." in text, name
        while True:
            seen += rows_of(text)
            (onward,) = set(re.findall(r'href="\?([^"]*past=[^"]+)">The rows after', text)) or {""}
            if not onward:
                break
            asked = {"past": onward.split("past=")[1].replace("%3A", ":").replace("%2B", "+")}
            text = page(house, name, **asked)
            assert "Part of a longer list" in text
            assert "The beginning of the list" in text
        least = {"year_plans": 9, "log": log_pages.size_of_log(house.venue)}.get(name, 8)
        assert seen == least, name


def test_findings_orders_and_tasks_are_cut_in_words_too(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(overview, "FINDINGS_AT_ONCE", 2)
    monkeypatch.setattr(tasks, "TASKS_AT_ONCE", 2)
    for n in range(5):
        finding = Finding.objects.create(
            venue=house.venue, equipment=house.winch, grade="observation", what=f"Dust {n}",
            by=house.people["competent"], at=AT,
        )  # fmt: skip
        finding.orders.create(
            venue=house.venue, equipment=house.winch, what="restricted", why="Dust", restriction="Slow",
            bites_on=DAY, by=house.people["competent"], at=AT,
        )  # fmt: skip
        Task.objects.create(
            venue=house.venue, plan=house.inspected, equipment=house.winch, number=n, due_on=DAY,
            planned_on=DAY, last_lawful_on=DAY, state="cancelled" if n % 2 else "open",
        )  # fmt: skip
    for name in ("finding_list", "order_list", "task_list"):
        text = page(house, name)
        assert rows_of(text) == 2, name
        assert "This list is longer: its first 2 rows were read." in text
    last = overview.findings_read(overview.findings(house.venue), "").more
    text = page(house, "finding_list", past=last)
    assert ("Dust 2" in text, "Dust 1" in text, "Dust 3" in text) == (True, True, False)
    assert "Part of a longer list" in text
    assert rows_of(page(house, "task_list", show="done")) == 2


def test_a_key_that_cannot_be_read_begins_at_the_first_row(house: Any) -> None:
    many(house, range(3))
    for past in ("nonsense", "~", "2026-01-01~1", "2026-13-01T00:00:00+00:00~1", "~".join("123")):
        read = stretch_of(YearPlan.objects.all(), ("-at", "-pk"), past, 2)
        assert (len(read.rows), read.begun) == (2, False), past
    read = stretch_of(Report.objects.all(), ("-number",), str(2**70), 2)
    assert len(read.rows) == 2
    nothing = stretch_of(Report.objects.all(), ("-number",), "-1", 2)
    assert (list(nothing.rows), nothing.more, nothing.begun) == ([], "", True)
    assert "0 rows" in page(house, "reports", past="0")


def test_the_log_is_read_by_number_and_never_counted(house: Any) -> None:
    many(house, range(50))
    size = log_pages.size_of_log(house.venue)
    page(house, "log")
    with CaptureQueriesContext(connection) as queries:
        text = page(house, "log")
    asked = [each["sql"].lower() for each in queries if "venue_logline" in each["sql"].lower()]
    assert len(asked) == 1
    assert "count(" not in asked[0]
    assert "offset" not in asked[0]
    assert f"{size} lines in all" in text
    newest = LogLine.objects.filter(venue=house.venue).last()
    assert newest is not None
    assert f'class="date hash" data-label="Hash">{newest.sha256[:12]}<' in text
    assert newest.sha256 in page(house, "log", columns="whole")
    assert rows_of(page(house, "log", after=str(size - 5))) == 5


def test_the_log_is_opened_at_a_day(house: Any) -> None:
    with transaction.atomic():
        for days in range(40):
            write_lines(
                venue=house.venue, by=None, at=datetime(2026, 6, 1, 12, tzinfo=UTC) + timedelta(days=days),
                deeds=[Deed("change_equipment", house.winch)],
            )  # fmt: skip
    told = re.findall(
        r"\d+ Ju\w+ 2026", page(house, "log", until="2026-06-20", did="change_equipment")
    )
    assert told[0] == "20 Jun 2026"
    assert len(told) == 20
    nothing = page(house, "log", until="1999-01-01")
    assert "<tbody>" not in nothing
    assert 'id="filter-until"' in nothing
    assert rows_of(page(house, "log", until="2026-02-31")) > 40  # no day: as if it were not there


def test_only_a_manager_is_offered_deeds_on_people(house: Any) -> None:
    many(house, range(2))
    assert page(house, "people").count(">End the role</button>") == 8
    assert page(house, "people").count(">A new link</button>") == 2
    for who in ("competent", "stagehand", "auditor"):
        assert "End the role" not in page(house, "people", who)


def test_what_nobody_has_said_yet_stands_out_among_bookings(house: Any) -> None:
    Booking.objects.create(
        venue=house.venue, what="unknown", title="HOLD", starts=FAR, ends=FAR + timedelta(hours=1)
    )
    assert 'data-state="cannot-be-decided"' in page(house, "bookings")


def test_the_page_of_a_thing_says_that_its_newest_findings_are_not_all(house: Any) -> None:
    other = make_equipment(house.venue, "W9")
    client = Client()
    client.force_login(house.people["manager"])

    def thing() -> str:
        return client.get(reverse("equipment", args=["larkspur", house.winch.pk])).content.decode()

    for n in range(13):
        assert ("The newest 12 are shown." in thing()) == (n == 12), n
        for piece in (house.winch, other):
            Finding.objects.create(
                venue=house.venue, equipment=piece, grade="observation", what=f"Dust {n}",
                by=house.people["competent"], at=AT,
            )  # fmt: skip
    (where,) = re.findall(r'href="([^"]*)">Every finding of this equipment', thing())
    listed = client.get(where.replace("&amp;", "&")).content.decode()
    assert rows_of(listed) == 13
    assert "13 of 26 rows" in listed
