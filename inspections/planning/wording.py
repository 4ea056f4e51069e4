"""Days, half-days and money of the planner, in words. Pure."""

from __future__ import annotations

from datetime import timedelta

from inspections.planning.house import SLOTS_A_DAY, House, day_of

HALVES = ("morning", "afternoon")


def day_words(house: House, day: int) -> str:
    """A day as people write it.

    >>> from datetime import date
    >>> day_words(House(date(2027, 3, 1), (), ()), 2)
    '3 March 2027'
    """
    date = house.first_day + timedelta(days=day)
    return f"{date.day} {date:%B %Y}"


def slot_words(house: House, slot: int) -> str:
    """A half-day as people write it."""
    return f"{day_words(house, day_of(slot))}, {HALVES[slot % SLOTS_A_DAY]}"


def money_words(amount: int) -> str:
    """An amount in the larger coin, no currency named.

    >>> money_words(-95000)
    '-950.00'
    """
    sign = "-" if amount < 0 else ""
    return f"{sign}{abs(amount) // 100:,}.{abs(amount) % 100:02}"


def counted_words(count: int, one: str, many: str = "") -> str:
    """A number and its noun.

    >>> counted_words(1, "day"), counted_words(2, "day")
    ('1 day', '2 days')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"
