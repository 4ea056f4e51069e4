"""When an interval falls due, beside RFC 5545 where the two agree and where they must not."""

import json
from datetime import date
from itertools import islice
from pathlib import Path

import pytest

from inspections.calendar_rules import (
    UnreadableInterval,
    due_date,
    occurrences,
    read_interval,
    shift_back,
)

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "intervals.json").read_text())
FAR = date(2100, 1, 1)


def first_days(anchor: date, interval: str, count: int) -> list[date]:
    return list(islice(occurrences(anchor, interval, FAR), count))


def test_days_and_weeks_fall_as_the_calendar_standard_prints_them():
    group = VECTORS["agree_with_rfc5545"]
    assert len(group["cases"]) == 4
    for case in group["cases"]:
        printed = [date.fromisoformat(day) for day in case["first_dates"]]
        found = first_days(date.fromisoformat(case["anchor"]), case["interval"], len(printed))
        assert found == printed, f"{group['source']}, {case['rule']}"


def test_a_month_without_the_day_is_clamped_where_the_calendar_standard_leaves_it_out():
    case = VECTORS["differ_from_rfc5545"]
    standard = [date.fromisoformat(day) for day in case["rfc5545_days_on_the_30th"]]
    ours = first_days(date.fromisoformat(case["anchor"]), case["interval"], 3)
    assert ours == [standard[0], date(2007, 2, 28), standard[1]]


def test_the_next_due_day_is_as_worked_by_hand():
    cases = VECTORS["next_due"]["cases"]
    assert len(cases) == 3
    for case in cases:
        due = due_date(date.fromisoformat(case["anchor"]), case["interval"], 1)
        assert due == date.fromisoformat(case["due"]), case["name"]


def test_a_leap_day_comes_back_in_the_next_leap_year():
    due = [due_date(date(2024, 2, 29), "P1Y", k) for k in range(5)]
    assert due == [
        date(2024, 2, 29),
        date(2025, 2, 28),
        date(2026, 2, 28),
        date(2027, 2, 28),
        date(2028, 2, 29),
    ]


def test_the_end_of_the_month_is_counted_from_the_anchor_not_from_the_short_month():
    assert first_days(date(2025, 1, 31), "P1M", 4) == [
        date(2025, 1, 31),
        date(2025, 2, 28),
        date(2025, 3, 31),
        date(2025, 4, 30),
    ]


def test_an_interval_from_31_december_crosses_the_year():
    assert due_date(date(2025, 12, 31), "P1D", 1) == date(2026, 1, 1)
    assert due_date(date(2025, 12, 31), "P2M", 1) == date(2026, 2, 28)
    assert due_date(date(2025, 12, 31), "P1Y", 1) == date(2026, 12, 31)


def test_a_slack_of_nothing_leaves_the_day_where_it_is():
    assert due_date(date(2025, 5, 4), "P0D", 1) == date(2025, 5, 4)
    assert shift_back(date(2025, 5, 4), "P0D") == date(2025, 5, 4)


def test_shifting_back_is_clamped_too():
    assert shift_back(date(2024, 3, 31), "P1M") == date(2024, 2, 29)
    assert shift_back(date(2025, 1, 3), "P7D") == date(2024, 12, 27)


@pytest.mark.parametrize(
    "text", ["", "1M", "P", "P1", "PM", "P1.5M", "P-1M", "P1Y6M", "PT0S", "p1m", "P1M ", "P١M"]
)
def test_what_is_not_an_interval_is_refused_with_its_text(text: str):
    with pytest.raises(UnreadableInterval, match=r"is not an interval"):
        read_interval(text)


def test_an_interval_of_nothing_never_comes_round():
    with pytest.raises(UnreadableInterval, match="never comes round"):
        next(occurrences(date(2025, 1, 1), "P0D", FAR))


def test_a_day_outside_the_calendar_is_an_error_and_not_a_wrong_day():
    with pytest.raises(OverflowError):
        due_date(date(9999, 1, 1), "P1Y", 1)
    with pytest.raises(OverflowError):
        shift_back(date(1, 1, 1), "P1M")
    with pytest.raises(ValueError, match="forwards"):
        due_date(date(2025, 1, 1), "P1M", -1)
