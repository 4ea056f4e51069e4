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
        self.sums: list[list[int]] = [[0] * len(capacity.limits(n)) for n in range(house.slots)]
        """For each half-day the quarter-hours that fall under each of its limits."""
        self.changes = [0] * house.days
        """For each day how often something was put there or taken out."""
        self._priced: dict[int, dict[int, tuple[int, int | None]]] = {}
        self._asked_of: dict[tuple[int, int], tuple[int, ...]] = {}
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
            sums = self.sums[slot]
            for number, quarters in enumerate(self._asked(group, slot)):
                sums[number] += sign * quarters
            for use in plan.zones:
                self.zones[use, slot] += sign
            for key in plan.set_ups:
                self.made[key, self._unit(key, slot)] += sign
            if plan.examiner:
                self.examined[plan.examiner, day_of(slot)] += sign * plan.examiner_quarters
            self.kinds[plan.kind, slot] += sign
            self.changes[day_of(slot)] += 1

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
            more = sum(self._more_overtime(slot, group) for slot in slots)
            cost += more * self.house.overtime_price
        return cost

    def price_if_it_fits(self, group: Group, slot: int) -> int | None:
        """What one more of a group costs there; None where it does not fit.

        Nothing but its own day has a say in that for a task of one half-day, so it is worked out
        again only after a change.
        """
        if group.pattern.duration > 1:
            return self.extra_price(group, slot) if self.fits(group, slot) else None
        known = self._priced.setdefault(group.number, {})
        changes = self.changes[day_of(slot)]
        found = known.get(slot)
        if found is None or found[0] != changes:
            price = self.extra_price(group, slot) if self.fits(group, slot) else None
            found = known[slot] = (changes, price)
        return found[1]

    def _unit(self, key: str, slot: int) -> int:
        return day_of(slot) if self.house.set_ups[key].per == PER_DAY else slot

    def _zones_free(self, group: Group, slot: int) -> bool:
        for use in group.pattern.zones:
            for other in self._against.get(use, ()):
                if self.zones[other, slot]:
                    return False
        return True

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

    def _asked(self, group: Group, slot: int) -> tuple[int, ...]:
        """What one task asks of the people under each limit; like half-days share their limits."""
        limits = self.capacity.limits(slot)
        key = (group.number, id(limits))
        found = self._asked_of.get(key)
        if found is None:
            found = self._asked_of[key] = tuple(
                sum(n.quarters for n in group.pattern.needs if n.competence in limit.competences)
                for limit in limits
            )
        return found

    def _people_free(self, group: Group, slot: int) -> bool:
        if not group.pattern.needs:
            return True
        sums, asked = self.sums[slot], self._asked(group, slot)
        for number, limit in enumerate(self.capacity.limits(slot)):
            if sums[number] + asked[number] > limit.most:
                return False
        return True

    def _more_overtime(self, slot: int, group: Group) -> int:
        sums, asked = self.sums[slot], self._asked(group, slot)
        before = after = 0
        for number, limit in enumerate(self.capacity.limits(slot)):
            over = sums[number] - limit.ordinary
            before, after = max(before, over), max(after, over + asked[number])
        return after - before
