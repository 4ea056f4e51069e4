"""What the half-days of a plan in the making hold: what still fits, and what more it costs. Pure."""

from __future__ import annotations

from collections import Counter

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import PER_DAY, House, day_of


class Load:
    """Counts by half-day that tasks are put into and taken out of."""

    def __init__(self, house: House, capacity: Capacity) -> None:
        self.house, self.capacity = house, capacity
        self.work: dict[int, Counter[str]] = {}
        self.examined: Counter[tuple[str, int]] = Counter()
        self.made: Counter[tuple[str, int]] = Counter()
        self.zones: Counter[tuple[tuple[str, str], int]] = Counter()
        self.kinds: Counter[tuple[str, int]] = Counter()
        self._against: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for clash in house.clashes:
            pair = (*clash, *clash)[:2]
            for one, other in {(pair[0], pair[1]), (pair[1], pair[0])}:
                self._against.setdefault(one, []).append(other)
        self._after = {kind: [t for f, t in house.order if f == kind] for kind, _ in house.order}
        self._before = {kind: [f for f, t in house.order if t == kind] for _, kind in house.order}

    def put(self, group: Group, begin: int, sign: int = 1) -> None:
        """Count a task in; with sign -1 count it out."""
        plan = group.pattern
        for slot in range(begin, begin + plan.duration):
            work = self.work.setdefault(slot, Counter())
            for need in plan.needs:
                work[need.competence] += sign * need.quarters
            for use in plan.zones:
                self.zones[use, slot] += sign
            for key in plan.set_ups:
                self.made[key, self._unit(key, slot)] += sign
            if plan.examiner:
                self.examined[plan.examiner, day_of(slot)] += sign * plan.examiner_quarters
            self.kinds[plan.kind, slot] += sign

    def fits(self, group: Group, begin: int) -> bool:
        """Whether a usable half-day still has room for one more of the group."""
        plan = group.pattern
        slots = range(begin, begin + plan.duration)
        return (
            all(self._zones_free(group, slot) and self._in_order(plan.kind, slot) for slot in slots)
            and self._examiner_free(group, slots)
            and all(self._people_free(group, slot) for slot in slots)
        )

    def extra_price(self, group: Group, begin: int) -> int:
        """What one more of the group costs there: new visits, set-ups, overtime."""
        plan, cost = group.pattern, 0
        slots = range(begin, begin + plan.duration)
        if plan.examiner:
            new = {day_of(s) for s in slots if not self.examined[plan.examiner, day_of(s)]}
            cost += len(new) * self.house.examiners[plan.examiner].day_fee
        for key in plan.set_ups:
            units = {self._unit(key, slot) for slot in slots}
            cost += self.house.set_ups[key].price * sum(not self.made[key, u] for u in units)
        if plan.needs and self.house.overtime_price:
            more = sum(self._overtime(s, group) - self._overtime(s, None) for s in slots)
            cost += more * self.house.overtime_price
        return cost

    def _unit(self, key: str, slot: int) -> int:
        return day_of(slot) if self.house.set_ups[key].per == PER_DAY else slot

    def _zones_free(self, group: Group, slot: int) -> bool:
        return not any(
            self.zones[other, slot]
            for use in group.pattern.zones
            for other in self._against.get(use, ())
        )

    def _in_order(self, kind: str, slot: int) -> bool:
        day = 2 * day_of(slot)
        if slot > day and any(self.kinds[then, day] for then in self._after.get(kind, ())):
            return False
        return slot > day or not any(self.kinds[f, day + 1] for f in self._before.get(kind, ()))

    def _examiner_free(self, group: Group, slots: range) -> bool:
        plan = group.pattern
        if not plan.examiner:
            return True
        most = self.house.examiners[plan.examiner].quarters_a_day
        more = Counter(day_of(slot) for slot in slots)
        return all(
            self.examined[plan.examiner, day] + count * plan.examiner_quarters <= most
            for day, count in more.items()
        )

    def _sum(self, slot: int, competences: frozenset[str], group: Group | None) -> int:
        work = self.work.get(slot)
        total = sum(work[name] for name in competences) if work else 0
        if group:
            total += sum(n.quarters for n in group.pattern.needs if n.competence in competences)
        return total

    def _people_free(self, group: Group, slot: int) -> bool:
        if not group.pattern.needs:
            return True
        limits = self.capacity.limits(slot)
        return all(self._sum(slot, limit.competences, group) <= limit.most for limit in limits)

    def _overtime(self, slot: int, group: Group | None) -> int:
        limits = self.capacity.limits(slot)
        over = [self._sum(slot, limit.competences, group) - limit.ordinary for limit in limits]
        return max(0, *over) if over else 0
