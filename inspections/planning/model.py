"""The year as a CP-SAT model: sliding windows over groups, on running totals. Needs OR-Tools.

Asked of every day: is each member of the group still covered by something done within its
interval? Any window of one interval must hold as many tasks as the group has members; for
interchangeable members that is exact. A window's count is the difference of two running totals,
so a row has two terms however long the interval is, and no chain of tasks is modelled at all.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import House, day_of

Tag = tuple[str, str]
"""What a cost belongs to: ("group", "3"), ("examiner", "lifting"), ("set-up", "grid swept")."""


class Terms:
    """A weighted sum of variables and a constant."""

    def __init__(self) -> None:
        self.vars: list[cp_model.IntVar] = []
        self.weights: list[int] = []
        self.constant = 0

    def add(self, var: cp_model.IntVar, weight: int) -> None:
        if weight:
            self.vars.append(var)
            self.weights.append(weight)

    def take(self, other: Terms) -> None:
        """Add another sum to this one."""
        self.vars += other.vars
        self.weights += other.weights
        self.constant += other.constant

    def expression(self) -> cp_model.LinearExprT:
        return cp_model.LinearExpr.weighted_sum(self.vars, self.weights) + self.constant


@dataclass(frozen=True)
class Running:
    """Running totals, by the numbers of their variables, and what each adds to the one before."""

    totals: tuple[int, ...]
    parts: tuple[tuple[int, ...], ...]


class YearModel:
    """Variables and the law of intervals; `model_resources.add_resources` adds the rest."""

    def __init__(self, house: House, groups: Sequence[Group], capacity: Capacity) -> None:
        self.house, self.groups, self.capacity = house, groups, capacity
        self.cp = cp_model.CpModel()
        self.late, self.moved, self.level = Terms(), Terms(), Terms()
        self.late_of: dict[int, Terms] = defaultdict(Terms)
        self.cost: dict[Tag, Terms] = defaultdict(Terms)
        self.begun: dict[tuple[int, int], cp_model.IntVar] = {}
        self.most: dict[tuple[int, int], int] = {}
        self.totals: dict[int, tuple[list[int], list[cp_model.IntVar]]] = {}
        self.asked: dict[int, list[tuple[Row, cp_model.IntVar]]] = defaultdict(list)
        """For each group the windows that must hold tasks, and by how many they are short."""
        self.allowed: dict[int, list[tuple[Row, cp_model.IntVar]]] = defaultdict(list)
        """For each group the windows that should hold no more, and by how many they do."""
        self.made: dict[Tag, dict[int, cp_model.IntVar]] = defaultdict(dict)
        """Whether an examiner comes (by day), a set-up is made (by day or half-day)."""
        self.overtime: dict[int, cp_model.IntVar] = {}
        self.running: list[Running] = []
        self.span: dict[int, tuple[int, int]] = {}
        """For each group the numbers of its own variables, first and after the last: the same
        group of another model has the same in the same order, but for those of margins at the
        end."""
        for group in groups:
            first = len(self.cp.proto.variables)
            self._count(group)
            self._windows(group)
            self.span[group.number] = (first, len(self.cp.proto.variables))

    # -- counts --------------------------------------------------------------------------------
    def _count(self, group: Group) -> None:
        """How many of the group begin in each usable half-day, and the running total by day."""
        by_day: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        tag = self.cost["group", str(group.number)]
        for slot in group.slots:
            most = self._most(group, slot)
            if most:
                var = self.cp.new_int_var(0, most, f"n{group.number}_{slot}")
                self.begun[group.number, slot], self.most[group.number, slot] = var, most
                by_day[group.done_on(slot)].append(var)
                tag.add(var, group.pattern.price)
        self.totals[group.number] = self._running(group, by_day)

    def _running(
        self, group: Group, by_day: dict[int, list[cp_model.IntVar]]
    ) -> tuple[list[int], list[cp_model.IntVar]]:
        days = sorted(by_day)
        totals: list[cp_model.IntVar] = []
        for number, day in enumerate(days):
            total = self.cp.new_int_var(0, group.size * (number + 1), f"c{group.number}_{day}")
            self.cp.add(total == sum(by_day[day], start=totals[-1] if totals else 0))
            if len(by_day[day]) > 1:
                self.cp.add(sum(by_day[day]) <= group.size)
            totals.append(total)
        self.add_running(totals, [by_day[day] for day in days])
        return days, totals

    def add_running(
        self, totals: Sequence[cp_model.IntVar], parts: Sequence[Sequence[cp_model.IntVar]]
    ) -> None:
        """Say that each total is the one before and its own parts."""
        numbers = [tuple(var.index for var in some) for some in parts]
        self.running.append(Running(tuple(total.index for total in totals), tuple(numbers)))

    def _most(self, group: Group, slot: int) -> int:
        """The most of a group that people, examiner and zones allow in one half-day."""
        plan, most = group.pattern, group.size
        for covered in range(slot, slot + plan.duration):
            for limit in self.capacity.limits(covered) if plan.needs else ():
                asked = sum(n.quarters for n in plan.needs if n.competence in limit.competences)
                most = min(most, limit.most // asked) if asked else most
        if plan.examiner and plan.examiner_quarters:
            on_days = Counter(day_of(covered) for covered in range(slot, slot + plan.duration))
            a_day = plan.examiner_quarters * max(on_days.values())
            most = min(most, self.house.examiners[plan.examiner].quarters_a_day // a_day)
        alone = any(frozenset({use}) in self.house.clashes for use in plan.zones)
        return min(most, 1) if alone else most

    def counted(self, number: int, low: int, high: int) -> cp_model.LinearExpr:
        """Tasks of a group on its usable days low .. high - 1 (places in its list of days)."""
        totals = self.totals[number][1]
        ends = [totals[high - 1], *([totals[low - 1]] if low else [])]
        return cp_model.LinearExpr.weighted_sum(ends, [1, -1][: len(ends)])

    # -- the law of intervals ------------------------------------------------------------------
    def _windows(self, group: Group) -> None:
        days = self.house.days
        number, rows = str(group.number), self._rows(group, 0)
        late, used = Counter[Row](), Counter[Row]()
        for day, row in rows:
            (late if day < days else used)[row] += 1
        self._short(group, late, self.late_of[group.number], 1)
        self.late.take(self.late_of[group.number])
        self._short(group, used, self.cost["group", number], group.rate)
        if group.anchored:
            self._not_before_it_opens(group)
        if group.pattern.early_price:
            self._early(group)
        # The last, so that all before have the same places in a model without margins.
        if self.house.margin_days:
            self._margin(group)

    def _rows(self, group: Group, margin: int) -> Iterable[tuple[int, Row]]:
        """For each day: which of the usable days count, and how many tasks they must hold."""
        usable, horizon = self.totals[group.number][0], self.house.days
        lawful = [day - margin for day in group.lawful]
        until = horizon if group.anchored or margin else max(horizon, lawful[-1])
        dues = [due.last_lawful - margin for due in group.pattern.due_days]
        firsts = sorted(plan.first_lawful - margin for plan in group.members)
        for day in range(until):
            high = bisect_right(usable, day)
            if group.anchored:
                yield day, (0, high, group.size * sum(due <= day for due in dues))
            else:
                low = bisect_left(usable, bisect_right(lawful, day))
                yield day, (min(low, high), high, bisect_right(firsts, day))

    def _short(self, group: Group, rows: Counter[Row], into: Terms, price: int) -> None:
        """A window may be short of tasks, at a price for each item and day."""
        for (low, high, asked), days in rows.items():
            if not asked or not price:
                continue
            if high <= low:
                into.constant += asked * days * price
                continue
            short = self.cp.new_int_var(0, asked, "")
            self.cp.add(self.counted(group.number, low, high) + short >= asked)
            into.add(short, days * price)
            if into is self.late_of[group.number]:
                self.asked[group.number].append(((low, high, asked), short))

    def _margin(self, group: Group) -> None:
        """Days on which a task is not late yet, but nearly: short with the margin, not without."""
        rows = Counter(row for _, row in self._rows(group, self.house.margin_days))
        self._short(group, rows, self.level, 1)

    def _not_before_it_opens(self, group: Group) -> None:
        days, totals = self.totals[group.number]
        for day, total in zip(days, totals, strict=True):
            opened = sum(due.opens <= day for due in group.pattern.due_days)
            self.cp.add(total <= group.size * opened)

    def _early(self, group: Group) -> None:
        """More tasks in a window than the group has members: some came before their early days."""
        usable, early = self.totals[group.number][0], group.pattern.early_days
        opens = [day - early for day in group.due]
        firsts = sorted(plan.first_due - early for plan in group.members)
        dues = [due.due - early for due in group.pattern.due_days]
        rows = Counter[Row]()
        for day in range(self.house.days):
            high = bisect_right(usable, day)
            low = 0 if group.anchored else min(high, bisect_left(usable, bisect_right(opens, day)))
            room = group.size * sum(d <= day for d in dues)
            rows[low, high, room if group.anchored else bisect_right(firsts, day)] += 1
        for (low, high, allowed), days in rows.items():
            if high > low and group.size * (high - low) > allowed:
                over = self.cp.new_int_var(0, group.size * (high - low), "")
                self.cp.add(self.counted(group.number, low, high) - over <= allowed)
                tag = self.cost["group", str(group.number)]
                tag.add(over, days * group.pattern.early_price)
                self.allowed[group.number].append(((low, high, allowed), over))

    # -- reading -------------------------------------------------------------------------------
    def at_work(self) -> dict[int, list[tuple[Group, int]]]:
        """For each half-day the (group, beginning) pairs that are at work in it."""
        found: dict[int, list[tuple[Group, int]]] = defaultdict(list)
        groups = {group.number: group for group in self.groups}
        for number, begin in self.begun:
            for slot in range(begin, begin + groups[number].pattern.duration):
                found[slot].append((groups[number], begin))
        return found

    def whole_cost(self) -> Terms:
        """Every cost in one sum."""
        whole = Terms()
        for terms in self.cost.values():
            whole.take(terms)
        return whole

    def weeks(self) -> dict[int, list[tuple[cp_model.IntVar, int]]]:
        """For each week the (variable, quarter-hours) that make up its work."""
        found: dict[int, list[tuple[cp_model.IntVar, int]]] = defaultdict(list)
        for slot, pairs in self.at_work().items():
            for group, begin in pairs:
                quarters = sum(need.quarters for need in group.pattern.needs)
                found[day_of(slot) // 7].append((self.begun[group.number, begin], quarters))
        return found


Row = tuple[int, int, int]
"""First and last usable day (half open), and the tasks that are asked for or allowed."""
