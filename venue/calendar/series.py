"""One entry with its recurrences, and what replaces some of them (RFC 5545, 3.8.4.4, 3.8.5). Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, time, timedelta, tzinfo

from venue.calendar.instants import day_of, exists, instant, is_day, key_of, like, local, zone_of
from venue.calendar.lengths import End, end_by, for_duration
from venue.calendar.recurrence import Budget, Rule, starts
from venue.calendar.shapes import Entry, Moment, Occurrence, Period

OVERLAP = timedelta(days=2)  # more than any two clocks are apart


@dataclass(frozen=True)
class Window:
    """The stretch of time that is looked at, the clock of the house, and how much work it may be."""

    begins: datetime
    ends: datetime
    house: tzinfo
    budget: Budget = field(default_factory=Budget, compare=False)

    def meets(self, one: Occurrence) -> bool:
        return one.ends > self.begins and one.starts < self.ends


class Series:
    """One entry with its recurrences, and what replaces some of them."""

    def __init__(
        self, entry: Entry, overrides: list[Entry], window: Window, one_of_several: bool
    ) -> None:
        self.entry, self.window = entry, window
        self.zone = zone_of(entry.start, window.house)
        self.end, self.assumed = end_by(entry, window.house)
        self.names_starts = bool(entry.rules or entry.more or overrides) or one_of_several
        self.replaced: set[str] = set()
        self._overrides = {key_of(like(o.instead_of, entry.start)): o for o in overrides
                           if o.instead_of}  # fmt: skip
        later = [one for one in overrides if one.and_later and one.instead_of]
        self._later = sorted(later, key=lambda one: local(like(_original(one), entry.start)))

    def occurrences(self) -> Iterator[Occurrence]:
        notes = self.entry.notes + self.assumed
        left_out = self._left_out()
        for moment, end in self._moments():
            key = key_of(moment)
            if key in left_out:
                continue
            replaced = self._override(moment, key)
            if replaced is not None:
                yield _single(replaced, key, self.window)
                continue
            yield self._one(moment, key if self.names_starts else "", end, notes)

    def _override(self, moment: Moment, key: str) -> Entry | None:
        found = self._overrides.get(key)
        if found is None and not is_day(moment):
            found = self._overrides.get(key_of(day_of(moment)))  # RECURRENCE-ID as a day
        if found is not None:
            self.replaced.add(key_of(_original(found)))
        return found

    def _one(self, moment: Moment, key: str, end: End, notes: tuple[str, ...]) -> Occurrence:
        later = [o for o in self._later if local(like(_original(o), moment)) < local(moment)]
        if later:
            return self._moved_along(later[-1], moment, key)
        return _occurrence(self.entry, moment, key, self.zone, end, notes)

    def _moved_along(self, override: Entry, moment: Moment, key: str) -> Occurrence:
        """3.2.13: what replaces one and all later ones moves those by as much."""
        original = like(_original(override), override.start)
        shift = local(override.start) - local(original)
        on_clock = local(moment) + shift
        start = on_clock.date() if is_day(moment) else on_clock.replace(tzinfo=self._tz(moment))
        end, assumed = end_by(override, self.window.house)
        notes = override.notes + assumed
        return _occurrence(override, start, key, zone_of(start, self.window.house), end, notes)

    def _tz(self, moment: Moment) -> tzinfo | None:
        return moment.tzinfo if isinstance(moment, datetime) else None

    def _moments(self) -> Iterator[tuple[Moment, End]]:
        seen: set[str] = set()
        for moment, end in self._all_moments():
            if key_of(moment) not in seen:
                seen.add(key_of(moment))
                yield moment, end

    def _all_moments(self) -> Iterator[tuple[Moment, End]]:
        for rule in self.entry.rules:
            for on_clock in self._starts(rule):
                yield self._like_start(on_clock), self.end
        if not self.entry.rules:
            yield self.entry.start, self.end
        for period in self.entry.more:
            yield like(period.start, self.entry.start), self._end_of(period)

    def _starts(self, rule: Rule) -> Iterator[datetime]:
        """Up to the end of the window and UNTIL, whichever comes first; far ones before the window
        are left out, as many as there may be."""
        last = local(self.window.ends.astimezone(self.zone)) + OVERLAP
        if rule.until is not None:
            last = min(last, local(self._until(rule.until)))
        longest = self.window.begins - OVERLAP - self._length()
        first, there = local(self.entry.start), self._exists
        for on_clock in starts(rule, first, last, self.window.budget, there):
            if self._later or on_clock.replace(tzinfo=UTC) > longest:
                yield on_clock

    def _exists(self, on_clock: datetime) -> bool:
        return is_day(self.entry.start) or exists(on_clock, self.zone)

    def _length(self) -> timedelta:
        on_clock = local(self.entry.start)
        begin = instant(on_clock, self.zone)
        return self.end(on_clock, begin) - begin + timedelta(days=1)

    def _until(self, until: Moment) -> Moment:
        """As a moment on the clock of the start; a day means until its end."""
        if isinstance(until, datetime) and until.tzinfo is not None:
            return until.date() if is_day(self.entry.start) else until.astimezone(self.zone)
        if is_day(until) and not is_day(self.entry.start):
            return datetime.combine(until, time(23, 59, 59))
        return until

    def _like_start(self, on_clock: datetime) -> Moment:
        if is_day(self.entry.start):
            return on_clock.date()
        return on_clock.replace(tzinfo=self._tz(self.entry.start))

    def _end_of(self, period: Period) -> End:
        if isinstance(period.end, timedelta):
            return for_duration(period.end, self.zone, in_days=is_day(period.start))
        if period.end is not None:
            return end_by(replace(self.entry, start=period.start, end=period.end), self.zone)[0]
        return self.end

    def _left_out(self) -> set[str]:
        # 3.8.5.1: an exception has the form of the start. A day does not take out a time of it.
        return {key_of(like(one, self.entry.start)) for one in self.entry.not_at}


def _original(override: Entry) -> Moment:
    assert override.instead_of is not None
    return override.instead_of


def alone(overrides: list[Entry], used: set[str], window: Window) -> Iterator[Occurrence]:
    """What replaces an occurrence that the file does not hold, or holds no longer."""
    for override in overrides:
        key = key_of(_original(override))
        if key not in used:
            yield _single(override, key, window)


def _single(entry: Entry, key: str, window: Window) -> Occurrence:
    end, assumed = end_by(entry, window.house)
    zone = zone_of(entry.start, window.house)
    return _occurrence(entry, entry.start, key, zone, end, entry.notes + assumed)


def _occurrence(
    entry: Entry, start: Moment, key: str, zone: tzinfo, end: End, notes: tuple[str, ...]
) -> Occurrence:
    on_clock = local(start)
    begin = instant(on_clock, zone)
    return Occurrence(
        uid=entry.uid, original=key, title=entry.title, starts=begin, ends=end(on_clock, begin),
        all_day=is_day(start), location=entry.location, categories=entry.categories,
        cancelled=entry.cancelled, notes=notes,
    )  # fmt: skip
