"""Exceptions, additions, replaced and cancelled occurrences of a series (RFC 5545, 3.8.4.4, 3.8.5)."""

from __future__ import annotations

from tests.venue.calendar.files import calendar_file, event, expanded, times
from venue.calendar.shapes import Expansion

SERIES = (
    "DTSTART;TZID=Europe/London:20260701T190000", "DTEND;TZID=Europe/London:20260701T220000",
    "RRULE:FREQ=WEEKLY;COUNT=4",
)  # fmt: skip


def days(found: Expansion) -> list[str]:
    return [
        f"{one.starts:%m-%d}{' cancelled' if one.cancelled else ''}" for one in found.occurrences
    ]


def test_exceptions_are_left_out_however_their_zone_is_written():
    found = expanded(
        calendar_file(
            event(*SERIES, "EXDATE;TZID=Europe/London:20260708T190000,20260715T190000",
                  "EXDATE:20260722T180000Z")
        )
    )  # fmt: skip
    assert days(found) == ["07-01"]


def test_a_day_as_exception_takes_out_no_time_of_it():
    # 3.8.5.1: an exception has the form of DTSTART. A booking too many is seen; one too few is not.
    found = expanded(calendar_file(event(*SERIES, "EXDATE;VALUE=DATE:20260708")))
    assert days(found) == ["07-01", "07-08", "07-15", "07-22"]


def test_additional_times_have_their_own_length_if_they_say_so():
    found = expanded(
        calendar_file(
            event(*SERIES[:2], "RDATE;TZID=Europe/London:20260703T140000",
                  "RDATE;VALUE=PERIOD:20260704T130000Z/PT1H,20260705T130000Z/20260705T150000Z",
                  "RDATE;TZID=Europe/London:20260701T190000")
        )
    )  # fmt: skip
    assert times(found) == [
        "2026-07-01 19:00 to 2026-07-01 22:00", "2026-07-03 14:00 to 2026-07-03 17:00",
        "2026-07-04 14:00 to 2026-07-04 15:00", "2026-07-05 14:00 to 2026-07-05 16:00",
    ]  # fmt: skip
    assert len({one.original for one in found.occurrences}) == 4


def test_a_replaced_occurrence_keeps_the_name_of_the_one_it_replaces():
    moved = event("RECURRENCE-ID:20260708T180000Z", "DTSTART;TZID=Europe/London:20260709T140000",
                  "DTEND;TZID=Europe/London:20260709T160000", title="Matinée")  # fmt: skip
    found = expanded(calendar_file(moved, event(*SERIES)))
    assert times(found)[1] == "2026-07-09 14:00 to 2026-07-09 16:00"
    assert [(one.original, one.title) for one in found.occurrences] == [
        ("20260701T180000Z", "The Salt Stair"), ("20260708T180000Z", "Matinée"),
        ("20260715T180000Z", "The Salt Stair"), ("20260722T180000Z", "The Salt Stair"),
    ]  # fmt: skip


def test_one_replaced_out_of_the_stretch_is_gone_and_one_replaced_into_it_is_there():
    out = event("RECURRENCE-ID:20260708T180000Z", "DTSTART:20280101T190000Z", "DURATION:PT1H")
    found = expanded(calendar_file(event(*SERIES), out))
    assert days(found) == ["07-01", "07-15", "07-22"]
    into = event("RECURRENCE-ID:20260722T180000Z", "DTSTART:20260702T190000Z", "DURATION:PT1H")
    found = expanded(calendar_file(event(*SERIES), into), last="2026-07-10")
    assert days(found) == ["07-01", "07-02", "07-08"]


def test_one_cancelled_occurrence_and_a_whole_cancelled_series_say_so():
    one = event("RECURRENCE-ID;TZID=Europe/London:20260708T190000", "STATUS:CANCELLED",
                "DTSTART;TZID=Europe/London:20260708T190000", "DURATION:PT3H")  # fmt: skip
    found = expanded(calendar_file(event(*SERIES), one))
    assert days(found) == ["07-01", "07-08 cancelled", "07-15", "07-22"]
    found = expanded(calendar_file(event(*SERIES, "STATUS:cancelled")))
    assert days(found) == [f"{day} cancelled" for day in ("07-01", "07-08", "07-15", "07-22")]


def test_this_and_all_later_ones_move_along():
    # 3.2.13: the override's change applies to it and all after it: two days later, an hour longer.
    later = event("RECURRENCE-ID;RANGE=THISANDFUTURE;TZID=Europe/London:20260715T190000",
                  "DTSTART;TZID=Europe/London:20260717T190000",
                  "DTEND;TZID=Europe/London:20260717T230000", title="New run")  # fmt: skip
    found = expanded(calendar_file(event(*SERIES), later))
    assert times(found) == [
        "2026-07-01 19:00 to 2026-07-01 22:00", "2026-07-08 19:00 to 2026-07-08 22:00",
        "2026-07-17 19:00 to 2026-07-17 23:00", "2026-07-24 19:00 to 2026-07-24 23:00",
    ]  # fmt: skip
    assert [one.title for one in found.occurrences][2:] == ["New run", "New run"]
    assert found.occurrences[3].original == "20260722T180000Z"


def test_a_replaced_occurrence_without_its_series_stands_alone():
    alone = event("RECURRENCE-ID:20260708T180000Z", "DTSTART:20260709T180000Z", "DURATION:PT1H")
    found = expanded(calendar_file(alone))
    assert [one.original for one in found.occurrences] == ["20260708T180000Z"]


def test_a_day_names_the_occurrence_of_that_day_in_a_series_of_times():
    named = event("RECURRENCE-ID;VALUE=DATE:20260708", "DTSTART:20260709T180000Z", "DURATION:PT1H")
    assert days(expanded(calendar_file(event(*SERIES), named))) == [
        "07-01",
        "07-09",
        "07-15",
        "07-22",
    ]


def test_days_until_a_moment_in_utc_and_times_until_a_day():
    whole = event("DTSTART;VALUE=DATE:20260701", "RRULE:FREQ=DAILY;UNTIL=20260703T225959Z", uid="a")
    timed = event(*SERIES[:2], "RRULE:FREQ=DAILY;UNTIL=20260703", uid="b", title="Timed")
    found = expanded(calendar_file(whole, timed))
    assert [one.title for one in found.occurrences].count("Timed") == 3
    assert len(found.occurrences) == 6


def test_of_two_states_of_an_entry_the_newer_counts_whatever_their_order():
    old = event("DTSTART:20260701T180000Z", "DURATION:PT1H", "SEQUENCE:1")
    new = event("DTSTART:20260702T180000Z", "DURATION:PT1H", "SEQUENCE:2")
    for order in ((old, new), (new, old)):
        assert days(expanded(calendar_file(*order))) == ["07-02"]
    stamped = event("DTSTART:20260703T180000Z", "DURATION:PT1H", "SEQUENCE:2",
                    "LAST-MODIFIED:20260501T120000Z")  # fmt: skip
    assert days(expanded(calendar_file(stamped, new))) == ["07-03"]


def test_two_entries_under_one_uid_are_both_kept_when_nothing_says_which_is_newer():
    one = event("DTSTART:20260701T180000Z", "DURATION:PT1H")
    two = event("DTSTART:20260702T180000Z", "DURATION:PT1H")
    found = expanded(calendar_file(one, two, one))
    assert days(found) == ["07-01", "07-02"]
    assert len({(one.uid, one.original) for one in found.occurrences}) == 2


def test_what_takes_place_once_keeps_its_name_when_it_moves():
    for day in ("20260701", "20260801"):
        found = expanded(calendar_file(event(f"DTSTART:{day}T180000Z", "DURATION:PT1H")))
        assert [one.original for one in found.occurrences] == [""]


def test_a_message_that_takes_back_names_the_series_or_one_occurrence():
    series = expanded(calendar_file(event(), method="CANCEL"))
    one = expanded(calendar_file(event("RECURRENCE-ID:20260708T180000Z"), method="CANCEL"))
    assert series.occurrences == one.occurrences == []
    assert series.taken_back == {("one@larkspur.example", "")}
    assert one.taken_back == {("one@larkspur.example", "20260708T180000Z")}
