"""When in its day a task is planned: in words, and by the clock. Pure."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from inspections.board_grid import AFTERNOON, MORNING
from inspections.held_half_days import Hours

HALF_WORDS = {MORNING: "morning", AFTERNOON: "afternoon", "": ""}


def half_words(half: str, half_days: int = 1) -> str:
    """As the year board says it.

    >>> half_words("am"), half_words("pm", 2), half_words("")
    ('morning', 'afternoon, takes 2 half-days', '')
    """
    words = HALF_WORDS[half]
    return f"{words}, takes {half_days} half-days" if words and half_days > 1 else words


def clock_times(
    day: date, half: str, half_days: int, hours: Hours, zone: ZoneInfo
) -> tuple[datetime, datetime] | None:
    """From when until when by the house's clock; none where nobody said which half, or where the
    work goes on into another day: nobody is at it at night.

    >>> hours, london = Hours(8, 13, 18), ZoneInfo("Europe/London")
    >>> begins, ends = clock_times(date(2026, 5, 4), "am", 1, hours, london)
    >>> begins.isoformat(), ends.isoformat()
    ('2026-05-04T08:00:00+01:00', '2026-05-04T13:00:00+01:00')
    >>> clock_times(date(2026, 5, 4), "pm", 2, hours, london) is None
    True
    """
    if half == MORNING and half_days <= 2:
        first, last = hours.morning, hours.noon if half_days == 1 else hours.evening
    elif half == AFTERNOON and half_days == 1:
        first, last = hours.noon, hours.evening
    else:
        return None
    midnight = datetime.combine(day, time())
    begins, ends = (
        (midnight + timedelta(hours=hour)).replace(tzinfo=zone) for hour in (first, last)
    )
    return begins, ends
