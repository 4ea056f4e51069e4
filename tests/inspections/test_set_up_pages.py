"""The steps of the first hour, one page each, and what each leaves in the book."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from inspections.actions.plans import apply_regime
from inspections.models import Plan, Task
from inspections.regime_files import regimes
from inspections.regime_proposals import Thing, proposals
from inspections.set_up_steps import SLUGS
from rigging.first_choice import countries, plain_rulesets
from rigging.models import RuleChoice
from tests.first_hour_files import season_diary, season_list
from tests.form_on_page import press
from tests.house import make_person, make_venue
from tests.venue.calendar.files import calendar_file, event
from venue.kind_files import kinds
from venue.models import (
    Booking,
    BookingRule,
    CalendarSource,
    Equipment,
    LogLine,
    SetUpStep,
    Spreadsheet,
    Venue,
)

pytestmark = pytest.mark.django_db

V = "/v/larkspur/"


@pytest.fixture
def venue() -> Venue:
    """A house in which nothing is yet but its manager."""
    venue = make_venue()
    Venue.objects.update(set_up_since=timezone.now())
    make_person(venue, "manager")
    return venue


@pytest.fixture
def client(venue: Venue) -> Client:
    client = Client()
    client.force_login(venue.memberships.get().person)
    return client


def states(client: Client) -> dict[str, str]:
    found = client.get(f"{V}set-up/").context["states"]
    return {one.step.slug: one.state for one in found}


def upload(content: bytes, name: str) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def today(venue: Venue) -> Any:
    return timezone.now().astimezone(venue.zone).date()


def read_the_list_in(client: Client, content: bytes) -> None:
    client.post(f"{V}register/spreadsheet/send/", {"file": upload(content, "list.csv")})
    digest = client.get(f"{V}register/spreadsheet/").context["digest"]
    client.post(f"{V}register/spreadsheet/read-in/", {"digest": digest})


def test_an_empty_house_says_what_is_next_and_every_step_has_a_page(client: Client) -> None:
    assert states(client) == dict.fromkeys(SLUGS, "to do") | {"house": "next"}
    for one in client.get(f"{V}set-up/").context["states"]:
        assert client.get(f"{V}set-up/").content.decode().count(one.step.title) >= 1


def test_a_step_left_for_later_is_passed_over_and_keeps_its_word(client: Client) -> None:
    client.post(f"{V}set-up/house/", {"unit_habit": "us", "dialect": "en-US", "paper": "letter"})
    assert Venue.objects.get().unit_habit == "us"
    client.post(f"{V}set-up/rules/said/", {"said": "later"})
    client.post(f"{V}set-up/rules/said/", {"said": "later"})
    found = states(client)
    assert (found["house"], found["rules"], found["register"]) == ("done", "left for later", "next")
    assert SetUpStep.objects.filter(step="rules").count() == 1
    assert LogLine.objects.filter(did="say_of_step").count() == 2
    assert client.post(f"{V}set-up/nonsense/said/", {"said": "done"}).status_code == 404
    assert client.post(f"{V}set-up/tags/said/", {"said": "maybe"}).status_code == 404


def test_the_way_back_stands_on_every_page_until_the_set_up_is_closed(client: Client) -> None:
    assert "set-up-way" in client.get(f"{V}equipment/").content.decode()
    assert client.post(f"{V}set-up/end/").url == V
    assert "set-up-way" not in client.get(f"{V}equipment/").content.decode()
    assert client.get(f"{V}set-up/").status_code == 200


def test_rule_sets_are_proposed_by_country_and_chosen_by_a_named_person_with_a_reason(
    client: Client,
) -> None:
    page = client.get(f"{V}set-up/rules/")
    assert page.context["ticked"] == {"iso-4309-2017-counts"}, "the house is in London"
    words = page.content.decode()
    assert "Switched off until a person with the document confirms its figures" in words
    assert client.get(f"{V}set-up/rules/?country=us").context["ticked"] == {
        "us-osha-1926-1413", "asme-b30-7",
    }  # fmt: skip
    shown = press(client, f"{V}set-up/rules/", "Show", country="us", why="Our insurer asks for it.")
    assert shown.context["ticked"] == {"us-osha-1926-1413", "asme-b30-7"}
    assert ">\nOur insurer asks for it.</textarea>" in shown.content.decode(), "typed already"
    assert not RuleChoice.objects.exists()
    two = {"ruleset": ["us-osha-1926-1413", "asme-b30-7"]}
    assert client.post(f"{V}set-up/rules/", two | {"why": ""}).status_code == 422
    assert not RuleChoice.objects.exists()
    for _ in range(2):
        assert client.post(f"{V}set-up/rules/", two | {"why": "The insurer."}).status_code == 302
    assert sorted(one.ruleset for one in RuleChoice.objects.all()) == sorted(two["ruleset"])
    assert {one.why for one in RuleChoice.objects.all()} == {"The insurer."}
    assert states(client)["rules"] == "done"


def test_each_country_proposes_rule_sets_that_exist_and_every_other_stays_in_reach() -> None:
    every = {row.rules.slug for row in plain_rulesets("us")}
    assert len(every) >= 36
    for country in countries():
        rows = plain_rulesets(country)
        assert {row.rules.slug for row in rows} == every
        assert any(row.proposed and row.why for row in rows)
        assert all(row.looks_at for row in rows if row.proposed)


def test_the_list_is_read_in_exactly_as_it_was_shown(client: Client, venue: Venue) -> None:
    file = upload(season_list(), "list.xlsx")
    assert client.post(f"{V}register/spreadsheet/send/", {"file": file}).status_code == 302
    shown = client.get(f"{V}register/spreadsheet/")
    assert "One thing must be said first" in shown.content.decode()
    assert "Read it into the register" not in shown.content.decode()
    client.post(f"{V}register/spreadsheet/say/", {"order": "dmy"})
    shown = client.get(f"{V}register/spreadsheet/")
    assert shown.context["seen"].faults == 0
    client.post(f"{V}register/spreadsheet/read-in/", {"digest": "of something else"})
    assert not Equipment.objects.exists()
    client.post(f"{V}register/spreadsheet/read-in/", {"digest": shown.context["digest"]})
    assert Equipment.objects.count() == 53
    one = Equipment.objects.get(tag="CW2")
    assert (one.kind, one.fields["installed_on"], one.note) == (
        "counterweight_set_single", "1998-04-03", "Paint colour: black",
    )  # fmt: skip
    assert "imbalance_limit" not in one.fields, "not known stays missing"
    assert one.parts.count() == 6
    assert not Spreadsheet.objects.exists()
    assert states(client)["register"] == "done"
    assert client.get(f"{V}register/spreadsheet/").status_code == 200


def test_what_is_said_on_the_page_changes_what_is_understood(client: Client, venue: Venue) -> None:
    client.post(
        f"{V}register/spreadsheet/send/",
        {"file": upload(b"Tag;Kind;Blurb\nW1;Thingummy;Paint frame\n", "list.csv")},
    )
    said = {
        "word-1": "Thingummy", "kind-1": "drum_winch", "sheet-0": "yes", "use-0": "yes",
        "heading-0": "1", "column-0-0": "tag", "column-0-1": "kind", "column-0-2": "place",
        "common-drum_winch.service": "heavy", "order": "", "place": "",
    }  # fmt: skip
    client.post(f"{V}register/spreadsheet/say/", said)
    (row,) = client.get(f"{V}register/spreadsheet/").context["understood"].ready
    assert (row.cells["kind"], row.cells["place"]) == ("drum_winch", "Paint frame")
    assert row.cells["field: service"] == "heavy"
    client.post(f"{V}register/spreadsheet/say/", said | {"common-drum_winch.service": "often"})
    page = client.get(f"{V}register/spreadsheet/")
    assert page.context["seen"].faults == 1
    assert "Read it into the register" not in page.content.decode()
    client.post(f"{V}register/spreadsheet/drop/")
    assert not Spreadsheet.objects.exists()


READ_IN, AGAIN = "Read it into the register", "Look again with this"
PAINT = b"Tag;Kind;Blurb\nW1;Drum winch;Paint frame\n"


@pytest.mark.parametrize(
    "changed",
    [{"column-0-2": "place"}, {"kind-1": "chain_hoist"}, {"place": "Grid"}, {"heading-0": "2"}],
)
def test_what_is_said_and_read_in_at_one_stroke_is_shown_first(
    client: Client, changed: dict[str, str]
) -> None:
    at = f"{V}register/spreadsheet/"
    client.post(f"{at}send/", {"file": upload(PAINT, "list.csv")})
    page = press(client, at, READ_IN, **changed)
    assert not Equipment.objects.exists()
    assert "Look at what changed, then read it in." in page.content.decode()
    assert Spreadsheet.objects.get().said, "it is kept"


def test_read_in_is_what_was_said_with_it_and_shown(client: Client) -> None:
    at = f"{V}register/spreadsheet/"
    client.post(f"{at}send/", {"file": upload(PAINT, "list.csv")})
    press(client, at, READ_IN, **{"column-0-2": "place"})
    press(client, at, READ_IN)
    one = Equipment.objects.get()
    assert (one.tag, one.place.name) == ("W1", "Paint frame")


def test_a_list_left_as_it_was_understood_is_read_in_at_once(client: Client) -> None:
    at = f"{V}register/spreadsheet/"
    client.post(f"{at}send/", {"file": upload(season_list(), "sets.xlsx")})
    press(client, at, AGAIN, order="dmy")
    press(client, at, READ_IN)
    assert Equipment.objects.count() == 53


def test_the_key_enter_in_a_field_looks_again(client: Client) -> None:
    """A browser presses the first button of the form."""
    at = f"{V}register/spreadsheet/"
    client.post(f"{at}send/", {"file": upload(PAINT, "list.csv")})
    page = client.get(at).content.decode()
    form = next(part for part in page.split("<form")[1:] if READ_IN in part)
    assert "formaction" not in form.partition("<button")[2].partition(">")[0]


def test_what_is_no_spreadsheet_is_refused_and_nothing_is_kept(client: Client) -> None:
    answer = client.post(f"{V}register/spreadsheet/send/", {"file": upload(b"%PDF-1.7", "a.pdf")})
    assert (answer.status_code, "PDF" in answer.content.decode()) == (422, True)
    assert not Spreadsheet.objects.exists()


def test_regimes_are_proposed_per_kind_and_applied_all_at_once(
    client: Client, venue: Venue
) -> None:
    few = b"Tag;Kind\n1;Single purchase\n2;Single purchase\nG1;Catwalk\nH1;Chain hoist\n"
    read_the_list_in(client, few)
    page = client.get(f"{V}set-up/regimes/")
    ticked, day = page.context["ticked"], today(venue)
    assert "counterweight_set_single:thorough_twelve_months" in ticked
    assert "counterweight_set_single:stage_machinery_four_yearly_test" not in ticked, "Germany"
    first_by = str(day + timedelta(days=28))
    sent = {"proposal": sorted(ticked), "first_by": first_by}
    assert client.post(f"{V}set-up/regimes/", sent | {"first_by": "2099-01-01"}).status_code == 422
    assert client.post(f"{V}set-up/regimes/", sent | {"proposal": []}).status_code == 422
    assert not Plan.objects.exists()
    assert client.post(f"{V}set-up/regimes/", sent).status_code == 302
    made = Plan.objects.count()
    assert made == 2 * sum(key.startswith("counterweight") for key in ticked) + sum(
        not key.startswith("counterweight") for key in ticked
    )
    assert made > 20
    assert LogLine.objects.filter(did="apply_regime").count() == made
    yearly = Plan.objects.filter(regime="thorough_twelve_months").first()
    weekly = Plan.objects.filter(regime="walkway_weekly").first()
    assert yearly
    assert weekly
    assert (str(yearly.anchor), weekly.anchor) == (first_by, day + timedelta(days=7))
    assert Task.objects.filter(plan=yearly).exists()
    client.post(f"{V}set-up/regimes/", sent)
    assert Plan.objects.count() == made, "twice does no harm"
    assert not client.get(f"{V}set-up/regimes/").context["ticked"], "what is left is not meant here"


def test_of_a_kind_for_which_a_country_has_nothing_every_regime_is_ticked() -> None:
    hoist = Thing(1, kinds()["chain_hoist"], {"service": "normal"})
    ((_, count, found),) = proposals([hoist], set(), "elsewhere")
    assert count == 1
    assert found
    known = any(not regimes()[one.regime.slug].jurisdiction for one in found)
    assert known or all(one.ticked for one in found)


def test_a_calendar_file_is_tried_at_once_and_its_kinds_are_asked_about(
    client: Client, venue: Venue
) -> None:
    day = today(venue)
    assert client.post(f"{V}set-up/calendar/", {}).status_code == 422
    tried = client.post(f"{V}set-up/calendar/", {"file": upload(season_diary(day), "season.ics")})
    assert tried.status_code == 200
    assert not Booking.objects.exists()
    source = tried.context["source"]
    applied = {"agreed": tried.context["agreed"], "until": str(day + timedelta(days=300))}
    answer = client.post(f"{V}bookings/calendars/{source.pk}/apply/", applied)
    assert answer.url == f"{V}bookings/unknown/"
    page = client.get(f"{V}bookings/leave/")
    assert {one.what for one in page.context["kinds"]} >= {"dark", "performance", "rehearsal"}
    sent = {"dark": ["house_empty", "stage_clear", "nonsense"], "performance": []}
    assert client.post(f"{V}bookings/leave/", sent).url == f"{V}set-up/"
    rule = BookingRule.objects.get(what="dark")
    assert rule.leaves_accessible == ["house_empty", "stage_clear"]
    dark = Booking.objects.filter(what="dark").first()
    assert dark
    assert sorted(dark.leaves_accessible) == ["house_empty", "stage_clear"]
    assert states(client)["calendar"] == "done"


DIARY = "https://diary.example/larkspur.ics"


def apply_it(client: Client, tried: Any) -> None:
    where = f"{V}bookings/calendars/{tried.context['source'].pk}/apply/"
    client.post(where, {"agreed": tried.context["agreed"], "until": ""})


def by_its_address(client: Client, content: bytes) -> Any:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("venue.actions.first_calendar.fetch_calendar", lambda address: content)
        return client.post(f"{V}set-up/calendar/", {"address": DIARY})


@pytest.mark.parametrize("content", [b"Day;What\n3 March;Fit-up\n", b"", b"BEGIN:VCALENDAR\r\n"])
def test_a_file_that_is_no_calendar_leaves_nothing_and_is_told_at_its_field(
    client: Client, content: bytes
) -> None:
    before = LogLine.objects.count()
    for answer, field in (
        (client.post(f"{V}set-up/calendar/", {"file": upload(content, "diary.ics")}), "file"),
        (by_its_address(client, content), "address"),
    ):
        assert answer.status_code == 422
        assert list(answer.context["form"].errors) == [field]
        assert f'action="{V}set-up/calendar/said/"' in answer.content.decode(), "the step's page"
    assert (CalendarSource.objects.count(), LogLine.objects.count()) == (0, before)
    assert not BookingRule.objects.exists()


def test_a_diary_sent_as_a_file_and_then_by_its_address_is_one_calendar(
    client: Client, venue: Venue
) -> None:
    diary = season_diary(today(venue))
    apply_it(client, client.post(f"{V}set-up/calendar/", {"file": upload(diary, "season.ics")}))
    held = Booking.objects.count()
    tried = by_its_address(client, diary)
    assert "is fetched from this address from now on" in tried.content.decode()
    assert tried.context["comparison"].changes == []
    apply_it(client, tried)
    assert (CalendarSource.objects.get().address, Booking.objects.count()) == (DIARY, held)
    again = client.post(f"{V}set-up/calendar/", {"file": upload(diary, "season.ics")})
    assert again.context["comparison"].changes == []
    assert CalendarSource.objects.count() == 1


def test_another_diary_by_its_address_is_another_calendar(client: Client, venue: Venue) -> None:
    diary = season_diary(today(venue))
    apply_it(client, client.post(f"{V}set-up/calendar/", {"file": upload(diary, "season.ics")}))
    held = Booking.objects.count()
    other = diary
    for uid in (b"run", b"matinee", b"rehearsals", b"dark"):  # the ball stands in both
        other = other.replace(b"UID:" + uid, b"UID:studio-" + uid)
    assert other != diary
    apply_it(client, by_its_address(client, other))
    assert CalendarSource.objects.count() == 2
    assert Booking.objects.count() == 2 * held


def test_tags_and_the_phone_say_when_their_address_leads_nowhere(
    client: Client, venue: Venue
) -> None:
    assert "Nothing to label yet" in client.get(f"{V}set-up/tags/").content.decode()
    here = client.get(f"{V}set-up/phone/", headers={"host": "localhost:8000"})
    assert "cannot be opened from a phone" in here.content.decode()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("django.conf.settings.LOFTBOOK_ADDRESS", "http://192.0.2.7:8000")
        page = client.get(f"{V}set-up/phone/", headers={"host": "localhost:8000"}).content.decode()
    assert "http://192.0.2.7:8000/v/larkspur/round/" in page


EMPTY_PAGES = (
    "", "round/", "equipment/", "tasks/", "findings/", "reports/", "year/", "house/", "people/",
    "bookings/", "bookings/calendars/", "bookings/rules/", "bookings/leave/", "rules/", "labels/",
    "set-up/tags/", "set-up/regimes/", "register/spreadsheet/", "findings/?show=all", "orders/", "ropes/",
    "people/left/", "records/ask/", "house/log/", "bookings/unknown/",
)  # fmt: skip
# Whose way on stands beside what is empty, and is this.
BESIDE = {
    "bookings/calendars/": "Add a calendar", "bookings/rules/": "Begin with the usual rules",
    "bookings/unknown/": "What each kind of booking leaves accessible", "reports/": "Ask for a report",
    "year/": "What the planner is told",
}  # fmt: skip
EMPTY = re.compile(r'<div class="empty">(.*?)</div>', re.DOTALL)


def test_every_page_of_an_empty_house_leads_on(client: Client) -> None:
    """A way in what says that it is empty, or one named here beside it; else one in the page itself
    that is not of the menu, the crumbs or the foot."""
    dead, parts = [], 0
    for address in EMPTY_PAGES:
        page = client.get(V + address)
        assert page.status_code == 200, address
        main = page.content.decode().partition("<main")[2].partition("</main>")[0]
        empty = EMPTY.findall(main)
        ways = all("href=" in each or BESIDE.get(address, "no way") in main for each in empty)
        if not ways or not (main.count('class="button') + main.count("<form")):
            dead.append(address)
        parts += len(empty)
    assert dead == []
    assert parts >= 14


def test_where_every_regime_runs_the_way_on_leads_to_the_equipment(
    client: Client, venue: Venue
) -> None:
    read_the_list_in(client, b"Tag;Kind\nA1;Fall-arrest anchor\n")
    every = [
        one.proposal.key for kind in client.get(f"{V}set-up/regimes/").context["kinds"]
        for one in (*kind.here, *kind.others)
    ]  # fmt: skip
    day = str(timezone.now().date() + timedelta(days=20))
    client.post(f"{V}set-up/regimes/", {"proposal": every, "first_by": day})
    piece, at = Equipment.objects.get(), timezone.now()
    for regime in client.get(f"{V}equipment/{piece.pk}/plans/").context["regimes"]:
        apply_regime(
            equipment=piece, regime=regime, anchor=at.date(), last_done_on=None,
            by=venue.memberships.get().person, at=at,
        )  # fmt: skip
    for address, way in (
        ("set-up/regimes/", f"{V}equipment/"),
        (f"equipment/{piece.pk}/plans/", f"{V}equipment/{piece.pk}/"),
        (f"equipment/{piece.pk}/parts/add/", f"{V}equipment/{piece.pk}/"),
    ):
        (empty,) = EMPTY.findall(client.get(V + address).content.decode())
        assert f'href="{way}"' in empty, address


def test_one_of_a_thing_is_told_as_one(client: Client, venue: Venue) -> None:
    read_the_list_in(client, b"Tag;Kind\nG1;Catwalk\n")
    (first, *_) = [
        one.proposal.key for kind in client.get(f"{V}set-up/regimes/").context["kinds"]
        for one in (*kind.here, *kind.others)
    ]  # fmt: skip
    day = str(timezone.now().date() + timedelta(days=20))
    made = client.post(f"{V}set-up/regimes/", {"proposal": [first], "first_by": day}, follow=True)
    assert "1 plan is made, and its tasks." in made.content.decode()
    diary = calendar_file(event(f"DTSTART;VALUE=DATE:{day.replace('-', '')}", uid="one", title="A"))
    apply_it(client, client.post(f"{V}set-up/calendar/", {"file": upload(diary, "one.ics")}))
    end = f"{V}bookings/calendars/{CalendarSource.objects.get().pk}/end/"
    ended = client.post(end, follow=True).content.decode()
    assert "has ended; 1 booking ahead is cancelled." in ended


def test_an_empty_house_is_never_told_as_good_news(client: Client, venue: Venue) -> None:
    assert "Nothing stands in the register yet" in client.get(V).content.decode()
    read_the_list_in(client, b"Tag;Kind\nG1;Catwalk\n")
    words = client.get(V).content.decode()
    assert "Nothing stands in the register yet" not in words
    assert "No regime runs yet" in words
