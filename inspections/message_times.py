"""When a person's messages go out, by the venue's clock. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

DAILY, WEEKLY = "daily", "weekly"
LATEST = timedelta(days=2)  # a weekly message that could not go out on its day still does so then


@dataclass(frozen=True)
class Wish:
    """What a person wants: the kinds, the hour, the day of the weekly one, and the quiet hours."""

    kinds: frozenset[str] = frozenset({DAILY, WEEKLY})
    hour: int = 7
    weekday: int = 0
    quiet_from: int = 22
    quiet_until: int = 6


def is_quiet(hour: int, start: int, end: int) -> bool:
    """Whether an hour lies in the quiet ones, which may pass midnight.

    >>> is_quiet(23, 22, 6), is_quiet(6, 22, 6), is_quiet(13, 12, 14), is_quiet(5, 0, 0)
    (True, False, True, False)
    """
    if start <= end:
        return start <= hour < end
    return hour >= start or hour < end


def due_day(kind: str, wish: Wish, now: datetime) -> date | None:
    """The day whose message is due at this moment of the venue's own clock, or none.

    >>> at = datetime(2026, 11, 26, 7, 5)  # a Thursday
    >>> due_day("daily", Wish(), at), due_day("weekly", Wish(), at)
    (datetime.date(2026, 11, 26), None)
    >>> due_day("weekly", Wish(weekday=2), at), due_day("daily", Wish(hour=8), at)
    (datetime.date(2026, 11, 25), None)
    """
    if kind not in wish.kinds or is_quiet(now.hour, wish.quiet_from, wish.quiet_until):
        return None
    today = now.date()
    if kind == DAILY:
        return today if now.hour >= wish.hour else None
    day = today - timedelta(days=(today.weekday() - wish.weekday) % 7)
    return day if now.hour >= wish.hour and today - day <= LATEST else None


def is_over(kind: str, day: date, today: date) -> bool:
    """Whether a message of that day is tried no more.

    >>> today = date(2026, 11, 26)
    >>> is_over("daily", date(2026, 11, 25), today), is_over("weekly", date(2026, 11, 24), today)
    (True, False)
    """
    return today > day if kind == DAILY else today - day > LATEST


def until_quiet(wish: Wish, now: datetime) -> timedelta:
    """How long from this moment of the venue's clock until the quiet hours begin; a day where there
    are none.

    >>> at = datetime(2026, 11, 26, 7, 30, tzinfo=UTC)
    >>> until_quiet(Wish(), at), until_quiet(Wish(quiet_from=6), at)
    (datetime.timedelta(seconds=52200), datetime.timedelta(days=1))
    """
    if wish.quiet_from == wish.quiet_until:
        return timedelta(days=1)
    begins = now.replace(hour=wish.quiet_from, minute=0, second=0, microsecond=0)
    if begins <= now:
        begins += timedelta(days=1)
    # Two times of one zone are subtracted as the clock shows them, also over a day of 23 hours.
    return begins.astimezone(UTC) - now.astimezone(UTC)
