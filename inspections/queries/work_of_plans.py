"""What the work of a venue's plans needs, as the planner asks for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from inspections.learned_hours import Learned, as_learned
from inspections.models import Plan
from inspections.planning.house import Need, SetUp
from inspections.queries.logged_hours import HoursKnown, Kind, kind_of_check
from inspections.queries.planning_people import Span, level_words
from inspections.queries.planning_settings import coins, quarters, set_up_rows
from inspections.work_files import work_needs
from inspections.work_shapes import SetUpKind, Work
from venue.kind_files import kinds
from venue.models import Venue


@dataclass(frozen=True)
class Needed:
    """One plan's work: access states, what is made ready for it, and its hours. `work` is planned
    with; `record` is what records tell, and `logged` the same where `work` was made of it."""

    plan: Plan
    work: Work
    estimate: Work
    record: Learned
    estimate_kept: bool = False

    @property
    def logged(self) -> Learned | None:
        return self.record if self.record.share is not None and not self._stays else None

    @property
    def median(self) -> Work | None:
        """The hours on record, whether planned with or not; its half-days are the estimate's."""
        if self.record.share is None or self.estimate.examiner:
            return None
        return as_learned(self.estimate, self.record.share, {}, house_level(self.plan))

    @property
    def _stays(self) -> bool:
        return self.estimate_kept or bool(self.estimate.examiner)

    @property
    def kind(self) -> Kind:
        return kind_of_check(self.plan.regime, self.plan.equipment.kind)

    @property
    def spread(self) -> bool:
        """Over more half-days than the estimate, because a person's hours do not fit into fewer."""
        return self.work.half_days > self.estimate.half_days

    @property
    def as_estimated(self) -> Needed:
        return replace(self, work=self.estimate, estimate_kept=True)

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
        """Whom it takes in each half-day."""
        level, work = house_level(self.plan), self.work
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


def needed_by(plan: Plan, known: HoursKnown) -> Needed:
    """Hours on record, where there are enough of them, replace the estimate, unless a manager keeps
    it. Work beside an examiner keeps it always: their visit is booked by the day."""
    estimate = work_needs().of(plan.regime, kinds()[plan.equipment.kind].family, plan.level)
    kind = kind_of_check(plan.regime, plan.equipment.kind)
    record = known.learned(kind, estimate)
    needed = Needed(plan, estimate, estimate, record, kind in known.estimate_kept)
    if needed.logged is None or record.share is None:
        return needed
    return replace(needed, work=as_learned(estimate, record.share, known.rooms, house_level(plan)))


def house_level(plan: Plan) -> str:
    """Whom of the house it takes. Beside an outside examiner goes a competent person."""
    return "competent_person" if plan.level == "outside_examiner" else plan.level


def plainly(hours: Decimal) -> str:
    """Without zeros at its end.

    >>> plainly(Decimal("2.50")), plainly(Decimal(10))
    ('2.5', '10')
    """
    return f"{hours.normalize():f}"


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
