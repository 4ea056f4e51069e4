"""Calendar files for tests, written out by hand."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from venue.calendar.expand import expand, window_of
from venue.calendar.reading import read_calendar
from venue.calendar.shapes import Expansion, Occurrence

LONDON, NEW_YORK = "Europe/London", "America/New_York"


def calendar_file(*parts: str, method: str = "") -> bytes:
    """A whole file around some components, each without its line ends."""
    head = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//The Larkspur//Hand-written//EN"]
    lines = [*head, *([f"METHOD:{method}"] if method else [])]
    for part in parts:
        lines += [line.strip() for line in part.strip().splitlines()]
    return ("\r\n".join([*lines, "END:VCALENDAR"]) + "\r\n").encode()


def event(*lines: str, uid: str = "one@larkspur.example", title: str = "The Salt Stair") -> str:
    named = ["BEGIN:VEVENT", f"UID:{uid}", "DTSTAMP:20260101T000000Z", f"SUMMARY:{title}"]
    return "\n".join([*named, *lines, "END:VEVENT"])


def expanded(
    content: bytes, first: str = "2026-06-01", last: str = "2027-12-31", zone: str = LONDON
) -> Expansion:
    """What a file comes to in a house of that zone."""
    days = date.fromisoformat(first), date.fromisoformat(last)
    return expand(read_calendar(content), window_of(*days, ZoneInfo(zone)))


def times(expansion: Expansion, zone: str = LONDON) -> list[str]:
    """Each occurrence on the clock of the house: day, start and end."""
    return [on_clock(one, zone) for one in expansion.occurrences]


def on_clock(one: Occurrence, zone: str = LONDON) -> str:
    start, end = one.starts.astimezone(ZoneInfo(zone)), one.ends.astimezone(ZoneInfo(zone))
    return f"{start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M}"
