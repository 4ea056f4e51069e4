"""What the work of a venue's plans needs, as the planner asks for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from inspections.models import Plan
from inspections.planning.house import Need, SetUp
from inspections.queries.logged_hours import Logged
from inspections.queries.planning_people import Span, level_words
from inspections.queries.planning_settings import coins, quarters, set_up_rows
from inspections.work_files import work_needs
from inspections.work_shapes import SetUpKind, Work
from venue.kind_files import kinds
from venue.models import Venue


@dataclass(frozen=True)
class Needed:
    """One plan's work: estimate or logged hours, access states, and what is made ready for it."""

    plan: Plan
    work: Work
    logged: Logged | None

    @cached_property
    def set_up_kinds(self) -> tuple[SetUpKind, ...]:
        """What the work names, and what goes with the states it needs."""
        known, states = work_needs().set_ups, self._states
        named = [known[slug] for slug in self.work.set_ups]
        tied = [kind for kind in known.values() if states & {kind.makes, kind.goes_with} - {""}]
        return tuple({kind.slug: kind for kind in (*named, *tied)}.values())

    @property
    def _states(self) -> frozenset[str]:
        """Those of the place and of the kind, those of the work, less what the work can do without."""
        kind = kinds()[self.plan.equipment.kind]
        asked = {*self.plan.equipment.place.access, *kind.access, *self.work.access}
        return frozenset(asked - set(self.work.not_needed))

    @property
    def access(self) -> frozenset[str]:
        """What the bookings must leave; what the crew brings about is not asked of them."""
        return self._states - {kind.makes for kind in self.set_up_kinds}

    @property
    def set_ups(self) -> dict[str, SetUpKind]:
        """By the planner's key, which names the place where a place shares it."""
        place = self.plan.equipment.place.name
        return {
            kind.words if kind.shared == "house" else f"{kind.words} ({place})": kind
            for kind in self.set_up_kinds
        }

    @property
    def needs(self) -> tuple[Need, ...]:
        """Whom it takes in each half-day. Beside an outside examiner goes a competent person."""
        level = self.plan.level
        if level == "outside_examiner":
            level = "competent_person"
        work = self.work
        found = [Need(level_words(level), self._each(quarters(work.person_hours)), work.people)]
        if work.helper:
            each = self._each(quarters(work.helper.person_hours))
            found.append(Need(level_words(work.helper.level), each))
        return tuple(found)

    @property
    def all_quarters(self) -> int:
        return self.work.half_days * sum(need.quarters for need in self.needs)

    @property
    def examiner_quarters(self) -> int:
        return self._each(quarters(self.work.examiner_hours)) if self.work.examiner else 0

    def _each(self, whole: int) -> int:
        return -(-whole // self.work.half_days)


def trade_of(plan: Plan, kind: str) -> str:
    """The trade of outside examiners who come for a plan on a kind of equipment; empty: none."""
    return work_needs().of(plan.regime, kinds()[kind].family, plan.level).examiner


def needed_by(plan: Plan, logged: Mapping[str, Logged]) -> Needed:
    """The hours on record, where there are enough of them, replace the estimate."""
    work = work_needs().of(plan.regime, kinds()[plan.equipment.kind].family, plan.level)
    known = logged.get(plan.regime)
    if known and not work.examiner:
        work = replace(work, person_hours=known.hours)
    return Needed(plan, work, known if known and not work.examiner else None)


def set_ups_of(venue: Venue, needed: Iterable[Needed], span: Span) -> dict[str, SetUp]:
    """Every set-up that some plan needs, with the venue's own price and notice."""
    rows = set_up_rows(venue)
    found = {}
    for each in needed:
        for key, kind in each.set_ups.items():
            row, _ = rows[kind.slug]
            price, notice = coins(row.price), span.notice(row.notice_days)
            if kind.per == "day":
                found[key] = SetUp(key, "day", price, notice)
            else:
                found[key] = SetUp(key, "half-day", price, notice)
    return found
