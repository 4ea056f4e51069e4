"""How a report prints the dates and states of its content."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime

from django import template
from django.utils.dateformat import format as written

from inspections.reports import words
from inspections.reports.matter import CheckDone
from venue.language_now import day_form, said

register = template.Library()
TIME_AT_END = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d(?=\)?$)")
register.filter("mark_name", words.mark_name)


@register.filter
def state_words(state: str) -> str:
    return said(words.state_words(state))


@register.filter
def day_words(text: str) -> str:
    """An ISO date with the month in words, so that nobody swaps day and month.

    >>> day_words("2026-03-04"), day_words("")
    ('4 March 2026', '')
    """
    return written(date.fromisoformat(text), day_form("j F Y")) if text else ""


@register.filter
def short_day(text: str) -> str:
    """The same with the month cut short, for a narrow column.

    >>> short_day("2026-09-04"), short_day("")
    ('4 Sep 2026', '')
    """
    return written(date.fromisoformat(text), day_form("j M Y")) if text else ""


@register.filter
def one_line(text: str) -> str:
    """
    >>> one_line("4 Quay Row\\nTern Harbour")
    '4 Quay Row, Tern Harbour'
    """
    return ", ".join(line.strip() for line in text.splitlines() if line.strip())


@register.filter
def unbroken(text: str) -> str:
    """A figure stays in one line with its sign.

    >>> unbroken("limit 6 %") == "limit 6\\u00a0%"
    True
    """
    return text.replace(" %", "\u00a0%")


@register.filter
def done_count(checks: Sequence[CheckDone]) -> int:
    return sum(not check.not_done for check in checks)


@register.filter
def missed_count(checks: Sequence[CheckDone]) -> int:
    return sum(check.not_done for check in checks)


@register.filter
def time_words(text: str) -> str:
    """An ISO time with its offset from UTC.

    >>> time_words("2026-03-04T09:05:00+01:00")
    '4 March 2026, 09:05 (UTC+01:00)'
    """
    if not text:
        return ""
    at = datetime.fromisoformat(text)
    offset = at.isoformat()[-6:]
    return f"{written(at, day_form('j F Y'))}, {at:%H:%M} (UTC{offset})"


@register.filter
def times_in_words(text: str) -> str:
    """A text of the content that ends with who and when, the time as people write it.

    >>> times_in_words("New lining (Tam, 2026-03-04T09:05:00+01:00)")
    'New lining (Tam, 4 March 2026, 09:05 (UTC+01:00))'
    """
    return TIME_AT_END.sub(lambda found: time_words(found[0]), text)


@register.filter
def record_and_day(text: str) -> tuple[str, str]:
    """
    >>> record_and_day("0190-1 of 2026-03-04")
    ('0190-1', '2026-03-04')
    """
    record, _, day = text.partition(" of ")
    return record, day
