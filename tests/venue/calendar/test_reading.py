"""What comes as a calendar file and is none, or is damaged, is refused in a sentence."""

from __future__ import annotations

import pytest

from tests.venue.calendar.files import calendar_file, event, expanded
from tests.venue.calendar.test_times import HARBOUR_TIME
from venue.calendar.reading import MAX_BYTES, read_calendar
from venue.calendar.shapes import UnreadableCalendar

ONE = event("DTSTART:20260701T180000Z", "DURATION:PT1H")
WHOLE = calendar_file(ONE, event("DTSTART:20260702T180000Z", "DURATION:PT1H", uid="two"))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"  \r\n", "is empty"),
        (b"<!doctype html><title>Sign in</title>", "page to sign in"),
        (b"From,To,Title\n1,2,3", "no calendar file"),
        ("BEGIN:VCALENDAR\nSUMMARY:Matinée\nEND:VCALENDAR".encode("latin-1"), "not UTF-8"),
        (b"\x00\xff\xfe", "not UTF-8"),
        (WHOLE[: len(WHOLE) // 2], "cut off"),
        (WHOLE.replace(b"END:VEVENT\r\n", b"", 1), "damaged"),
        (b"BEGIN:VCALENDAR\r\nnonsense\r\nEND:VCALENDAR", "damaged"),
        (WHOLE + b" " * MAX_BYTES, "at most 5 MB"),
    ],
)
def test_what_cannot_be_read_is_refused_whole(content: bytes, words: str) -> None:
    with pytest.raises(UnreadableCalendar, match=words):
        read_calendar(content)


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (["DURATION:PT1H"], "DTSTART"),
        (["DTSTART:sometime"], "DTSTART"),
        (["DTSTART 20260701"], "DTSTART"),
        (["DTSTART:20261341T250000Z"], "DTSTART"),
        (["DTSTART:20260701T180000Z", "RRULE:FREQ=FORTNIGHTLY"], "FORTNIGHTLY"),
        (["DTSTART:20260701T180000Z", "RRULE:FREQ=WEEKLY;BYEASTER=1"], "BYEASTER"),
        (["DTSTART:20260701T180000Z", "RRULE:FREQ=SECONDLY"], "too often"),
        (["DTSTART:20260701T180000Z", "RDATE:tomorrow"], "RDATE"),
        (["DTSTART:20260701T180000Z", "RECURRENCE-ID:then"], "RECURRENCE-ID"),
    ],
)
def test_an_entry_that_cannot_be_placed_is_told_and_the_others_are_read(
    lines: list[str], words: str
) -> None:
    found = expanded(calendar_file(event(*lines, uid="odd", title="Odd one"), ONE))
    assert [one.uid for one in found.occurrences] == ["one@larkspur.example"]
    assert [(fault.title, words in fault.words) for fault in found.faults] == [("Odd one", True)]


def test_a_zone_whose_clocks_change_every_second_is_refused_at_once():
    strange = HARBOUR_TIME.format(winter="-0500", summer="-0400").replace(
        "FREQ=YEARLY;BYMONTH=11;BYDAY=1SU", "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30", 1
    )
    with pytest.raises(UnreadableCalendar, match="time zone in the file is damaged"):
        read_calendar(calendar_file(strange, ONE))


def test_an_entry_without_uid_is_told():
    content = calendar_file(ONE.replace("UID:one@larkspur.example\n", ""))
    assert [fault.words[:14] for fault in read_calendar(content).faults] == ["it has no UID,"]


def test_text_is_unescaped_unfolded_and_cut_to_a_length():
    folded = calendar_file(
        event("DTSTART:20260701T180000Z", "DURATION:PT1H", "LOCATION:Scene dock\\, north\\; door 2",
              "CATEGORIES:Get-in,Touring", title="Brass and Bunt§ing\\nsecond line")
    ).replace("§".encode(), b"\r\n ")  # fmt: skip
    (one,) = expanded(folded).occurrences
    assert one.title == "Brass and Bunting second line"
    assert one.location == "Scene dock, north; door 2"
    assert one.categories == "Get-in, Touring"
    long = calendar_file(event("DTSTART:20260701T180000Z", uid="x" * 900, title="y" * 900))
    (one,) = expanded(long).occurrences
    assert (len(one.title), len(one.uid)) == (200, 200)


def test_a_mark_at_the_beginning_and_bare_line_ends_do_no_harm():
    content = b"\xef\xbb\xbf" + WHOLE.replace(b"\r\n", b"\n")
    assert len(expanded(content).occurrences) == 2


def test_several_calendars_in_one_file_and_what_is_no_booking():
    todo = "BEGIN:VTODO\nUID:t\nSUMMARY:Order gel\nEND:VTODO"
    found = read_calendar(
        calendar_file(ONE, todo) + calendar_file(event("DTSTART:20260702T180000Z"))
    )
    assert len(found.entries) == 2
    assert found.passed_over["to-do"] == 1


def test_more_than_five_thousand_bookings_are_refused_in_words():
    every_hour = event("DTSTART:20260601T000000Z", "DURATION:PT1H", "RRULE:FREQ=HOURLY")
    with pytest.raises(UnreadableCalendar, match="more than 5,000 bookings"):
        expanded(calendar_file(every_hour), "2026-06-01", "2027-06-30")


def test_only_a_published_calendar_is_whole():
    assert read_calendar(WHOLE).is_whole
    assert read_calendar(calendar_file(ONE, method="PUBLISH")).is_whole
    for method in ("REQUEST", "CANCEL", "ADD"):
        assert not read_calendar(calendar_file(ONE, method=method)).is_whole
