"""A bound of a house: the bounds of its parts, added up. Needs OR-Tools.

Plans that share an examiner or a set-up, themselves or through others, are one part. Take any plan
of the whole house and of it only the tasks of one part. They are a plan of the house that has that
part alone, for fewer tasks break no rule that more tasks keep, and:

- what tasks, early days and used validity cost belongs to one plan each, so to one part;
- nobody outside a part uses its visits and set-ups, so each of those is paid in one part;
- whoever works overtime for a part's tasks does so in the whole plan too, and staffs that part
  alone by it: overtime of the whole is at least what the parts need alone, added up;
- a part is late, or moves agreed tasks, at most as much as the whole less what is proven of the
  others.

So each part costs at least its own bound, and the whole at least their sum. What is left out is
that parts fight over zones, order and people. Level weeks and margins cost no money.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from inspections.planning.capacity import Capacity
from inspections.planning.counted_branches import CountedBranches
from inspections.planning.groups import Group, groups_of
from inspections.planning.house import House, Plan
from inspections.planning.linear_bound import Bound, Tightening, branched_bound
from inspections.planning.model import Tag, Terms, YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.model_strength import resources_of
from inspections.planning.relaxed import LARGE
from inspections.planning.same_rows import Numbers, numbers_of
from inspections.planning.window_cuts import Cut

RELAX_SHARE, ROWS_SHARE, LEAST_BRANCHING = 0.95, 0.8, 4.0


def parts_of(house: House) -> list[House]:
    """The house as parts that share no examiner and no set-up."""
    parts: list[tuple[set[tuple[str, str]], list[Plan]]] = []
    for plan in house.plans:
        tags = set(resources_of(plan)) or {("kind", plan.kind)}
        plans = [plan]
        for part in [part for part in parts if part[0] & tags]:
            tags |= part[0]
            plans = part[1] + plans
            parts.remove(part)
        parts.append((tags, plans))
    return [_only(house, plans) for _, plans in parts]


def _only(house: House, plans: Sequence[Plan]) -> House:
    keys = {plan.key for plan in plans}
    return replace(
        house,
        plans=tuple(plans),
        agreed=frozenset(task for task in house.agreed if task.plan in keys),
        locked=frozenset(task for task in house.locked if task.plan in keys),
        margin_days=0,
        week_target=0,
    )


def lost(house: House, groups: Sequence[Group]) -> int:
    """Agreed tasks whose half-day cannot be used any more: no plan keeps them."""
    slots = {plan.key: set(group.slots) for group in groups for plan in group.members}
    return sum(task.slot not in slots.get(task.plan, ()) for task in house.agreed)


@dataclass
class _Part:
    """The model of a part, and what is proven of its cost."""

    year: YearModel
    whole: Terms
    tightening: Tightening

    @property
    def found(self) -> Bound:
        return self.tightening.found

    @property
    def size(self) -> int:
        return _size(self.year)


@dataclass(frozen=True)
class FoundRows:
    """Rows that hold for every plan of a part, and its numbers to read them by."""

    cuts: tuple[Cut, ...]
    numbers: Numbers


@dataclass(frozen=True)
class Likely:
    """How much of each visit and set-up a relaxed part makes."""

    made: Mapping[tuple[Tag, int], float]


@dataclass(frozen=True)
class CouldUseMore:
    """The proof has come to where it can use another core."""


@dataclass(frozen=True)
class Hearing:
    """Whoever wants to know of the bound as it rises, of the rows, and of the relaxed plan, and has
    a say in how many cores it takes."""

    bound: Callable[[int], None] = lambda _: None
    rows: Callable[[FoundRows], None] = lambda _: None
    likely: Callable[[Likely], None] = lambda _: None
    could_use_more: Callable[[CouldUseMore], None] = lambda _: None
    cores: Callable[[], int] = lambda: 1
    """How many the proof may use now."""


def bound_by_parts(
    house: House, late: int, moved: int, seconds: float, hear: Hearing = Hearing()
) -> int:
    """No plan this late, with so many agreed tasks moved, costs less; 0 when nothing is known."""
    end = time.monotonic() + seconds
    parts = sorted(_models(house, late, moved), key=lambda part: part.size)
    for share, work in ((RELAX_SHARE, _relax), (ROWS_SHARE, _tighten), (1.0, _branch)):
        left = sum(part.size for part in parts)
        for part in parts:
            until = end - seconds * (1 - share)
            # What a small part does not need is left to the larger ones after it. A part that is
            # not relaxed to the end counts nothing, so that one takes what is left.
            own = 1.0 if work is _relax else part.size / left
            work(part, (until - time.monotonic()) * own, _Said(parts, part, hear))
            left -= part.size
    return sum(part.found.least for part in parts)


def _size(year: YearModel) -> int:
    return len(year.cp.proto.variables)


@dataclass(frozen=True)
class _Said:
    """What a part has to say, made to speak for the whole."""

    parts: Sequence[_Part]
    part: _Part
    hear: Hearing

    def __call__(self, least: int) -> None:
        others = sum(other.found.least for other in self.parts if other is not self.part)
        self.hear.bound(others + max(self.part.found.least, least))
        self.hear.likely(Likely(self.part.tightening.made()))

    def rows(self) -> None:
        found = self.part.found.cuts
        if found:
            self.hear.rows(FoundRows(tuple(found), numbers_of(self.part.year)))


def _relax(part: _Part, seconds: float, heard: _Said) -> None:
    """Every part is relaxed once before any is tightened: a part not reached counts nothing."""
    part.tightening.run(seconds, heard, rounds=1)


def _tighten(part: _Part, seconds: float, heard: _Said) -> None:
    if seconds > 0:
        part.tightening.run(seconds, heard)
        heard.rows()


def _branch(part: _Part, seconds: float, heard: _Said) -> None:
    if seconds <= LEAST_BRANCHING or not part.found.least:
        return
    end, counted = time.monotonic() + seconds, CountedBranches(part.tightening, heard.hear.cores)
    # Small parts are soon branched to the end as they are.
    if part.size > LARGE and counted.promise(seconds):
        heard.hear.could_use_more(CouldUseMore())
        least = counted.run(end - time.monotonic(), heard)
    else:
        least = branched_bound(part.year, part.whole, part.found, end - time.monotonic())
    part.found.least = least
    heard(least)


def _model(house: House) -> YearModel:
    return add_resources(YearModel(house, groups_of(house), Capacity(house)))


def _models(house: House, late: int, moved: int) -> list[_Part]:
    years = [_model(alone) for alone in parts_of(house)]
    unavoidable = sum(year.late.constant for year in years)
    all_lost = lost(house, [group for year in years for group in year.groups])
    for year in years:
        year.cp.add(year.late.expression() <= late - unavoidable + year.late.constant)
        own = lost(year.house, year.groups)
        year.cp.add(year.moved.expression() <= moved - all_lost + own)
    wholes = [year.whole_cost() for year in years]
    return [_Part(y, whole, Tightening(y, whole)) for y, whole in zip(years, wholes, strict=True)]
