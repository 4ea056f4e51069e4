"""A recurrence rule from its text (RFC 5545, 3.3.10). Pure."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime

from venue.calendar.recurrence import FREQUENCIES, Rule

WEEKDAYS = {"MO": 0, "TU": 1, "WE": 2, "TH": 3, "FR": 4, "SA": 5, "SU": 6}
DAY = re.compile(r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
# Part, field, lowest and highest; with a sign where counting from the end is allowed.
LISTS = {
    "BYMONTH": ("by_month", 1, 12, False),
    "BYWEEKNO": ("by_week", 1, 53, True),
    "BYYEARDAY": ("by_year_day", 1, 366, True),
    "BYMONTHDAY": ("by_month_day", 1, 31, True),
    "BYHOUR": ("by_hour", 0, 23, False),
    "BYMINUTE": ("by_minute", 0, 59, False),
    "BYSECOND": ("by_second", 0, 60, False),
    "BYSETPOS": ("by_position", 1, 366, True),
}
OTHERS = {"FREQ", "INTERVAL", "COUNT", "UNTIL", "BYDAY", "WKST"}
# 3.3.10: which parts a frequency does not take.
NOT_WITH = {
    "BYWEEKNO": set(FREQUENCIES) - {"YEARLY"},
    "BYYEARDAY": {"DAILY", "WEEKLY", "MONTHLY"},
    "BYMONTHDAY": {"WEEKLY"},
}


class UnreadableRule(ValueError):
    """The words say what in the rule is not understood."""


def read_rule(text: str) -> Rule:
    """The rule. Raises UnreadableRule for whatever it does not understand: a booking too many is
    seen, one too few is not.

    >>> read_rule("FREQ=MONTHLY;BYDAY=-1FR;COUNT=2").by_day
    ((-1, 4),)
    """
    parts = _parts(text)
    frequency = parts.get("FREQ", "")
    if frequency not in FREQUENCIES:
        raise UnreadableRule(f"FREQ is {frequency or 'missing'}")
    for name, refused in NOT_WITH.items():
        if name in parts and frequency in refused:
            raise UnreadableRule(f"{name} does not go with FREQ={frequency}")
    if "COUNT" in parts and "UNTIL" in parts:
        raise UnreadableRule("it has both COUNT and UNTIL")
    lists = {
        field: _numbers(name, parts[name], low, high, signed)
        for name, (field, low, high, signed) in LISTS.items()
        if name in parts
    }
    return Rule(
        frequency=frequency, interval=_whole(parts, "INTERVAL") or 1, count=_whole(parts, "COUNT"),
        by_day=_days(parts.get("BYDAY", ""), frequency, "BYWEEKNO" in parts),
        week_start=_week_start(parts.get("WKST", "MO")), until=_until(parts.get("UNTIL", "")),
        **lists,
    )  # fmt: skip


def _parts(text: str) -> dict[str, str]:
    parts: dict[str, str] = {}
    for part in text.strip().strip(";").split(";"):
        name, equals, value = part.strip().upper().partition("=")
        known = name in OTHERS or name in LISTS
        if not equals or not known or name in parts:
            raise UnreadableRule(f"“{part[:40]}”")
        parts[name] = value
    return parts


def _whole(parts: dict[str, str], name: str) -> int | None:
    value = parts.get(name)
    if value is None:
        return None
    if not value.isascii() or not value.isdecimal() or not 1 <= int(value) <= 100_000:
        raise UnreadableRule(f"{name}={value[:20]}")
    return int(value)


def _numbers(name: str, text: str, low: int, high: int, signed: bool) -> tuple[int, ...]:
    found = []
    for one in text.split(","):
        if not re.fullmatch(r"[+-]?\d{1,3}", one, re.ASCII):
            raise UnreadableRule(f"{name}={text[:40]}")
        number = int(one)
        if not low <= abs(number) <= high or (number < 0 and not signed):
            raise UnreadableRule(f"{name}={text[:40]}")
        found.append(number)
    return tuple(sorted(set(found)))  # said twice it is meant once


def _days(text: str, frequency: str, with_weeks: bool) -> tuple[tuple[int, int], ...]:
    found = []
    for one in text.split(",") if text else []:
        match = DAY.fullmatch(one)
        ordinal = int(match[1] or 0) if match else 0
        if match is None or (match[1] and not 1 <= abs(ordinal) <= 53):
            raise UnreadableRule(f"BYDAY={text[:40]}")
        if ordinal and (frequency not in ("MONTHLY", "YEARLY") or with_weeks):
            raise UnreadableRule(f"BYDAY={text[:40]} does not go with FREQ={frequency}")
        found.append((ordinal, WEEKDAYS[match[2]]))
    return tuple(sorted(set(found)))


def _week_start(text: str) -> int:
    if text not in WEEKDAYS:
        raise UnreadableRule(f"WKST={text[:20]}")
    return WEEKDAYS[text]


def _until(text: str) -> date | datetime | None:
    """A day, a local time, or one in UTC.

    >>> _until("19971224T000000Z")
    datetime.datetime(1997, 12, 24, 0, 0, tzinfo=datetime.timezone.utc)
    """
    if not text:
        return None
    try:
        if len(text) == 8:
            return datetime.strptime(text, "%Y%m%d").replace(tzinfo=UTC).date()
        moment = datetime.strptime(text.removesuffix("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007
    except ValueError:
        raise UnreadableRule(f"UNTIL={text[:20]}") from None
    return moment.replace(tzinfo=UTC) if text.endswith("Z") else moment
