"""Zones, clock changes, days and lengths, worked out by hand beside the clauses of RFC 5545."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tests.venue.calendar.files import NEW_YORK, calendar_file, event, expanded, times
from venue.calendar.instants import instant

HARBOUR_TIME = """
    BEGIN:VTIMEZONE
    TZID:Harbour time
    BEGIN:STANDARD
    DTSTART:20201101T020000
    RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU
    TZOFFSETFROM:{summer}
    TZOFFSETTO:{winter}
    END:STANDARD
    BEGIN:DAYLIGHT
    DTSTART:20200308T020000
    RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU
    TZOFFSETFROM:{winter}
    TZOFFSETTO:{summer}
    END:DAYLIGHT
    END:VTIMEZONE
"""


@pytest.mark.external("printed")
def test_a_time_that_comes_twice_is_the_first_and_one_that_never_comes_is_read_before_the_jump():
    """RFC 5545, 3.3.5, form 3: 1:30 A.M. EDT (UTC-04:00) on 4 November 2007, and 3:30 A.M. EDT
    (UTC-04:00) for the 2:30 of 11 March 2007."""
    new_york = ZoneInfo(NEW_YORK)
    twice = instant(datetime.fromisoformat("2007-11-04T01:30"), new_york)
    never = instant(datetime.fromisoformat("2007-03-11T02:30"), new_york)
    assert twice == datetime(2007, 11, 4, 5, 30, tzinfo=UTC)
    assert never == datetime(2007, 3, 11, 7, 30, tzinfo=UTC)
    assert f"{never.astimezone(new_york):%H:%M %z}" == "03:30 -0400"


def test_a_weekly_evening_keeps_its_hour_over_the_clock_change():
    # London: UTC+1 until 25 October 2026, 02:00; then UTC.
    found = expanded(
        calendar_file(
            event("DTSTART;TZID=Europe/London:20261018T193000",
                  "DTEND;TZID=Europe/London:20261018T223000", "RRULE:FREQ=WEEKLY;COUNT=3")
        )
    )  # fmt: skip
    assert [f"{one.starts:%m-%d %H:%M}" for one in found.occurrences] == [
        "10-18 18:30", "10-25 19:30", "11-01 19:30",
    ]  # fmt: skip
    assert times(found) == [
        "2026-10-18 19:30 to 2026-10-18 22:30", "2026-10-25 19:30 to 2026-10-25 22:30",
        "2026-11-01 19:30 to 2026-11-01 22:30",
    ]  # fmt: skip


def test_an_end_keeps_the_exact_length_and_a_duration_of_days_the_clock():
    # 3.8.5.3: DTEND gives the same exact duration (here 24 h), DURATION the same nominal one.
    # The night of 27 to 28 March 2027 has an hour less in London.
    ends = event("DTSTART;TZID=Europe/London:20270320T120000", "DTEND;TZID=Europe/London:20270321T120000",
                 "RRULE:FREQ=WEEKLY;COUNT=2", uid="end")  # fmt: skip
    found = expanded(calendar_file(ends), "2027-03-01", "2027-04-30")
    assert times(found)[1] == "2027-03-27 12:00 to 2027-03-28 13:00"
    lasts = event("DTSTART;TZID=Europe/London:20271030T120000", "DURATION:P1D", uid="days")
    found = expanded(calendar_file(lasts), "2027-03-01", "2027-11-30")
    # The night of 30 to 31 October 2027 has an hour more: noon to noon is 25 hours.
    assert times(found) == ["2027-10-30 12:00 to 2027-10-31 12:00"]


def test_a_zone_that_the_file_describes_itself_is_that_files_alone():
    lines = ("DTSTART;TZID=Harbour time:20260701T190000", "DURATION:PT3H")
    west = calendar_file(HARBOUR_TIME.format(winter="-0500", summer="-0400"), event(*lines))
    east = calendar_file(event(*lines), HARBOUR_TIME.format(winter="+0200", summer="+0300"))
    none = calendar_file(event(*lines))
    assert times(expanded(west), "UTC") == ["2026-07-01 23:00 to 2026-07-02 02:00"]
    assert times(expanded(east), "UTC") == ["2026-07-01 16:00 to 2026-07-01 19:00"]
    found = expanded(none)
    assert times(found) == ["2026-07-01 19:00 to 2026-07-01 22:00"]
    assert found.occurrences[0].notes == (
        "the time zone “Harbour time” is not known; the house's own is taken",
    )


def test_a_recurrence_in_a_zone_of_the_files_own_follows_its_clock_changes():
    content = calendar_file(
        HARBOUR_TIME.format(winter="-0500", summer="-0400"),
        event("DTSTART;TZID=Harbour time:20261031T120000", "DURATION:PT2H",
              "RRULE:FREQ=DAILY;COUNT=3"),
    )  # fmt: skip
    # Its clocks go back on the first Sunday of November, the 1st, at two in the morning.
    assert times(expanded(content), "UTC") == [
        "2026-10-31 16:00 to 2026-10-31 18:00", "2026-11-01 17:00 to 2026-11-01 19:00",
        "2026-11-02 17:00 to 2026-11-02 19:00",
    ]  # fmt: skip


def test_zone_names_of_an_office_program_are_known():
    content = calendar_file(
        event("DTSTART;TZID=W. Europe Standard Time:20260701T190000", "DURATION:PT1H")
    )
    assert times(expanded(content), "UTC") == ["2026-07-01 17:00 to 2026-07-01 18:00"]


def test_a_floating_time_and_a_day_are_on_the_clock_of_the_house():
    floating = event("DTSTART:20260701T190000", "DTEND:20260701T220000", uid="floating")
    day = event("DTSTART;VALUE=DATE:20260703", uid="day", title="Dark")
    days = event("DTSTART;VALUE=DATE:20260705", "DTEND;VALUE=DATE:20260708", uid="days")
    same = event("DTSTART;VALUE=DATE:20260710", "DTEND;VALUE=DATE:20260710", uid="same")
    for zone in ("Europe/London", "Pacific/Auckland", NEW_YORK):
        found = expanded(calendar_file(floating, day, days, same), zone=zone)
        assert times(found, zone) == [
            "2026-07-01 19:00 to 2026-07-01 22:00", "2026-07-03 00:00 to 2026-07-04 00:00",
            "2026-07-05 00:00 to 2026-07-08 00:00", "2026-07-10 00:00 to 2026-07-11 00:00",
        ]  # fmt: skip
        assert [one.all_day for one in found.occurrences] == [False, True, True, True]


def test_a_whole_day_at_the_clock_change_is_from_midnight_to_midnight():
    content = calendar_file(event("DTSTART;VALUE=DATE:20270328", "DURATION:P1D"))
    (one,) = expanded(content).occurrences
    assert (one.ends - one.starts).total_seconds() == 23 * 3600
    assert times(expanded(content)) == ["2027-03-28 00:00 to 2027-03-29 00:00"]


def test_what_has_no_end_or_ends_before_it_starts_holds_the_house_until_midnight():
    no_end = event("DTSTART;TZID=Europe/London:20260701T190000", uid="none")
    same = event("DTSTART:20260702T180000Z", "DTEND:20260702T180000Z", uid="same")
    wrong = event("DTSTART:20260703T180000Z", "DTEND:20260703T080000Z", uid="wrong")
    broken = event("DTSTART:20260704T180000Z", "DTEND:2026-07-04", uid="broken")
    found = expanded(calendar_file(no_end, same, wrong, broken))
    assert [time[-16:] for time in times(found)] == [
        "2026-07-02 00:00", "2026-07-03 00:00", "2026-07-04 00:00", "2026-07-05 00:00",
    ]  # fmt: skip
    assert [one.notes[0].split(";")[0] for one in found.occurrences] == [
        "no end is given", "no end is given", "it ends before it starts",
        "its DTEND cannot be read and is passed over",
    ]  # fmt: skip


def test_a_stretch_of_time_holds_what_reaches_into_it():
    before = event("DTSTART:20260531T200000Z", "DTEND:20260601T030000Z", uid="into")
    gone = event("DTSTART:20260531T200000Z", "DTEND:20260531T220000Z", uid="gone")
    long_ago = event("DTSTART:20190107T200000Z", "DTEND:20190107T220000Z", "RRULE:FREQ=WEEKLY",
                     uid="weekly")  # fmt: skip
    found = expanded(calendar_file(before, gone, long_ago), "2026-06-01", "2026-06-14")
    assert [(one.uid, f"{one.starts:%m-%d}") for one in found.occurrences] == [
        ("into", "05-31"), ("weekly", "06-01"), ("weekly", "06-08"),
    ]  # fmt: skip
