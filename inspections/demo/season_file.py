"""The season as the house's own diary would send it: a calendar file. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from inspections.demo.season import Call, calls
from venue.calendar.writing import escaped, folded

CATEGORIES = {
    "performance": "Performance", "rehearsal": "Rehearsal", "load_in": "Get-in",
    "load_out": "Get-out", "dark": "Dark", "other": "House",
}  # fmt: skip


def season_file(first: date, last: date, zone: ZoneInfo) -> bytes:
    """Every call from the first day to the last, in the venue's own zone."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//The Larkspur//House diary//EN"]
    for call in calls(first, last):
        lines += _entry(call, zone)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line)).encode()


def _entry(call: Call, zone: ZoneInfo) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{call.day:%Y%m%d}-{call.first}-{call.what}@larkspur.example"
    yield "DTSTAMP:20260101T000000Z"
    yield f"DTSTART:{_utc(call, call.first, zone)}"
    yield f"DTEND:{_utc(call, call.last, zone)}"
    yield f"SUMMARY:{escaped(call.title)}"
    yield f"CATEGORIES:{CATEGORIES[call.what]}"
    yield "END:VEVENT"


def _utc(call: Call, hour: int, zone: ZoneInfo) -> str:
    begins = datetime.combine(call.day + timedelta(days=hour // 24), time(hour % 24), zone)
    return f"{begins.astimezone(UTC):%Y%m%dT%H%M%SZ}"
