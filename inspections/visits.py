"""From where on a person is told what changed. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

LEFT_AFTER = timedelta(minutes=30)
NOTED_EVERY = timedelta(minutes=10)


@dataclass(frozen=True)
class Visit:
    """`seen`: the last line of the log they have seen, and when. `here`: the last one there was when they
    last looked, and when that was."""

    seen_line: int
    seen_at: datetime
    here_line: int
    here_at: datetime


def looked(before: Visit | None, line: int, now: datetime) -> Visit:
    """How it stands when they look at the page. Whoever was away for half an hour has seen what there was
    then; whoever looks again sooner is told the same and what came since. The first look starts with nothing.

    >>> at = datetime(2026, 5, 4, 12, 0)
    >>> first = looked(None, 7, at)
    >>> soon = looked(first, 9, at + timedelta(minutes=20))
    >>> soon.seen_line, soon.here_line
    (7, 9)
    >>> looked(soon, 30, at + timedelta(minutes=51)).seen_line
    9
    """
    if before is None:
        return Visit(line, now, line, now)
    away = now - before.here_at
    if away > LEFT_AFTER:
        return Visit(before.here_line, before.here_at, line, now)
    if away >= NOTED_EVERY:
        return Visit(before.seen_line, before.seen_at, line, now)
    return before
