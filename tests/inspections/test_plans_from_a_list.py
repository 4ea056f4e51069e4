"""When a list says that things were last looked at: kept for the start of the plans, shown before it is
applied, told in the log, and never taken for a record."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from inspections.first_starts import listed_start
from inspections.models import Plan, Record, Task
from inspections.queries.plan_starts import early_days, running_plans, starts_of
from inspections.queries.set_up_regimes import ShownKind, ShownProposal
from inspections.queries.tasks import done_too_early, late_tasks
from tests.house import make_person, make_venue
from venue.models import Equipment, ListedDay, LogLine, Venue

pytestmark = pytest.mark.django_db

V = "/v/larkspur/"
TODAY = date(2026, 11, 26)
WEEKLY, YEARLY = "catwalk:walkway_weekly", "catwalk:walkway_yearly"
HEAD = "Tag;Kind;Last inspected\n"


@pytest.fixture(autouse=True)
def now() -> Iterator[None]:
    with time_machine.travel(datetime(2026, 11, 26, 12, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def venue() -> Venue:
    venue = make_venue()
    make_person(venue, "manager")
    return venue


@pytest.fixture
def client(venue: Venue) -> Client:
    client = Client()
    client.force_login(venue.memberships.get().person)
    return client


def send(client: Client, text: str) -> str:
    """The page on which the list is understood."""
    file = SimpleUploadedFile("what Tam keeps.csv", text.encode())
    client.post(f"{V}register/spreadsheet/send/", {"file": file})
    return client.get(f"{V}register/spreadsheet/").content.decode()


def read_in(client: Client) -> None:
    digest = client.get(f"{V}register/spreadsheet/").context["digest"]
    client.post(f"{V}register/spreadsheet/read-in/", {"digest": digest})


def days() -> dict[str, str]:
    return {row.equipment.tag: str(row.day) for row in ListedDay.objects.order_by("at", "pk")}


def shown(client: Client) -> dict[str, ShownProposal]:
    kinds: list[ShownKind] = client.get(f"{V}set-up/regimes/").context["kinds"]
    return {one.proposal.key: one for kind in kinds for one in [*kind.here, *kind.others]}


def apply(client: Client, *keys: str, counted: tuple[str, ...] = ()) -> None:
    sent = {"proposal": keys, "counted": counted, "first_by": "2026-12-20"}
    assert client.post(f"{V}set-up/regimes/", sent).status_code == 302


def test_the_day_is_kept_as_the_list_says_it_and_no_record_is_made(client: Client) -> None:
    page = send(client, HEAD + "C1;Catwalk;3.3.2026\nC2;Catwalk;n/a\nC3;Catwalk;nobody knows\n")
    assert "Of 1 thing it says when it was last looked at" in page
    assert "it is no record of an inspection" in page
    read_in(client)
    row = ListedDay.objects.get()
    assert (row.equipment.tag, row.day, row.heading, row.text, row.file_name) == (
        "C1", date(2026, 3, 3), "Last inspected", "3.3.2026", "what Tam keeps.csv",
    )  # fmt: skip
    assert row.equipment.note == "Last inspected: 3.3.2026"
    assert Equipment.objects.get(tag="C3").note == "Last inspected: nobody knows"
    assert not Record.objects.exists()
    line = LogLine.objects.get(did="keep_listed_day")
    assert json.loads(line.body)["after"] == {
        "day": "2026-03-03", "heading": "Last inspected", "text": "3.3.2026",
        "file": "what Tam keeps.csv",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2027-01-05", "lies in the future"), ("31.02.2026", "is not a day of the calendar"),
        ("5.5.1926", "is too long ago to be right"),
        ("März 2026", "is taken as 1 March 2026, the earliest it can be"),
    ],
)  # fmt: skip
def test_a_day_that_cannot_be_is_a_doubt_and_a_month_is_its_first_day(
    client: Client, text: str, words: str
) -> None:
    assert words in send(client, HEAD + f"C1;Catwalk;{text}\n")
    read_in(client)
    assert days() == ({"C1": "2026-03-01"} if text.startswith("März") else {})


def test_a_day_that_may_be_two_is_asked_about_and_what_was_not_shown_is_not_read_in(
    client: Client,
) -> None:
    page = send(client, HEAD + "C1;Catwalk;03/04/2026\n")
    assert "03/04/2026 may be two days" in page
    client.post(f"{V}register/spreadsheet/say/", {"order": "dmy"})
    digest = client.get(f"{V}register/spreadsheet/").context["digest"]
    client.post(f"{V}register/spreadsheet/say/", {"order": "mdy"})
    client.post(f"{V}register/spreadsheet/read-in/", {"digest": digest})
    assert (days(), Equipment.objects.count()) == ({}, 0), "the other day was shown"
    read_in(client)
    assert days() == {"C1": "2026-03-04"}


def test_a_list_that_tells_only_a_newer_day_is_read_in_and_the_same_again_is_not(
    client: Client,
) -> None:
    for day in ("2026-03-03", "2026-09-09"):
        send(client, HEAD + f"C1;Catwalk;{day}\n")
        read_in(client)
    assert [str(row.day) for row in ListedDay.objects.order_by("pk")] == [
        "2026-03-03",
        "2026-09-09",
    ]
    page = send(client, HEAD + "C1;Catwalk;2026-09-09\n")
    assert "The register holds all of it already" in page


def test_the_page_says_of_each_kind_and_regime_from_where_it_is_counted(client: Client) -> None:
    send(client, HEAD + "C1;Catwalk;3.3.2026\nC2;Catwalk;3.3.2024\nC3;Catwalk;\nG1;Gridiron;\n")
    read_in(client)
    page = client.get(f"{V}set-up/regimes/")
    words = page.content.decode()
    assert (
        "Last looked at: from your list 2, not known 1. The list says 3 Mar 2024 to 3 Mar 2026."
        in words
    )
    found = shown(client)
    yearly, weekly = found[YEARLY], found[WEEKLY]
    assert (yearly.listed, yearly.unknown, yearly.late) == (2, 1, 1)
    assert (weekly.listed, weekly.unknown, weekly.late) == (2, 1, 2)
    assert "Counted from your list: 2, <b>1 late at once</b>" in words
    assert "Not known when: 1, by the day below" in words
    counted = page.context["counted"]
    assert WEEKLY in counted
    assert YEARLY not in counted, "a glance puts off no examination"
    examined = {key for key, one in found.items() if one.proposal.regime.level != "trained_user"}
    assert {found[key].proposal.regime.interval for key in examined & counted} <= {
        "P1M",
        "P1W",
        "P1D",
    }
    rare = {key for key, one in found.items() if one.proposal.regime.interval == "P5Y"}
    assert rare
    assert not rare & counted, "the list may speak of another look than one in five years"


def test_a_plan_counts_from_the_list_where_that_is_ticked_and_says_so(client: Client) -> None:
    send(client, HEAD + "C1;Catwalk;3.3.2026\nC2;Catwalk;3.3.2024\nC3;Catwalk;\n")
    read_in(client)
    apply(client, YEARLY, WEEKLY, counted=(YEARLY,))
    plans = {plan.equipment.tag: plan for plan in Plan.objects.filter(regime="walkway_yearly")}
    assert {tag: str(plan.anchor) for tag, plan in plans.items()} == {
        "C1": "2027-03-03", "C2": "2026-03-03", "C3": "2026-12-20",
    }  # fmt: skip
    assert {plan.last_done_on for plan in plans.values()} == {None}, "nobody recorded it"
    late = Task.objects.filter(plan=plans["C2"], last_lawful_on__lt=TODAY)
    assert late.count() == 1, "late once, not once for each turn that was missed"
    assert str(late.get().last_lawful_on) == "2025-03-10", "late since the first that was missed"
    weekly = Plan.objects.filter(regime="walkway_weekly")
    assert {(str(one.anchor), one.listed_day) for one in weekly} == {("2026-12-03", None)}
    task = Task.objects.filter(plan=plans["C1"]).first()
    assert task
    for address in (f"tasks/{task.pk}/", f"equipment/{plans['C1'].equipment_id}/"):
        words = client.get(V + address).content.decode()
        assert "Counted from the list read in on 26 Nov 2026, which says 3 Mar 2026" in words, (
            address
        )
    counted = LogLine.objects.filter(did="apply_regime", body__contains='"counted_from"')
    assert counted.count() == 2
    line = LogLine.objects.get(did="apply_regime", subject=f"inspections.plan {plans['C1'].pk}")
    after = json.loads(line.body)["after"]
    assert (after["counted_from"], after["said_by_list"], after["list"]) == (
        "2026-03-03", "Last inspected: 3.3.2026", "what Tam keeps.csv",
    )  # fmt: skip


def test_what_was_neglected_longest_is_late_since_its_first_missed_turn_and_stands_first(
    client: Client, venue: Venue
) -> None:
    send(client, HEAD + "C1;Catwalk;3.11.2025\nC2;Catwalk;3.3.2020\nC3;Catwalk;3.3.2025\n")
    read_in(client)
    apply(client, YEARLY, counted=(YEARLY,))
    tasks = list(late_tasks(venue, TODAY).select_related("plan__listed_day"))
    assert [(one.equipment.tag, str(one.last_lawful_on)) for one in tasks] == [
        ("C2", "2021-03-10"), ("C3", "2026-03-10"), ("C1", "2026-11-10"),
    ]  # fmt: skip
    assert [one.plan.turns_missed for one in tasks] == [6, 0, 0]
    oldest = tasks[0]
    words = "by it 6 turns were missed when the plan was made, and it is late since the first"
    for address in (f"tasks/{oldest.pk}/", f"equipment/{oldest.equipment_id}/"):
        assert words in client.get(V + address).content.decode(), address
    assert words not in client.get(f"{V}tasks/{tasks[1].pk}/").content.decode()
    line = LogLine.objects.get(did="apply_regime", subject=f"inspections.plan {oldest.plan_id}")
    after = json.loads(line.body)["after"]
    assert (after["turns_missed"], after["late_since"]) == ("6", "2021-03-10")
    page = client.get(reverse("shorten_date", args=["larkspur", oldest.plan_id])).content.decode()
    earlier = page.partition("Earlier date set before")[2].partition("</dl>")[0]
    assert "None" in earlier, "no examiner set that day"
    assert "2021" not in earlier


def test_a_fixed_day_far_ahead_is_done_too_early_also_where_turns_were_missed(
    client: Client, venue: Venue
) -> None:
    send(client, HEAD + "C1;Catwalk;3.3.2025\n")
    read_in(client)
    apply(client, WEEKLY, counted=(WEEKLY,))
    first, *_, last = Task.objects.order_by("number")
    assert (str(first.last_lawful_on), first.plan.turns_missed > 80) == ("2025-03-11", True)
    assert not done_too_early(first, TODAY)
    assert done_too_early(last, TODAY)
    (plan,) = running_plans(venue)
    (start,) = starts_of([plan], TODAY, date(2027, 1, 1), date(2027, 12, 31))
    assert {due - opens for opens, due, _ in start.due_days} == {timedelta(days=early_days(plan))}


@pytest.mark.parametrize("deed", ["update", "delete"])
def test_what_a_list_said_is_refused_a_change_by_the_database(client: Client, deed: str) -> None:
    send(client, HEAD + "C1;Catwalk;3.3.2026\n")
    read_in(client)
    rows = ListedDay.objects.all()
    with pytest.raises(IntegrityError), transaction.atomic():
        _ = rows.update(day=TODAY) if deed == "update" else rows.delete()
    assert days() == {"C1": "2026-03-03"}


def test_what_the_list_says_stands_where_one_regime_is_applied(client: Client) -> None:
    send(client, HEAD + "C1;Catwalk;3.3.2026\n")
    read_in(client)
    thing = Equipment.objects.get()
    words = client.get(f"{V}equipment/{thing.pk}/plans/").content.decode()
    assert "says “Last inspected: 3.3.2026”, that is 3 Mar 2026" in words


@pytest.mark.parametrize(
    ("last", "interval", "slack", "due", "late"),
    [
        (TODAY, "P1Y", "P0D", date(2027, 11, 26), False),
        (date(2025, 11, 26), "P1Y", "P0D", TODAY, False),
        (date(2025, 11, 25), "P1Y", "P0D", date(2026, 11, 25), True),
        (date(2025, 11, 10), "P1Y", "P1M", date(2026, 11, 10), False),
        (date(2024, 11, 10), "P1Y", "P1M", date(2025, 11, 10), True),
        (date(1987, 1, 31), "P1M", "", date(2026, 10, 31), True),
        (date(1987, 1, 31), "P1D", "P0D", date(2026, 11, 25), True),
        (date(2024, 2, 29), "P1Y", "P0D", date(2026, 2, 28), True),
    ],
)  # fmt: skip
def test_of_missed_turns_the_last_is_late(
    last: date, interval: str, slack: str, due: date, late: bool
) -> None:
    start = listed_start(last, interval, slack, TODAY)
    assert (start.due_on, start.late) == (due, late)
