"""Which days are left to each of several spans when those before it come first. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

Span = tuple[date, date]
A_DAY = timedelta(days=1)


def days_left(spans: Sequence[Span]) -> list[list[Span]]:
    """Both ends of a span belong to it.

    >>> year, rest = (date(2027, 1, 1), date(2027, 12, 31)), (date(2027, 6, 1), date(2027, 8, 31))
    >>> [(f"{first:%j}", f"{last:%j}") for first, last in days_left([rest, year])[1]]
    [('001', '151'), ('244', '365')]
    """
    return [_without(span, spans[:number]) for number, span in enumerate(spans)]


def _without(span: Span, taken: Sequence[Span]) -> list[Span]:
    left = [span]
    for first, last in taken:
        left = [
            part
            for begin, end in left
            for part in ((begin, min(end, first - A_DAY)), (max(begin, last + A_DAY), end))
            if part[0] <= part[1]
        ]
    return left
