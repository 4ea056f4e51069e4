"""Write a calendar (RFC 5545, with 7986's refresh interval) for programs that subscribe to it. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

LONGEST_LINE = 75  # octets, 3.1
PRODUCT = "-//Loftbook//Tasks//EN"


@dataclass(frozen=True)
class DayEvent:
    """Something on one day: the whole of it, or with `times` from one moment to another. `sequence`
    rises with every change, and `changed` says when it was."""

    uid: str
    day: date
    summary: str
    description: str
    location: str
    address: str
    sequence: int
    changed: datetime
    cancelled: bool = False
    times: tuple[datetime, datetime] | None = None


def write_calendar(name: str, events: Iterable[DayEvent]) -> bytes:
    """The whole calendar, folded, with the line ends of the standard."""
    lines = [
        "BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH", f"NAME:{escaped(name)}", f"X-WR-CALNAME:{escaped(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT4H",
    ]  # fmt: skip
    for event in events:
        lines += _event(event)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line)).encode()


def _event(event: DayEvent) -> list[str]:
    # Without a message being sent, DTSTAMP is when it was last changed (3.8.7.2).
    changed = _moment(event.changed)
    return [
        "BEGIN:VEVENT", f"UID:{event.uid}", f"DTSTAMP:{changed}", f"LAST-MODIFIED:{changed}",
        f"SEQUENCE:{event.sequence}", *_when(event),
        f"SUMMARY:{escaped(event.summary)}", f"DESCRIPTION:{escaped(event.description)}",
        f"LOCATION:{escaped(event.location)}", f"URL:{event.address}",
        f"STATUS:{'CANCELLED' if event.cancelled else 'CONFIRMED'}", "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]  # fmt: skip


def _when(event: DayEvent) -> tuple[str, str]:
    if event.times is None:
        after = event.day + timedelta(days=1)
        return f"DTSTART;VALUE=DATE:{event.day:%Y%m%d}", f"DTEND;VALUE=DATE:{after:%Y%m%d}"
    begins, ends = event.times
    return f"DTSTART:{_moment(begins)}", f"DTEND:{_moment(ends)}"


def _moment(moment: datetime) -> str:
    """In UTC, which needs no description of a zone (3.3.5, form 2)."""
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def escaped(text: str) -> str:
    r"""Text as a value (3.3.11); signs that no text may hold become spaces.

    >>> escaped("Ropes; lines 1, 2\nand \\ all")
    'Ropes\\; lines 1\\, 2\\nand \\\\ all'
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(sign if sign >= " " or sign in "\n\t" else " " for sign in text)
    kept = kept.replace("\x7f", " ")
    for sign in ("\\", ";", ","):
        kept = kept.replace(sign, f"\\{sign}")
    return kept.replace("\n", "\\n")


def folded(line: str) -> Iterator[str]:
    """A line in pieces of at most 75 octets, never in the middle of a letter (3.1).

    >>> [len(part.encode()) for part in folded("X:" + "é" * 60)]
    [74, 49]
    """
    part, size = "", 0
    for sign in line:
        octets = len(sign.encode())
        if size + octets > LONGEST_LINE:
            yield part
            part, size = " ", 1
        part, size = part + sign, size + octets
    yield part
