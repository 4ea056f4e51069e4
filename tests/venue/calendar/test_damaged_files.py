"""However a calendar file is damaged, it is read or refused in words; nothing else happens."""

from __future__ import annotations

import random

from tests.venue.calendar.files import calendar_file, event, expanded
from tests.venue.calendar.test_times import HARBOUR_TIME
from venue.calendar.shapes import UnreadableCalendar

WHOLE = calendar_file(
    HARBOUR_TIME.format(winter="-0500", summer="-0400"),
    event("DTSTART;TZID=Harbour time:20260701T190000", "DURATION:PT3H",
          "RRULE:FREQ=WEEKLY;UNTIL=20261231T000000Z;BYDAY=WE,FR",
          "EXDATE;TZID=Harbour time:20260708T190000", "RDATE:20260709T190000Z"),
    event("RECURRENCE-ID;RANGE=THISANDFUTURE:20260715T230000Z", "DTEND:20260716T010000Z",
          "DTSTART:20260715T220000Z", "LOCATION:Scene dock\\, north", "SEQUENCE:3"),
    event("DTSTART;VALUE=DATE:20261224", "DTEND;VALUE=DATE:20261227", uid="dark", title="Dark"),
)  # fmt: skip


def test_six_hundred_damaged_files_are_read_or_refused_in_words() -> None:
    draw, read, refused = random.Random(26), 0, 0
    for _ in range(600):
        content = bytearray(WHOLE)
        for _ in range(draw.randint(1, 4)):
            place = draw.randrange(len(content))
            if draw.random() < 0.3:
                del content[place : place + draw.randint(1, 30)]
            else:
                content[place] = draw.choice(b"0123456789-:;,=TZ \r\nAX\xff\x00")
        try:
            found = expanded(bytes(content))
            read += 1
            assert all(one.ends > one.starts for one in found.occurrences)
        except UnreadableCalendar:
            refused += 1
    print(f"{read} read, {refused} refused")
    assert read > 200
    assert refused > 50
