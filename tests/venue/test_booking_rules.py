"""Rules say what a booking is: the first that finds its words, and again whenever they change."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from tests.house import NOW, make_person, make_venue
from tests.venue.calendar.files import calendar_file, event
from venue.actions.booking_rules import (
    add_rule,
    change_rule,
    move_rule,
    remove_rule,
    take_starting_rules,
)
from venue.actions.calendars import add_calendar, answer_unknown
from venue.actions.import_calendar import import_calendar
from venue.calendar.kinds import KindRule, words_of
from venue.calendar.starting_rules import starting_rules
from venue.kind_shapes import ACCESS
from venue.models import Booking, BookingRule, CalendarSource, LogLine
from venue.queries.calendars import try_rule, unknown_groups

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=LONDON)


@pytest.fixture
def source() -> CalendarSource:
    source = add_calendar(venue=make_venue(), name="Main stage", address="", by=None, at=NOW)
    names = [
        "Harbour ball",
        "Harbour ball",
        "Brass and Bunting, two houses",
        "Tech, Brass and Bunting",
    ]
    parts = [
        event(f"DTSTART;TZID=Europe/London:202606{10 + n}T190000", "DURATION:PT3H", uid=str(n), title=name)
        for n, name in enumerate(names)
    ]  # fmt: skip
    import_calendar(source=source, content=calendar_file(*parts), file_name="x", by=None, at=NOW)
    return source


def kinds() -> list[str]:
    return list(Booking.objects.values_list("what", flat=True))


@pytest.mark.parametrize(
    ("words", "where", "found"),
    [
        ("harbour ball", "title", True), ("HARBOUR-BALL", "title", True), ("ball", "title", True),
        ("bal", "title", False), ("bal*", "title", True), ("*bour", "title", True),
        ('"ball"', "title", False), ('"Harbour ball!"', "title", True),
        ("fête", "categories", True), ("fete", "anywhere", True), ("fete", "title", False),
        ("scene dock", "location", True), ("gala, dock", "anywhere", True), ("gala", "anywhere", False),
        ("(ball|dock)", "anywhere", False), ("", "anywhere", False), (" , ,", "anywhere", False),
        ("ball fete", "anywhere", False),
    ],
)  # fmt: skip
def test_words_are_found_whole_whatever_their_capitals_and_accents(
    words: str, where: str, found: bool
) -> None:
    rule = KindRule(words, where, "other")
    assert rule.finds("Harbour Ball", "Fête", "Scene dock, north") is found


def test_no_text_takes_long_to_look_through() -> None:
    rule = KindRule("*a*a*a*a*a*a*b", "title", "other")
    assert not rule.finds("a" * 190, "", "")


def test_the_usual_rules_leave_little_accessible_and_put_work_before_dark() -> None:
    rules = starting_rules()
    assert len(rules) == 6
    assert {state for rule in rules for state in rule.leaves} <= {"house_empty"} <= set(ACCESS)
    assert {rule.what for rule in rules} <= set(Booking.What.values) - {"unknown"}
    first = {title: next((rule.what for rule in rules if rule.finds(title, "", "")), "unknown")
             for title in ("DARK", "Dark Tides", "Dark day: get-in", "Get-out and dark day",
                           "Dress rehearsal", "Matinée", "The Salt Stair")}  # fmt: skip
    assert first == {
        "DARK": "dark", "Dark Tides": "unknown", "Dark day: get-in": "load_in",
        "Get-out and dark day": "load_out", "Dress rehearsal": "rehearsal",
        "Matinée": "performance", "The Salt Stair": "unknown",
    }  # fmt: skip


def test_usual_rules_are_taken_once(source: CalendarSource) -> None:
    assert BookingRule.objects.count() == 6
    assert take_starting_rules(venue=source.venue, by=None, at=NOW) == 0


def test_a_new_rule_is_tried_first_and_then_applies_to_the_bookings_ahead(
    source: CalendarSource,
) -> None:
    rule = KindRule("brass and bunting", "title", "performance")
    assert kinds() == ["unknown", "unknown", "unknown", "rehearsal"]
    tried = try_rule(source.venue, rule, starting_rules(), NOW)
    assert [row.title for row in tried.matches] == ["Brass and Bunting, two houses"]
    assert [row.title for row in tried.earlier] == ["Tech, Brass and Bunting"]
    assert kinds() == ["unknown", "unknown", "unknown", "rehearsal"]
    add_rule(venue=source.venue, rule=rule, by=None, at=NOW)
    assert kinds() == ["unknown", "unknown", "performance", "rehearsal"]
    did = list(LogLine.objects.order_by("-number").values_list("did", flat=True)[:2])
    assert did == ["change_booking", "add_booking_rule"]


def test_the_first_rule_counts_and_moving_one_up_changes_the_kind(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    add_rule(venue=source.venue, rule=KindRule("bunting", "title", "other"), by=by, at=NOW)
    assert kinds()[3] == "rehearsal"
    for _ in range(6):
        move_rule(rule=BookingRule.objects.get(words="bunting"), up=True, by=by, at=NOW)
    assert kinds()[3] == "other"
    assert BookingRule.objects.first().words == "bunting"
    move_rule(rule=BookingRule.objects.first(), up=True, by=by, at=NOW)
    assert BookingRule.objects.count() == 7


def test_a_removed_rule_leaves_its_bookings_unknown_again(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    add_rule(venue=source.venue, rule=KindRule("ball", "title", "dark", ("grid_empty",)), by=by,
             at=NOW)  # fmt: skip
    assert Booking.objects.first().leaves_accessible == ["grid_empty"]
    remove_rule(rule=BookingRule.objects.get(words="ball"), by=by, at=NOW)
    first = Booking.objects.first()
    assert (first.what, first.leaves_accessible) == ("unknown", [])
    assert LogLine.objects.filter(did="remove_booking_rule").count() == 1


def test_half_days_of_load_in_and_out_are_bookings_beside_it(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    rule = KindRule("ball", "title", "performance", before=1, after=2)
    add_rule(venue=source.venue, rule=rule, by=by, at=NOW)
    around = Booking.objects.filter(uid="0").exclude(piece="")
    assert [(row.what, row.title, row.starts, row.ends) for row in around] == [
        # A show from 19:00 to 22:00: the morning before it; the whole next day after it.
        ("load_in", "Harbour ball: load-in", at("2026-06-10T00:00"), at("2026-06-10T19:00")),
        ("load_out", "Harbour ball: load-out", at("2026-06-10T22:00"), at("2026-06-12T00:00")),
    ]  # fmt: skip
    assert all(row.leaves_accessible == [] for row in around)
    made = BookingRule.objects.get(words="ball")
    change_rule(rule=made, to=KindRule("ball", "title", "performance"), by=by, at=NOW)
    assert not Booking.objects.exclude(piece="").exists()
    assert Booking.with_cancelled.filter(state="cancelled").count() == 4


def test_one_answer_holds_for_all_of_a_title_and_for_later_ones(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    groups = unknown_groups(source.venue, by, NOW)
    assert [(one.title, len(one.bookings)) for one in groups] == [
        ("Harbour ball", 2), ("Brass and Bunting, two houses", 1),
    ]  # fmt: skip
    said = KindRule(words_of(groups[1].title), "title", "performance")
    answer_unknown(group=groups[1], venue=source.venue, rule=said, add_rule=True, by=by, at=NOW)
    assert kinds() == ["unknown", "unknown", "performance", "rehearsal"]
    assert not Booking.objects.filter(set_by_hand=True).exists()
    later = calendar_file(event("DTSTART:20260701T180000Z", "DURATION:PT2H", uid="9",
                                title="BRASS and BUNTING - two houses"))  # fmt: skip
    done = import_calendar(source=source, content=later, file_name="x", by=None, at=NOW)
    assert done.unknown == 0


def test_an_unknown_booking_entered_by_hand_is_answered_too(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    Booking.objects.create(venue=source.venue, what="unknown", title="Hold", starts=NOW,
                           ends=at("2026-06-01T10:00"))  # fmt: skip
    group = next(one for one in unknown_groups(source.venue, by, NOW) if one.title == "Hold")
    said = KindRule(words_of("Hold"), "title", "other", ("stage_clear",))
    answer_unknown(group=group, venue=source.venue, rule=said, add_rule=True, by=by, at=NOW)
    assert Booking.objects.get(title="Hold").leaves_accessible == ["stage_clear"]
    assert LogLine.objects.filter(did="say_what_booking_is").count() == 1
