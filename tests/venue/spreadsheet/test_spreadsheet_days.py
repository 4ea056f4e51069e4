"""Days as people write them: what may be two days is never guessed."""

from __future__ import annotations

from datetime import date

import pytest

from venue.spreadsheet.days import (
    DAY_FIRST,
    MONTH_FIRST,
    names_a_day,
    order_shown,
    read_day,
    read_last_day,
)

TODAY = date(2026, 11, 26)
MONTH_OR_YEAR = ("Sept 2025", "marzo de 2025", "03/2025", "2025-03", "2025")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2019-04-03", date(2019, 4, 3)),
        ("2019/4/3", date(2019, 4, 3)),
        ("3.4.2019", date(2019, 4, 3)),
        ("3 April 2019", date(2019, 4, 3)),
        ("3rd Apr 2019", date(2019, 4, 3)),
        ("April 3, 2019", date(2019, 4, 3)),
        ("23/04/2019", date(2019, 4, 23)),
        ("04/23/2019", date(2019, 4, 23)),
        ("5/5/98", date(1998, 5, 5)),
        ("29/02/2024", date(2024, 2, 29)),
        ("2019-04-03 00:00:00", date(2019, 4, 3)),
    ],
)
def test_a_day_that_can_be_only_one_is_read(text: str, day: date) -> None:
    assert read_day(text, "", TODAY).day == day


def test_a_day_that_may_be_two_is_both_until_somebody_says() -> None:
    read = read_day("03/04/2019", "", TODAY)
    assert (read.day, read.either) == (None, (date(2019, 4, 3), date(2019, 3, 4)))
    assert read_day("03/04/2019", DAY_FIRST, TODAY).day == date(2019, 4, 3)
    assert read_day("03/04/2019", MONTH_FIRST, TODAY).day == date(2019, 3, 4)


@pytest.mark.parametrize(
    "text", ["30/02/2019", "2019-13-01", "soon", "1998", "3 Foo 2019", "01/01/2027", "1/2/1700", ""]
)
def test_what_is_no_day_of_the_past_is_refused_with_a_reason(text: str) -> None:
    read = read_day(text, "", TODAY)
    assert read.day is None
    assert read.either is None
    assert read.fault


def test_one_day_of_a_column_shows_how_the_others_are_meant() -> None:
    assert order_shown(["03/04/2019", "23/04/2019"], TODAY) == DAY_FIRST
    assert order_shown(["03/04/2019", "04/23/2019"], TODAY) == MONTH_FIRST
    assert order_shown(["03/04/2019", "05/06/2019"], TODAY) == ""
    assert order_shown(["23/04/2019", "04/23/2019"], TODAY) == "", "in two minds"


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("3. März 2025", date(2025, 3, 3)), ("Mo, 03.03.2025", date(2025, 3, 3)),
        ("3 de marzo de 2025", date(2025, 3, 3)), ("lunes 3 de marzo del 2025", date(2025, 3, 3)),
        ("8 ene. 2026", date(2026, 1, 8)), ("1. Mai 2025", date(2025, 5, 1)),
        ("12-Mar-25", date(2025, 3, 12)), ("12/dic/2024", date(2024, 12, 12)),
        ("12.03.2025 08:30", date(2025, 3, 12)), ("2025-03-12T14:30:00", date(2025, 3, 12)),
        ("Sept 2025", date(2025, 9, 1)), ("marzo de 2025", date(2025, 3, 1)),
        ("03/2025", date(2025, 3, 1)), ("2025-03", date(2025, 3, 1)), ("2025", date(2025, 1, 1)),
    ],
)  # fmt: skip
def test_the_day_of_a_last_look_is_read_as_people_write_it(text: str, day: date) -> None:
    assert read_last_day(text, "", TODAY).day == day
    assert names_a_day(text) == (text not in MONTH_OR_YEAR)


@pytest.mark.parametrize(
    "text", ["5.5.1926", "12/03/27", "03.27", "45992", "31.11.2025", "2027", "12/2026", "Ma 3 2025"]
)
def test_what_cannot_be_the_day_of_a_last_look_is_refused(text: str) -> None:
    read = read_last_day(text, DAY_FIRST, TODAY)
    assert (read.day, read.either, bool(read.fault)) == (None, None, True)


def test_two_digits_of_a_year_soon_to_come_are_a_day_ahead_and_not_of_the_last_century() -> None:
    assert read_last_day("12/03/27", DAY_FIRST, TODAY).ahead == date(2027, 3, 12)
    assert read_last_day("12/03/1927", DAY_FIRST, TODAY).ahead is None
    assert read_last_day("12/03/75", DAY_FIRST, TODAY).ahead is None


def test_that_one_of_two_days_lies_ahead_does_not_decide_between_them() -> None:
    read = read_day("03/12/2026", "", TODAY)
    assert read.either == (date(2026, 12, 3), date(2026, 3, 12))
    assert read_day("03/12/2026", DAY_FIRST, TODAY).fault == "lies in the future"
