"""The whole first hour in a browser: from an empty database, with a spreadsheet that grew and the
season's diary, to a published year and a first check on a phone. It prints what each step took."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from inspections.models import PlannedTask, Record, Task
from rigging.models import RuleChoice
from tests.browser.hands import DESK, PHONE, Person
from tests.browser.walk_proof import let_the_worker_work
from tests.first_hour_files import season_diary, season_list
from venue.actions.open_house import make_set_up_code
from venue.models import Booking, Equipment, Venue

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SETS = 10
THINGS = SETS + 13
OWN = "a-password-of-my-own"
V = "/v/the-larkspur/"


@dataclass
class Hands(Person):
    """Counts what a hand does: a click for each button, link, tick and choice; each field typed."""

    clicks: int = 0
    typed: int = 0
    steps: list[tuple[str, float, int, int]] = field(default_factory=list)

    def __init__(self, tab: Callable[..., Any], size: dict[str, int], email: str) -> None:
        super().__init__(tab, size, email)
        self.clicks, self.typed, self.steps = 0, 0, []

    @contextmanager
    def step(self, words: str) -> Iterator[None]:
        began, clicks, typed = time.perf_counter(), self.clicks, self.typed
        yield
        took = time.perf_counter() - began
        self.steps.append((words, took, self.clicks - clicks, self.typed - typed))

    def tap(self, words: str) -> None:
        self.clicks += 1
        super().tap(words)

    def follow(self, words: str) -> None:
        self.clicks += 1
        super().follow(words)

    def tick(self, name: str, value: str) -> None:
        self.clicks += 1
        super().tick(name, value)

    def enclose(self, name: str, *files: dict[str, Any]) -> None:
        self.clicks += 1
        super().enclose(name, *files)

    def choose(self, name: str, value: str) -> None:
        self.clicks += 1
        self.page.select_option(f'[name="{name}"]', value)

    def type(self, **fields: str) -> None:
        self.typed += len(fields)
        super().type(**fields)

    def go_on(self, title: str) -> None:
        """From the list of steps to the one that it calls the next."""
        assert self.page.url.endswith("/set-up/"), self.page.url
        self.follow(f"Go on: {title}")


def come_in(odile: Hands) -> None:
    odile.go("/")
    assert "Nobody is here yet" in odile.looks("hour-first")
    odile.type(code=make_set_up_code(at=timezone.now()), house="The Larkspur", name="Odile Varga",
               email="odile@larkspur.example", password=OWN)  # fmt: skip
    odile.choose("time_zone", "Europe/London")
    odile.press("Open the house")
    assert "Proposed from the time zone Europe/London" in odile.looks("hour-house")
    odile.press("This is right")


def choose_rules(odile: Hands) -> None:
    odile.go_on("Rules for ropes")
    assert "Cannot decide" in odile.looks("hour-rules")
    odile.type(why="Our insurer names it.")
    odile.press("Put what is ticked in force")
    assert RuleChoice.objects.count() == 1


def read_the_list_in(odile: Hands) -> None:
    odile.go_on("Register")
    odile.looks("hour-send")
    odile.enclose(
        "file", {"name": "rigging list FINAL 3.xlsx", "mimeType": "", "buffer": season_list(SETS)}
    )
    odile.press("Show how it is understood")
    assert "03/04/1998 may be two days" in odile.looks("hour-understood")
    odile.tick("order", "dmy")
    odile.press("Look again with this")
    assert f"{THINGS} pieces of equipment" in odile.looks("hour-understood-again")
    odile.press("Read it into the register")
    assert Equipment.objects.count() == THINGS
    assert Equipment.objects.get(tag="CW2").fields["installed_on"] == "1998-04-03"


def apply_regimes(odile: Hands) -> None:
    odile.go_on("Regimes")
    assert "Lifting Operations and Lifting Equipment Regulations 1998" in odile.looks(
        "hour-regimes"
    )
    odile.press("Make the plans and their tasks")
    assert Task.objects.count() > THINGS


def read_the_diary(odile: Hands) -> None:
    today = Venue.objects.get().zone
    day = timezone.now().astimezone(today).date()
    odile.go_on("Calendar")
    odile.enclose(
        "file", {"name": "season.ics", "mimeType": "text/calendar", "buffer": season_diary(day)}
    )
    odile.press("Try it")
    assert "Harbour ball" in odile.looks("hour-diary")
    odile.type(until=f"{day.replace(day=1).replace(year=day.year + 1)}")
    odile.press("Apply the calendar")
    odile.clicks += 1
    odile.page.locator("main table a.button").first.click()
    odile.choose("what", "other")
    odile.press("Save")
    odile.follow("What each kind of booking leaves accessible")
    for slug in ("stage_clear", "grid_empty", "battens_stripped", "pit_at_level", "nobody_below",
                 "machine_locked"):  # fmt: skip
        odile.tick("dark", slug)
    odile.looks("hour-leaves")
    odile.press("Keep this")
    dark = list(Booking.objects.filter(what="dark"))
    assert len(dark) > 40
    assert all("grid_empty" in one.leaves_accessible for one in dark)


def print_tags(odile: Hands) -> None:
    odile.go_on("Tags")
    odile.follow("The sheet of labels, to print")
    assert odile.page.locator(".label-tag svg").count() == THINGS
    odile.page.go_back()
    odile.clicks += 1
    odile.press("They are printed")


def invite_tam(odile: Hands) -> str:
    odile.go_on("People")
    odile.follow("Invite somebody")
    odile.type(name="Tam Achterberg", email="tam@larkspur.example", certificate="Card 7",
               issued_by="Tern Harbour College", valid_from="2024-01-01")  # fmt: skip
    odile.choose("role", "competent")
    odile.choose("level", "competent_person")
    odile.looks("hour-invite")
    odile.press("Invite")
    assert "Invited, not here yet" in odile.looks("hour-people")
    odile.follow("Set-up: the steps, and what is next")
    found = re.search(r"http://localhost:8000(\S+)", str(mail.outbox[-1].body))
    assert found
    return found[1]


def plan_the_year(odile: Hands) -> None:
    odile.go_on("The year")
    odile.choose("days", "91")
    odile.type(seconds="1")
    odile.press("Plan")
    let_the_worker_work()
    odile.page.get_by_text("What it comes to").wait_for()  # the waiting page asks again by itself
    assert "What it comes to" in odile.looks("hour-year")
    odile.press("Publish")
    assert "tasks got their day" in odile.looks("hour-published")
    assert PlannedTask.objects.exists()
    odile.follow("Set-up: the steps, and what is next")
    odile.go_on("First check")
    assert "Point a phone at the code" in odile.looks("hour-phone")


def answer(tam: Hands) -> None:
    """The question on the screen: nothing lies loose, and everything else is as it should be."""
    question = tam.page.locator("fieldset.question:visible").first
    key = question.get_attribute("data-question")
    if question.locator(f'input[name="{key}:value"]').count():
        tam.type(**{f"{key}:value": "0"})
    else:
        tam.tick(f"{key}:given", "yes")


def check_the_grid(tam: Hands, link: str) -> None:
    """By the link from the mail; then the grid by its tag, its questions, saved."""
    tam.go(link)
    assert "Welcome, Tam Achterberg" in tam.looks("hour-invited")
    tam.type(password=OWN)
    tam.press("Come in")
    tam.go(f"{V}t/G1/")
    tam.looks("hour-tag")
    tam.press("Start this check")
    following = tam.page.get_by_role("button", name=re.compile("^(Next|Look it over)$"))
    words = ""
    while words != "Look it over":
        answer(tam)
        words = following.first.inner_text().strip()
        tam.walk_on(words)
    tam.page.wait_for_url("**/review/")
    tam.looks("hour-review")
    tam.press("Submit, as Tam Achterberg")
    assert "Fit" in tam.looks("hour-record")


def test_from_an_empty_database_to_a_first_check(tab: Callable[..., Any], one_day: None) -> None:
    odile, tam = (Hands(tab, size, "") for size in (DESK, PHONE))
    for words, deed in (
        ("Come in, the house", come_in), ("Rules for ropes", choose_rules),
        ("Register", read_the_list_in), ("Regimes", apply_regimes), ("Calendar", read_the_diary),
        ("Tags", print_tags),
    ):  # fmt: skip
        with odile.step(words):
            deed(odile)
    with odile.step("People"):
        link = invite_tam(odile)
    with odile.step("The year"):
        plan_the_year(odile)
    with tam.step("First check, on a phone"):
        check_the_grid(tam, link)
    record = Record.objects.get()
    assert (record.equipment.tag, record.by.name, record.may_sign) == ("G1", "Tam Achterberg", True)
    odile.go(f"{V}set-up/")
    assert "Every step is done." in odile.looks("hour-steps-done")
    _print([*odile.steps, *tam.steps])


def _print(steps: list[tuple[str, float, int, int]]) -> None:
    print(
        "\n| step | seconds of the machine | clicks | fields typed |\n| --- | ---: | ---: | ---: |"
    )
    for words, took, clicks, typed in steps:
        print(f"| {words} | {took:.1f} | {clicks} | {typed} |")
    took, clicks, typed = (sum(step[place] for step in steps) for place in (1, 2, 3))
    print(f"| **all** | **{took:.1f}** | **{clicks}** | **{typed}** |")
