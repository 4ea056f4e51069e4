"""What the work of a check needs, as read from a file. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


class FaultyWorkFile(ValueError):
    """Work needs that cannot be used. The message names the file and the fault."""


@dataclass(frozen=True)
class Helper:
    """Somebody beside the person who signs."""

    level: str
    person_hours: Decimal


@dataclass(frozen=True)
class Work:
    """What one check of one piece of equipment needs. `estimated` is false where no file says it:
    such work is planned with the default, and the plan says so."""

    person_hours: Decimal
    people: int = 1
    half_days: int = 1
    helper: Helper | None = None
    examiner: str = ""
    examiner_hours: Decimal = Decimal(0)
    access: tuple[str, ...] = ()
    not_needed: tuple[str, ...] = ()
    not_needed_why: str = ""
    set_ups: tuple[str, ...] = ()
    in_zone: bool = True
    estimated: bool = True

    @property
    def house_hours(self) -> Decimal:
        """Of all people of the house together."""
        return self.person_hours + (self.helper.person_hours if self.helper else Decimal(0))


@dataclass(frozen=True)
class SetUpKind:
    """Something made ready once and shared. `makes`: an access state that the crew brings about;
    `goes_with`: one that the booking must allow and that costs this work."""

    slug: str
    words: str
    per: str
    shared: str
    price: Decimal
    notice_days: int = 0
    makes: str = ""
    goes_with: str = ""


@dataclass(frozen=True)
class Trade:
    """A trade of outside examiners, with what is assumed until the venue says otherwise."""

    slug: str
    words: str
    day_fee: Decimal
    hours_a_day: Decimal
    notice_days: int


@dataclass(frozen=True)
class WorkNeeds:
    """All files together."""

    by_regime: dict[str, Work]
    by_family: dict[tuple[str, str], Work]
    set_ups: dict[str, SetUpKind]
    trades: dict[str, Trade]
    order: tuple[tuple[str, str], ...]

    def of(self, regime: str, family: str, level: str) -> Work:
        """By the regime; else by the family and level; else the default, marked as such."""
        return (
            self.by_regime.get(regime)
            or self.by_family.get((family, level))
            or not_estimated(level)
        )


NOT_ESTIMATED = Work(Decimal(1), estimated=False)


def not_estimated(level: str) -> Work:
    """An hour of one person; where an outsider examines, an hour of theirs as well."""
    if level != "outside_examiner":
        return NOT_ESTIMATED
    return Work(Decimal(1), examiner="lifting", examiner_hours=Decimal(1), estimated=False)
