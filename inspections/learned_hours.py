"""How long a kind of check takes, learned from records, and what that makes of its estimate. Pure.

A record tells what share of the estimate its work took. Hours that somebody entered go first. Where
none are, the time for which its form was open stands in, only where that is plausible: not under a
quarter and not over three times the estimate, on one day. A form filled in afterwards was open for
minutes, and one left open over a meal or a night for hours; neither tells of the work.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import ceil
from statistics import median

from inspections.work_shapes import Work

ENOUGH = 3
AT_LEAST, AT_MOST = Fraction(1, 4), Fraction(3)  # of the estimate


@dataclass(frozen=True)
class Took:
    """What one record tells of its work: hours of everybody together, and of how many, as somebody
    entered them; and for how long its form was open, None where that was not on one day."""

    entered: Decimal | None = None
    people: int | None = None
    open_hours: Fraction | None = None


@dataclass(frozen=True)
class Learned:
    """The median share of the estimate, None where fewer than three records tell; how many were
    entered, how many are forms that were open, and how many forms were left out."""

    share: Fraction | None
    entered: int
    timed: int
    left_out: int

    @property
    def count(self) -> int:
        return self.entered + self.timed


@dataclass(frozen=True)
class Room:
    """Hours of one person in a half-day: ordinary ones, and with overtime."""

    ordinary: Decimal
    most: Decimal


def learned_from(estimate: Work, records: Iterable[Took]) -> Learned:
    """What these records of one kind of check tell. With three that were entered no form counts."""
    rows = list(records) if estimate.person_hours else []
    entered = [_share_entered(estimate, row) for row in rows if row.entered is not None]
    forms = [row for row in rows if row.entered is None]
    if len(entered) >= ENOUGH:
        return Learned(median(entered), len(entered), 0, 0)
    timed = [share for row in forms if (share := _share_open(estimate, row)) is not None]
    share = median([*entered, *timed]) if len(entered) + len(timed) >= ENOUGH else None
    return Learned(share, len(entered), len(timed), len(forms) - len(timed))


def _share_entered(estimate: Work, row: Took) -> Fraction:
    """A total is shared as the estimate shares it. Where so few worked that the helper cannot have
    been among them, it is the others' work, and the helper is foreseen beside them."""
    whole = estimate.person_hours
    if estimate.helper and (row.people is None or row.people > estimate.people):
        whole += estimate.helper.person_hours
    return Fraction(row.entered or 0) / Fraction(whole)


def _share_open(estimate: Work, row: Took) -> Fraction | None:
    """Whoever fills in the form is one of those who do the work."""
    if row.open_hours is None:
        return None
    share = row.open_hours * estimate.people / Fraction(estimate.person_hours)
    return share if AT_LEAST <= share <= AT_MOST else None


def as_learned(estimate: Work, share: Fraction, rooms: Mapping[str, Room], level: str) -> Work:
    """The work with these hours, over as many half-days as one person of each level needs for it.
    `rooms`: by level; without one the half-days stay as they are."""
    hours = _up(estimate.person_hours, share)
    helper = estimate.helper
    half_days = half_days_for(hours / estimate.people, estimate.half_days, rooms.get(level))
    if helper:
        helper = replace(helper, person_hours=_up(helper.person_hours, share))
        half_days = half_days_for(helper.person_hours, half_days, rooms.get(helper.level))
    return replace(estimate, person_hours=hours, helper=helper, half_days=half_days)


def half_days_for(hours: Decimal, at_least: int, room: Room | None) -> int:
    """Half-days in which one person does so many hours: with overtime where that will do, else so
    many that none is needed.

    >>> half_days_for(Decimal(5), 1, Room(Decimal("3.5"), Decimal("4.5")))
    2
    """
    if room is None or not room.ordinary or hours <= at_least * room.most:
        return at_least
    return max(at_least, ceil(hours / room.ordinary))


def _up(hours: Decimal, share: Fraction) -> Decimal:
    """Up to the quarter-hour."""
    return Decimal(ceil(Fraction(hours) * share * 4)) / 4
