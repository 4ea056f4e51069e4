"""What a calendar would add, move, change and cancel among the bookings that are held. Pure."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from venue.calendar.kinds import ITSELF, UNKNOWN, KindRule, Wanted, wanted
from venue.calendar.series import Window
from venue.calendar.shapes import Expansion, Fault

NEW, MOVED, CHANGED, CANCELLED, BACK = "new", "moved", "changed", "cancelled", "back"
KINDS = (NEW, MOVED, CHANGED, CANCELLED, BACK)
Key = tuple[str, str, str]
# More cancelled at once than this is as likely a calendar that came wrong: a person looks first.
FEW_CANCELLED, PART_CANCELLED = 5, 3


@dataclass(frozen=True)
class Held:
    """A booking of this calendar as it stands in the book."""

    pk: int
    booking: Wanted
    cancelled: bool = False
    by_hand: bool = False

    @property
    def key(self) -> Key:
        return key_of(self.booking)


@dataclass(frozen=True)
class Change:
    kind: str
    before: Held | None
    after: Wanted

    @property
    def is_unknown(self) -> bool:
        return self.kind != CANCELLED and self.after.what == UNKNOWN


@dataclass
class Comparison:
    changes: list[Change] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unchanged: int = 0
    unknown: int = 0  # among all that will stand afterwards
    ahead: int = 0  # bookings that stood before and are not past
    # Taken from the calendar with a doubt, each once: the title and what was assumed.
    notes: list[tuple[str, str]] = field(default_factory=list)
    last_day: date | None = None

    def of(self, kind: str) -> list[Change]:
        return [change for change in self.changes if change.kind == kind]

    def counts(self) -> dict[str, int]:
        return {kind: len(self.of(kind)) for kind in KINDS}

    @property
    def many_cancelled(self) -> int:
        """How many bookings ahead it would cancel, where that is more than a calendar usually does."""
        cancelled = len(self.of(CANCELLED))
        many = cancelled > FEW_CANCELLED and cancelled * PART_CANCELLED > self.ahead
        return cancelled if many else 0

    def digest(self) -> str:
        """What a person agrees to, as one value."""
        told = [[one.kind, one.before.pk if one.before else 0, repr(one.after)]
                for one in self.changes]  # fmt: skip
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def key_of(booking: Wanted) -> Key:
    return booking.uid, booking.original, booking.piece


def compare(
    expansion: Expansion, held: Iterable[Held], rules: Sequence[KindRule], window: Window,
    *, is_whole: bool,
) -> Comparison:  # fmt: skip
    """Bookings that are past stay as they are, and so do those after the stretch that was read."""
    open_ones, past = _open(held, window)
    # What a person said is not added to by a rule.
    said = {one.key[:2] for one in open_ones if one.by_hand}
    standing = [one for one in expansion.occurrences if not one.cancelled]
    found = [
        each
        for one in standing
        for each in wanted(one, rules, window.house)
        if each.piece == ITSELF or (one.uid, one.original) not in said
    ]
    matches, left = _matched(found, open_ones, past, window)
    comparison = Comparison(faults=list(expansion.faults))
    comparison.ahead = sum(not one.cancelled for one in open_ones)
    for booking, before in matches:
        _note(comparison, booking, before)
    named = {(one.uid, one.original) for one in expansion.occurrences if one.cancelled}
    gone = _gone(expansion.taken_back | named)
    for one in left:
        if not one.cancelled and (gone(one) or (is_whole and one.booking.starts < window.ends)):
            comparison.changes.append(Change(CANCELLED, one, one.booking))
    comparison.changes.sort(key=lambda one: (one.after.starts, key_of(one.after)))
    comparison.notes = _notes(found)
    comparison.last_day = _last_day(found, window)
    return comparison


def _open(held: Iterable[Held], window: Window) -> tuple[list[Held], set[Key]]:
    open_ones, past = [], set()
    for one in held:
        if one.booking.ends > window.begins:
            open_ones.append(one)
        else:
            past.add(one.key)
    return open_ones, past


Match = tuple[Wanted, Held | None]


def _matched(
    found: list[Wanted], open_ones: list[Held], past: set[Key], window: Window
) -> tuple[list[Match], list[Held]]:
    """Each wanted booking with the one that is held for it. First by its key. A series that was
    moved as a whole has new keys: then by its day, and at last one that is left by one that is."""
    by_key = {one.key: one for one in open_ones}
    matches: list[Match] = []
    unmatched: dict[tuple[str, str], list[Wanted]] = defaultdict(list)
    for booking in found:
        one = by_key.pop(key_of(booking), None)
        if one is not None:
            matches.append((booking, one))
        else:
            unmatched[booking.uid, booking.piece].append(booking)
    left: dict[tuple[str, str], list[Held]] = defaultdict(list)
    for one in by_key.values():
        left[one.booking.uid, one.booking.piece].append(one)
    for group, bookings in unmatched.items():
        matches += _paired(bookings, left[group], past, window)
    return matches, [one for each in left.values() for one in each]


def _paired(
    bookings: list[Wanted], left: list[Held], past: set[Key], window: Window
) -> list[Match]:
    def day(booking: Wanted) -> date:
        return booking.starts.astimezone(window.house).date()

    pairs: list[Match] = []
    for booking in bookings:
        same = [one for one in left if not one.cancelled and day(one.booking) == day(booking)]
        standing = [one for one in left if not one.cancelled]
        only = standing if len(bookings) == len(standing) == 1 else []
        before = next(iter(same or only), None)
        if before is not None:
            left.remove(before)
        if key_of(booking) in past:  # the name belongs to a booking that is past
            name = before.booking.original if before else f"{booking.starts:%Y%m%dT%H%M%SZ}"
            booking = replace(booking, original=name)
        pairs.append((booking, before))
    return pairs


def _note(comparison: Comparison, booking: Wanted, before: Held | None) -> None:
    if before is not None and before.by_hand:
        booking = replace(booking, what=before.booking.what, leaves=before.booking.leaves)
    comparison.unknown += booking.what == UNKNOWN
    kind = _kind(booking, before)
    if kind:
        comparison.changes.append(Change(kind, before, booking))
    else:
        comparison.unchanged += 1


def _kind(booking: Wanted, before: Held | None) -> str:
    if before is None:
        return NEW
    if before.cancelled:
        return BACK
    was = before.booking
    if (was.starts, was.ends) != (booking.starts, booking.ends):
        return MOVED
    return "" if replace(was, notes=booking.notes) == booking else CHANGED


def _gone(taken_back: set[tuple[str, str]]) -> Callable[[Held], bool]:
    """Whether the calendar says that this booking is cancelled: its whole series, or just it."""

    def gone(one: Held) -> bool:
        uid, original, _ = one.key
        return (uid, original) in taken_back or (uid, "") in taken_back

    return gone


def _notes(found: list[Wanted]) -> list[tuple[str, str]]:
    told = ((one.title, note) for one in found if one.piece == ITSELF for note in one.notes)
    return list(dict.fromkeys(told))


def _last_day(found: list[Wanted], window: Window) -> date | None:
    days = [one.starts.astimezone(window.house).date() for one in found if one.piece == ITSELF]
    return max(days, default=None)
