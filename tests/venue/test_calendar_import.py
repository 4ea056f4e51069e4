"""A calendar comes in again and again: nothing doubles, nothing is lost, nothing is deleted."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.house import NOW, make_person, make_venue
from tests.venue.calendar.files import calendar_file, event
from venue.actions.calendars import add_calendar, answer_unknown, end_calendar
from venue.actions.house import add_booking
from venue.actions.import_calendar import (
    Agreed,
    CalendarMovedOn,
    CannotBeComplete,
    import_calendar,
    try_calendar,
)
from venue.calendar.comparison import Comparison
from venue.calendar.kinds import KindRule
from venue.calendar.shapes import UnreadableCalendar
from venue.models import Booking, CalendarSource, LogLine, Venue
from venue.queries.calendars import unknown_groups

pytestmark = pytest.mark.django_db

WEEKLY = event(
    "DTSTART;TZID=Europe/London:20260601T193000", "DTEND;TZID=Europe/London:20260601T223000",
    "RRULE:FREQ=WEEKLY;COUNT=4", uid="play", title="The Salt Stair, evening house",
)  # fmt: skip
DARK = event("DTSTART;VALUE=DATE:20260608", uid="dark", title="Dark")
HIRE = event("DTSTART:20260610T090000Z", "DTEND:20260610T170000Z", uid="hire", title="Harbour ball")


@pytest.fixture
def source() -> CalendarSource:
    venue = make_venue()
    return add_calendar(venue=venue, name="Main stage", address="", by=None, at=NOW)


def bring(source: CalendarSource, *parts: str, at: datetime = NOW, **known: Any) -> Comparison:
    content = calendar_file(*parts)
    return import_calendar(
        source=source, content=content, file_name="house.ics", by=None, at=at, **known
    )


def told(comparison: Comparison) -> dict[str, int]:
    return {kind: number for kind, number in comparison.counts().items() if number}


def rows() -> list[tuple[str, str, str]]:
    found = Booking.with_cancelled.all()
    return [(f"{row.starts:%m-%d %H:%M}", row.title, row.state) for row in found]


def test_the_first_time_everything_is_new_and_has_its_kind(source: CalendarSource) -> None:
    done = bring(source, WEEKLY, DARK, HIRE)
    assert told(done) == {"new": 6}
    assert done.unknown == 1
    kinds = {
        row.title: (row.what, row.leaves_accessible, row.all_day) for row in Booking.objects.all()
    }
    assert kinds == {
        "The Salt Stair, evening house": ("performance", [], False),
        "Dark": ("dark", ["house_empty"], True),
        "Harbour ball": ("unknown", [], False),
    }  # fmt: skip
    # Midnight to midnight in London, an hour ahead of UTC in June.
    dark = Booking.objects.get(uid="dark")
    assert (dark.starts, dark.ends) == (
        datetime(2026, 6, 7, 23, tzinfo=UTC), datetime(2026, 6, 8, 23, tzinfo=UTC),
    )  # fmt: skip


def test_the_same_file_twice_changes_nothing_and_writes_nothing(source: CalendarSource) -> None:
    bring(source, WEEKLY, DARK, HIRE)
    before, lines = list(Booking.with_cancelled.values()), LogLine.objects.count()
    again = bring(source, HIRE, DARK, WEEKLY)
    assert (told(again), again.unchanged) == ({}, 6)
    assert list(Booking.with_cancelled.values()) == before
    assert LogLine.objects.count() == lines


def test_each_booking_has_its_line_and_the_file_has_one(source: CalendarSource) -> None:
    bring(source, WEEKLY, DARK)
    did = list(LogLine.objects.order_by("number").values_list("did", flat=True))
    assert did[-6:] == ["import_calendar", *["add_booking"] * 5]
    assert '"new":"5"' in LogLine.objects.get(did="import_calendar").body


def test_what_moved_or_was_renamed_keeps_its_row(source: CalendarSource) -> None:
    bring(source, WEEKLY, HIRE)
    kept = dict(Booking.objects.values_list("pk", "uid"))
    later = HIRE.replace("20260610", "20260611").replace("Harbour ball", "Harbour ball (rehearsal)")
    moved = event("RECURRENCE-ID;TZID=Europe/London:20260608T193000", "DURATION:PT3H",
                  "DTSTART;TZID=Europe/London:20260609T140000", uid="play",
                  title="The Salt Stair, matinee")  # fmt: skip
    done = bring(source, WEEKLY, moved, later)
    assert told(done) == {"moved": 2}
    assert dict(Booking.objects.values_list("pk", "uid")) == kept
    assert Booking.objects.get(uid="hire").what == "rehearsal"
    assert rows()[1][:2] == ("06-09 13:00", "The Salt Stair, matinee")
    line = LogLine.objects.get(did="move_booking", label__startswith="Harbour ball")
    assert "2026-06-10T09:00:00" in line.body
    assert "2026-06-11T09:00:00" in line.body


def test_a_series_that_moves_by_half_an_hour_keeps_its_rows(source: CalendarSource) -> None:
    bring(source, WEEKLY)
    kept = list(Booking.objects.values_list("pk", flat=True))
    done = bring(source, WEEKLY.replace("T193000", "T200000"))
    assert told(done) == {"moved": 4}
    assert list(Booking.objects.values_list("pk", flat=True)) == kept
    assert told(bring(source, WEEKLY.replace("T193000", "T200000"))) == {}


def test_what_has_left_the_calendar_is_cancelled_and_comes_back(source: CalendarSource) -> None:
    bring(source, WEEKLY, HIRE)
    done = bring(source, WEEKLY.replace("COUNT=4", "COUNT=2"))
    assert told(done) == {"cancelled": 3}
    assert [state for *_, state in rows()].count("cancelled") == 3
    assert Booking.objects.count() == 2
    assert told(bring(source, WEEKLY, HIRE)) == {"back": 3}
    assert Booking.objects.count() == 5


def test_what_is_past_stays_as_it_was(source: CalendarSource) -> None:
    bring(source, WEEKLY, HIRE)
    in_june = datetime(2026, 6, 12, 12, tzinfo=UTC)
    done = bring(source, DARK.replace("20260608", "20260701"), at=in_june)
    assert told(done) == {"new": 1, "cancelled": 2}
    assert [title for _, title, state in rows() if state == "stands"] == [
        "The Salt Stair, evening house", "The Salt Stair, evening house", "Harbour ball", "Dark",
    ]  # fmt: skip


def test_an_entry_moved_out_of_the_past_is_a_booking_of_its_own(source: CalendarSource) -> None:
    bring(source, HIRE)
    in_june = datetime(2026, 6, 12, 12, tzinfo=UTC)
    later = HIRE.replace("20260610", "20260620")
    assert told(bring(source, later, at=in_june)) == {"new": 1}
    assert told(bring(source, later, at=in_june)) == {}
    assert told(bring(source, later.replace("20260620", "20260621"), at=in_june)) == {"moved": 1}
    assert [day for day, *_ in rows()] == ["06-10 09:00", "06-21 09:00"]


def test_a_message_takes_back_only_what_it_names(source: CalendarSource) -> None:
    bring(source, WEEKLY, HIRE)
    one = calendar_file(event("RECURRENCE-ID;TZID=Europe/London:20260615T193000", uid="play"),
                        method="CANCEL")  # fmt: skip
    take = {"source": source, "file_name": "cancel.ics", "by": None, "at": NOW}
    assert told(import_calendar(content=one, **take)) == {"cancelled": 1}
    hire = calendar_file(event(uid="hire"), method="CANCEL")
    assert told(import_calendar(content=hire, **take)) == {"cancelled": 1}
    assert Booking.objects.count() == 3
    moved = calendar_file(WEEKLY.replace("T193000", "T190000"), method="REQUEST")
    # Its times are others now: the one that was taken back stays so, beside the new one.
    assert told(import_calendar(content=moved, **take)) == {"moved": 3, "new": 1}


def test_one_marked_cancelled_is_cancelled_and_never_known_it_is_passed_over(
    source: CalendarSource,
) -> None:
    cancelled = HIRE.replace("SUMMARY", "STATUS:CANCELLED\nSUMMARY")
    assert told(bring(source, cancelled)) == {}
    bring(source, HIRE)
    assert told(bring(source, cancelled)) == {"cancelled": 1}


def test_another_calendar_and_what_was_entered_by_hand_are_left_alone(
    source: CalendarSource,
) -> None:
    add_booking(venue=source.venue, what="dark", title="Dark", starts=NOW, by=None, at=NOW,
                ends=NOW + timedelta(days=60), leaves_accessible=["grid_empty"])  # fmt: skip
    second = add_calendar(venue=source.venue, name="Hires", address="", by=None, at=NOW)
    bring(source, WEEKLY)
    bring(second, WEEKLY)
    assert Booking.objects.count() == 9
    assert told(bring(second, HIRE)) == {"new": 1, "cancelled": 4}
    assert Booking.objects.filter(source=source).count() == 4
    assert Booking.objects.get(source=None).leaves_accessible == ["grid_empty"]


def test_what_a_person_said_outlives_the_next_import(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    bring(source, HIRE)
    (group,) = unknown_groups(source.venue, by, NOW)
    said = KindRule("", "title", "other", ("grid_empty",))
    answer_unknown(group=group, venue=source.venue, rule=said, add_rule=False, by=by, at=NOW)
    done = bring(source, HIRE.replace("20260610", "20260611"))
    assert (told(done), done.unknown) == ({"moved": 1}, 0)
    row = Booking.objects.get()
    assert (row.what, row.leaves_accessible, row.set_by_hand) == ("other", ["grid_empty"], True)


def test_a_confirmation_of_something_else_changes_nothing(source: CalendarSource) -> None:
    shown = try_calendar(source=source, content=calendar_file(WEEKLY), at=NOW)
    bring(source, HIRE)
    before = list(Booking.with_cancelled.values())
    with pytest.raises(CalendarMovedOn):
        bring(source, WEEKLY, agreed=Agreed(shown.digest()))
    assert list(Booking.with_cancelled.values()) == before


def test_a_damaged_file_changes_nothing(source: CalendarSource) -> None:
    bring(source, WEEKLY)
    before = list(Booking.with_cancelled.values())
    with pytest.raises(UnreadableCalendar):
        import_calendar(source=source, content=calendar_file(HIRE)[:-20], file_name="x", by=None,
                        at=NOW)  # fmt: skip
    assert list(Booking.with_cancelled.values()) == before


def test_the_calendar_is_complete_up_to_the_day_that_a_manager_says(source: CalendarSource) -> None:
    until = date(2026, 12, 31)
    bring(source, WEEKLY, agreed=Agreed(complete_until=until))
    assert Venue.objects.get().calendar_known_until == until
    assert '"complete_until":"2026-12-31"' in LogLine.objects.get(did="import_calendar").body
    bring(source, WEEKLY, HIRE)
    assert Venue.objects.get().calendar_known_until == until


def test_a_calendar_with_unread_entries_is_never_called_complete(source: CalendarSource) -> None:
    odd = event("DTSTART:sometime", uid="odd", title="Odd one")
    assert told(bring(source, WEEKLY, odd)) == {"new": 4}
    with pytest.raises(CannotBeComplete, match="cannot be read"):
        bring(source, WEEKLY, odd, agreed=Agreed(complete_until=date(2026, 12, 31)))
    with pytest.raises(CannotBeComplete, match="cannot be complete beyond"):
        bring(source, HIRE, agreed=Agreed(complete_until=date(2036, 1, 1)))
    assert Venue.objects.get().calendar_known_until is None
    assert Booking.objects.filter(uid="hire").count() == 0


def test_entries_that_cannot_be_read_take_back_that_all_is_entered(source: CalendarSource) -> None:
    bring(source, WEEKLY, agreed=Agreed(complete_until=date(2026, 12, 31)))
    odd = event("DTSTART:sometime", uid="odd", title="Odd one")
    assert told(bring(source, WEEKLY, odd)) == {}
    assert Venue.objects.get().calendar_known_until is None
    last = LogLine.objects.filter(did="import_calendar").last()
    assert '"complete_until":null' in last.body


def test_an_ended_calendar_takes_its_bookings_ahead_along(source: CalendarSource) -> None:
    by = make_person(source.venue, "manager")
    bring(source, WEEKLY)
    Venue.objects.update(calendar_known_until=date(2026, 12, 31))
    in_june = datetime(2026, 6, 12, 12, tzinfo=UTC)
    assert end_calendar(source=source, by=by, at=in_june) == 2
    assert end_calendar(source=source, by=by, at=in_june) == 0
    assert [state for *_, state in rows()] == ["stands", "stands", "cancelled", "cancelled"]
    # Its days are empty now; that is no reason to take them for free.
    assert Venue.objects.get().calendar_known_until is None


def test_a_season_costs_as_many_statements_as_one_week(source: CalendarSource) -> None:
    cost = []
    for count in (1, 120):
        daily = event("DTSTART:20260601T193000Z", "DURATION:PT3H", f"RRULE:FREQ=DAILY;COUNT={count}",
                      uid=f"run {count}", title="Performance")  # fmt: skip
        with CaptureQueriesContext(connection) as queries:
            bring(source, daily)
        cost.append(len(queries))
        with CaptureQueriesContext(connection) as queries:
            bring(source, daily.replace("T193000", "T203000"))
        cost.append(len(queries))
    assert max(cost[2], cost[3]) <= max(cost[0], cost[1]) + 4
