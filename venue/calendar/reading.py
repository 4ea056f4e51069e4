"""Read a calendar file (RFC 5545) into its entries. Pure; the parsing is the icalendar library's."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from threading import Lock
from typing import Any

from icalendar import Calendar
from icalendar.prop.broken import vBroken
from icalendar.timezone import tzp

from venue.calendar.rule_reading import UnreadableRule, read_rule
from venue.calendar.shapes import CalendarFile, Entry, Fault, Moment, Period, UnreadableCalendar

MAX_BYTES = 5_000_000
MOST_ENTRIES = 20_000
LONGEST_TITLE, LONGEST_UID = 200, 200
OTHERS = {"VTODO": "to-do", "VJOURNAL": "journal entry", "VFREEBUSY": "busy time"}
ENTRY = re.compile(rb"^BEGIN:VEVENT\s*$", re.MULTILINE | re.IGNORECASE)
ZONE = re.compile(r"^BEGIN:VTIMEZONE.*?^END:VTIMEZONE", re.MULTILINE | re.IGNORECASE | re.DOTALL)
ZONE_RULE = re.compile(r"^RRULE[^:\r\n]*:([^\r\n]*)", re.MULTILINE | re.IGNORECASE)
# The library keeps zones that a file describes under their name, for the files after it too; one
# file's "Harbour time" is not another's. So the zones are forgotten first, one file at a time.
ONE_AT_A_TIME = Lock()
# What the library falls over when a file is damaged (tests/venue/calendar/test_damaged_files.py).
OF_DAMAGE = (ValueError, LookupError, TypeError, AttributeError, ArithmeticError)


class _NotDated(ValueError):
    """An entry without a day; the words follow its title."""


def read_calendar(content: bytes) -> CalendarFile:
    """Every entry, and every one that cannot be placed. Raises UnreadableCalendar."""
    _refuse(content)
    text = _text(content)
    with ONE_AT_A_TIME:
        tzp.use_zoneinfo()
        try:
            return _read(text, len(ENTRY.findall(content)))
        except UnreadableCalendar:
            raise
        except OF_DAMAGE as fault:
            raise UnreadableCalendar(
                f"The file is damaged or no calendar: {str(fault)[:120]}."
            ) from fault


def _refuse(content: bytes) -> None:
    if len(content) > MAX_BYTES:
        raise UnreadableCalendar(
            f"The calendar has {len(content) / 1e6:.1f} MB; at most {MAX_BYTES / 1e6:.0f} MB are read. "
            "Send fewer years."
        )
    if not content.strip():
        raise UnreadableCalendar("The file is empty.")


def _text(content: bytes) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableCalendar(
            "The file is not UTF-8 text. A calendar file (.ics) always is: export it again."
        ) from None
    if "BEGIN:VCALENDAR" not in text[:10_000].upper():
        raise UnreadableCalendar(
            "This is no calendar file: it does not begin with BEGIN:VCALENDAR. An address may have "
            "answered with a page to sign in at; ask for the calendar's own .ics address."
        )
    if not text.rstrip().upper().endswith("END:VCALENDAR"):
        raise UnreadableCalendar("The file is cut off: its end is missing. Send it again, whole.")
    _refuse_strange_zones(text)
    return text


def _refuse_strange_zones(text: str) -> None:
    """A zone's clocks change by the year. The library works out any rule, however long it takes."""
    unfolded = re.sub(r"\r?\n[ \t]", "", text)
    for zone in ZONE.findall(unfolded):
        for rule in ZONE_RULE.findall(zone):
            try:
                yearly = read_rule(rule).frequency == "YEARLY"
            except UnreadableRule:
                yearly = False
            if not yearly:
                raise UnreadableCalendar(f"A time zone in the file is damaged: {rule[:60]}.")


def _read(text: str, written: int) -> CalendarFile:
    if written > MOST_ENTRIES:  # said before they are told apart, which takes long
        raise UnreadableCalendar(f"The file has {written} entries; at most {MOST_ENTRIES}.")
    calendars = Calendar.from_ical(text, multiple=True)
    found = CalendarFile(method=_method(calendars))
    events = [event for one in calendars for event in one.walk("VEVENT")]
    if len(events) != written:
        raise UnreadableCalendar(
            f"The file is damaged: of {written} entries only {len(events)} can be told apart."
        )
    for event in events:
        _add(found, event)
    for name, word in OTHERS.items():
        found.passed_over[word] += sum(len(one.walk(name)) for one in calendars)
    return found


def _method(calendars: list[Calendar]) -> str:
    methods = {str(one.get("METHOD", "")).upper() for one in calendars}
    return methods.pop() if len(methods) == 1 else "SEVERAL" if methods else ""


def _add(found: CalendarFile, event: Any) -> None:
    title = _words(event, "SUMMARY") or "(no title)"
    try:
        uid = _uid(event)
        if found.method == "CANCEL":
            found.taken_back.append((uid, _moment(event, "RECURRENCE-ID", [])))
            return
        found.entries.append(_entry(event, uid, title))
    except _NotDated as fault:
        found.faults.append(Fault(title, str(fault)))


def _uid(event: Any) -> str:
    uid = str(event.get("UID", "")).strip()
    if not uid:
        raise _NotDated("it has no UID, so it could not be known again next time.")
    if len(uid) <= LONGEST_UID:
        return uid
    return f"{uid[: LONGEST_UID - 65]} {hashlib.sha256(uid.encode()).hexdigest()}"


def _entry(event: Any, uid: str, title: str) -> Entry:
    notes: list[str] = []
    start = _moment(event, "DTSTART", notes)
    if start is None:
        raise _NotDated("its beginning (DTSTART) is missing or cannot be read.")
    replaced = event.get("RECURRENCE-ID")
    changed = _moment(event, "LAST-MODIFIED", []) or _moment(event, "DTSTAMP", [])
    return Entry(
        uid=uid, title=title, start=start, end=_moment(event, "DTEND", notes),
        duration=_duration(event, notes), location=_words(event, "LOCATION"),
        categories=_categories(event),
        cancelled=str(event.get("STATUS", "")).strip().upper() == "CANCELLED",
        sequence=_whole(event.get("SEQUENCE")),
        changed=changed if isinstance(changed, datetime) and changed.tzinfo else None,
        rules=tuple(_rules(event)), more=tuple(_more(event)), not_at=tuple(_not_at(event)),
        instead_of=_moment(event, "RECURRENCE-ID", notes),
        and_later=replaced is not None
        and str((_part(replaced, "params") or {}).get("RANGE", "")).upper() == "THISANDFUTURE",
        notes=tuple(notes),
    )  # fmt: skip


def _words(event: Any, name: str) -> str:
    value = event.get(name, "")
    value = value[0] if isinstance(value, list) else value
    return " ".join(str(value).replace("\x00", " ").split())[:LONGEST_TITLE]


def _categories(event: Any) -> str:
    return ", ".join(str(one) for one in event.categories)[:LONGEST_TITLE]


def _whole(value: Any) -> int:
    return int(value) if isinstance(value, int) else 0


def _moment(event: Any, name: str, notes: list[str]) -> Moment | None:
    value = event.get(name)
    value = value[0] if isinstance(value, list) and value else value
    moment = _part(value, "dt")
    if value is not None and not isinstance(moment, date):
        if name in ("DTSTART", "RECURRENCE-ID"):
            raise _NotDated(f"its {name} cannot be read: {str(value)[:60]}.")
        notes.append(f"its {name} cannot be read and is passed over")
        return None
    zone = str((_part(value, "params") or {}).get("TZID", ""))
    if zone and isinstance(moment, datetime) and moment.tzinfo is None:
        notes.append(f"the time zone “{zone}” is not known; the house's own is taken")
    return moment


def _duration(event: Any, notes: list[str]) -> timedelta | None:
    value = event.get("DURATION")
    duration = _part(value, "dt") or _part(value, "td")
    if isinstance(duration, timedelta):
        return duration
    if value is not None:
        notes.append("its DURATION cannot be read and is passed over")
    return None


def _rules(event: Any) -> Iterator[Any]:
    for value in _all(event, "RRULE"):
        try:
            yield read_rule(value.to_ical().decode() if hasattr(value, "to_ical") else str(value))
        except UnreadableRule as fault:
            raise _NotDated(f"its recurrence (RRULE) cannot be read: {fault}.") from fault


def _more(event: Any) -> Iterator[Period]:
    for value in _dates(event, "RDATE"):
        match value:
            case date():
                yield Period(value)
            case (date() as start, (date() | timedelta()) as end):
                yield Period(start, end)
            case _:
                raise _NotDated(f"its RDATE cannot be read: {str(value)[:60]}.")


def _not_at(event: Any) -> Iterator[Moment]:
    for value in _dates(event, "EXDATE"):
        if isinstance(value, date):
            yield value


def _dates(event: Any, name: str) -> Iterator[Any]:
    for value in _all(event, name):
        listed = _part(value, "dts")
        if listed is None:
            raise _NotDated(f"its {name} cannot be read: {str(value)[:60]}.")
        for one in listed:
            yield one.dt


def _part(value: Any, name: str) -> Any:
    """What the library made of a value; None where it could make nothing of it."""
    return None if isinstance(value, vBroken) else getattr(value, name, None)


def _all(event: Any, name: str) -> list[Any]:
    value = event.get(name)
    if value is None:
        return []
    return value if isinstance(value, list) else [value]
