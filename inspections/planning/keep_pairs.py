"""Hands a group's tasks out so that agreed pairs stay. Needs OR-Tools."""

from __future__ import annotations

from ortools.sat.python import cp_model

from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.groups import Group
from inspections.planning.house import House, Task

SECONDS, LOCKED_WEIGHT = 5.0, 1000


def keep_pairs(house: House, group: Group, begins: list[int], fallback: list[Task]) -> list[Task]:
    """The tasks of the group with the most agreed pairs, if no day is later or earlier for it."""
    allowed = _judged(house, group, fallback)
    model = _Pairs(house, group, begins, allowed.late_days)
    found = model.solve()
    if found is None:
        return fallback
    judged = _judged(house, group, found)
    return found if judged.rank <= allowed.rank else fallback


def _judged(house: House, group: Group, tasks: list[Task]) -> Evaluation:
    """The group's own chains, with what was agreed and locked for it."""
    keys = {plan.key for plan in group.members}
    alone = House(
        house.first_day, house.access, group.members, house.people, house.examiners, house.set_ups,
        overtime_price=house.overtime_price,
        agreed=frozenset(task for task in house.agreed if task.plan in keys),
        locked=frozenset(task for task in house.locked if task.plan in keys),
    )  # fmt: skip
    return evaluate(alone, tasks)


class _Pairs:
    """One yes or no for each (member, half-day); windows for each member on its own."""

    def __init__(self, house: House, group: Group, begins: list[int], late_days: int) -> None:
        self.house, self.group = house, group
        self.cp = cp_model.CpModel()
        self.slots = sorted(set(begins))
        self.takes = {
            (m, slot): self.cp.new_bool_var("") for m in range(group.size) for slot in self.slots
        }
        for slot in self.slots:
            taken = sum(self.takes[m, slot] for m in range(group.size))
            self.cp.add(taken == begins.count(slot))
        self.late: list[cp_model.IntVar] = []
        for member in range(group.size):
            self._one_a_day(member)
            self._windows(member)
        self.cp.add(sum(self.late) <= late_days)
        self._prefer()

    def _one_a_day(self, member: int) -> None:
        days: dict[int, list[cp_model.IntVar]] = {}
        for slot in self.slots:
            days.setdefault(self.group.done_on(slot), []).append(self.takes[member, slot])
        for same in days.values():
            self.cp.add_at_most_one(same)

    def _windows(self, member: int) -> None:
        for day in range(self.house.days):
            asked = self._asked(member, day)
            if not asked:
                continue
            covers = [
                self.takes[member, slot]
                for slot in self.slots
                if self.group.done_on(slot) <= day and self._counts(slot, day)
            ]
            late = self.cp.new_int_var(0, asked, "")
            self.cp.add(sum(covers) + late >= asked)
            self.late.append(late)

    def _asked(self, member: int, day: int) -> int:
        plan = self.group.members[member]
        if self.group.anchored:
            return sum(due.last_lawful <= day for due in plan.due_days)
        return int(plan.first_lawful <= day)

    def _counts(self, slot: int, day: int) -> bool:
        return self.group.anchored or self.group.lawful[self.group.done_on(slot)] > day

    def _prefer(self) -> None:
        goal: list[cp_model.LinearExprT] = []
        for (member, slot), takes in self.takes.items():
            task = Task(self.group.members[member].key, slot)
            if task in self.house.locked:
                goal.append(LOCKED_WEIGHT * takes)
            elif task in self.house.agreed:
                goal.append(takes)
        self.cp.maximize(sum(goal))

    def solve(self) -> list[Task] | None:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = SECONDS
        if solver.solve(self.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return [
            Task(self.group.members[member].key, slot)
            for (member, slot), takes in self.takes.items()
            if solver.boolean_value(takes)
        ]
