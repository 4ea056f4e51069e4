"""Recurrence rules beside the standard's own examples, and beside another program's answers."""

from __future__ import annotations

import json
import random
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr

from tests.venue.calendar.files import NEW_YORK, calendar_file, event, expanded
from venue.calendar.recurrence import Budget, RepeatsTooOften, TooMuchToFollow, starts
from venue.calendar.rule_reading import UnreadableRule, read_rule

PRINTED = json.loads((Path(__file__).parents[2] / "vectors" / "recurrence.json").read_text())
NINE = datetime.fromisoformat("1997-09-02T09:00")


@pytest.mark.external("printed")
@pytest.mark.parametrize("case", PRINTED["cases"], ids=lambda case: case["rule"])
def test_a_rule_gives_what_the_standard_prints(case: dict) -> None:
    zone = f";TZID={NEW_YORK}:"
    lines = [
        f"DTSTART{zone}{case['dtstart']}", "DURATION:PT10M", f"RRULE:{case['rule']}",
        *([f"EXDATE{zone}{case['exdate']}"] if "exdate" in case else []),
    ]  # fmt: skip
    last = datetime.strptime(case["first"][-1], "%Y%m%dT%H%M%S") + timedelta(days=40)  # noqa: DTZ007
    found = expanded(calendar_file(event(*lines)), "1996-01-01", f"{last:%Y-%m-%d}", NEW_YORK)
    local = [f"{o.starts.astimezone(ZoneInfo(NEW_YORK)):%Y%m%dT%H%M%S}" for o in found.occurrences]
    printed = case["first"]
    assert found.faults == []
    assert local[: len(printed)] == printed, f"{PRINTED['source']}, {case['rule']}"
    if "COUNT" in case["rule"] or "UNTIL" in case["rule"]:
        assert len(local) == len(printed)


def random_rule(draw: random.Random) -> str:
    frequency = draw.choice(["YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY"])
    parts = [f"FREQ={frequency}", f"INTERVAL={draw.randint(1, 4)}"]
    days = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]

    def some(values: list, most: int = 3) -> str:
        return ",".join(map(str, draw.sample(values, draw.randint(1, most))))

    if draw.random() < 0.4:
        parts.append(f"BYMONTH={some(list(range(1, 13)))}")
    if frequency in ("MONTHLY", "YEARLY", "DAILY") and draw.random() < 0.3:
        parts.append(f"BYMONTHDAY={some([*range(1, 32), *range(-5, 0)], 6)}")
    if frequency == "YEARLY" and draw.random() < 0.2:
        parts.append(f"BYYEARDAY={some([*range(1, 367), *range(-20, 0)])}")
    if draw.random() < 0.5:
        ordinal = frequency in ("MONTHLY", "YEARLY") and draw.random() < 0.5
        found = draw.sample(days, draw.randint(1, 3))
        signs = [draw.choice(["1", "2", "-1", "5"]) if ordinal else "" for _ in found]
        parts.append("BYDAY=" + ",".join(map("".join, zip(signs, found, strict=True))))
        # Without a day of the week a week by number is read otherwise there: see below.
        if frequency == "YEARLY" and not ordinal and draw.random() < 0.4:
            parts.append(f"BYWEEKNO={some([1, 2, 20, 52, 53, -1, -2], 4)}")
    if draw.random() < 0.3:
        parts.append(f"BYHOUR={some(list(range(24)))}")
    if draw.random() < 0.2:
        parts.append(f"BYMINUTE={some([0, 15, 30, 45])}")
    if frequency in ("MONTHLY", "YEARLY") and len(parts) > 2 and draw.random() < 0.3:
        parts.append(f"BYSETPOS={some([1, 2, -1, -2], 2)}")
    return ";".join([*parts, f"WKST={draw.choice(days)}"])


@pytest.mark.external("independent program")
def test_two_hundred_random_rules_give_what_dateutil_gives() -> None:
    """dateutil 4.0.0. It does not give a first day that the rule does not give; we always do, as
    the standard's own example of every Friday the 13th does. It counts positions (BYSETPOS) of the
    first week from its first day on, and reads a week by number alone as all seven days; those two
    are tried by hand below."""
    draw, compared, moments, empty = random.Random(5545), 0, 0, 0
    while compared < 200:
        text = random_rule(draw)
        first = NINE + timedelta(days=draw.randint(0, 1500))
        fine = "MINUTELY" in text or "HOURLY" in text
        last = first + timedelta(days=5 if fine else 900)
        ours = list(starts(read_rule(text), first, last))
        empty += len(ours) == 1
        if len(ours) == 1 and (fine or "DAILY" in text or empty > 12):
            continue  # for a rule that gives nothing it looks up to the year 9999
        try:
            theirs = list(rrulestr(text, dtstart=first).between(first, last))
        except ValueError:
            continue  # it refuses a rule that can never give anything
        assert [t for t in ours[1:] if t < last] == theirs, (text, first)
        compared, moments = compared + 1, moments + len(ours)
    print(f"{compared} rules, {moments} moments")
    assert moments > 4_000


def test_positions_are_counted_in_the_whole_first_week() -> None:
    # RFC 5545, 3.3.10: the set begins with the interval. Monday 26, Friday 30 October, Sunday 1
    # November 1998 are the week; the second of them is Friday although the entry begins Wednesday.
    rule = read_rule("FREQ=WEEKLY;INTERVAL=4;BYDAY=FR,MO,SU;BYSETPOS=2;WKST=MO")
    found = list(
        starts(
            rule, datetime.fromisoformat("1998-10-28T09:00"), datetime.fromisoformat("1998-12-01")
        )
    )
    assert [f"{day:%m-%d}" for day in found] == ["10-28", "10-30", "11-27"]


def test_a_week_by_number_alone_takes_its_weekday_from_the_first_day() -> None:
    # RFC 5545, 3.3.10: information not in the rule is taken from DTSTART. 2 Sep 1997: a Tuesday.
    found = starts(read_rule("FREQ=YEARLY;BYWEEKNO=20"), NINE, datetime.fromisoformat("1999-12-31"))
    assert [f"{day:%Y-%m-%d %a}" for day in found] == [
        "1997-09-02 Tue", "1998-05-12 Tue", "1999-05-18 Tue",
    ]  # fmt: skip


def test_a_rule_that_never_gives_a_day_ends() -> None:
    for text in ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30"):
        assert list(starts(read_rule(text), NINE, datetime.fromisoformat("2030-01-01"))) == [NINE]


def test_a_rule_of_every_second_is_refused_in_words_and_in_time() -> None:
    with pytest.raises(RepeatsTooOften, match="too often"):
        list(
            starts(
                read_rule("FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30"),
                NINE,
                datetime.fromisoformat("2030-01-01"),
            )
        )
    every = ",".join(map(str, range(60)))
    dense = read_rule(f"FREQ=DAILY;BYMINUTE={every};BYSECOND={every}")
    with pytest.raises(TooMuchToFollow):
        list(starts(dense, NINE, datetime.fromisoformat("2030-01-01"), Budget(100_000)))


def test_years_that_are_looked_through_for_nothing_are_counted_for_their_days() -> None:
    """A small file of such rules held the reader for minutes: each year counted as one step."""
    first, end = datetime.fromisoformat("1900-05-01T09:00"), datetime.fromisoformat("2030-01-01")
    never = read_rule("FREQ=YEARLY;BYYEARDAY=366;BYMONTHDAY=1")
    budget = Budget(3_000)
    with pytest.raises(TooMuchToFollow):
        list(starts(never, first, end, budget))
    birthday, budget = read_rule("FREQ=YEARLY"), Budget(3_000)
    assert len(list(starts(birthday, first, end, budget))) == 130
    assert budget.left > 2_000


def test_what_a_rule_says_twice_is_given_and_counted_once() -> None:
    rule = read_rule("FREQ=DAILY;COUNT=3;BYHOUR=9,9;BYDAY=TU,TU,WE")
    assert [f"{day:%-d %H}" for day in starts(rule, NINE, NINE + timedelta(90))] == [
        "2 09", "3 09", "9 09",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["FREQ=FORTNIGHTLY", "INTERVAL=2", "FREQ=DAILY;INTERVAL=0", "FREQ=DAILY;COUNT=x",
     "FREQ=DAILY;COUNT=2;UNTIL=20270101", "FREQ=DAILY;BYDAY=1MO", "FREQ=WEEKLY;BYMONTHDAY=3",
     "FREQ=MONTHLY;BYWEEKNO=3", "FREQ=DAILY;BYHOUR=24", "FREQ=DAILY;UNTIL=soon", "FREQ=DAILY;X=1",
     "FREQ=DAILY;FREQ=WEEKLY", "FREQ=MONTHLY;BYDAY=60MO", "FREQ=DAILY;BYSETPOS=0", "", "BYDAY"],
)  # fmt: skip
def test_a_rule_that_is_not_understood_is_refused_and_never_half_read(text: str) -> None:
    with pytest.raises(UnreadableRule):
        read_rule(text)


def test_a_count_does_not_count_a_time_that_the_clock_jumps_over() -> None:
    # RFC 5545, 3.3.10: a nonexistent local time is ignored and not counted. In London the clocks
    # jump from 01:00 to 02:00 on 28 March 2027.
    found = expanded(
        calendar_file(event("DTSTART;TZID=Europe/London:20270326T013000", "DURATION:PT1H",
                            "RRULE:FREQ=DAILY;COUNT=4")), "2027-03-01", "2027-04-30",
    )  # fmt: skip
    assert [f"{one.starts:%d %H:%M}" for one in found.occurrences] == [
        "26 01:30", "27 01:30", "29 00:30", "30 00:30",
    ]  # fmt: skip
    assert all(one.starts.tzinfo == UTC for one in found.occurrences)
