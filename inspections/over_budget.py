"""Which budgets a move by hand would exceed, or exceed by more than now. Pure.

A budget holds nothing back, so this refuses nothing: whoever moves the task says that it is meant.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from inspections.planning.house import House, Task
from inspections.planning.wording import money_words
from inspections.year_budget import Budgets, Spending, paid_by_year, spending_of

WITHOUT_MONEY = "A budget that the manager has set would be exceeded."


@dataclass(frozen=True)
class BudgetsKnown:
    """What a venue may spend in a calendar year. `words`: of the examiners' trades; `unit`: as printed
    before an amount."""

    budgets: Budgets
    words: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""

    def over(self, house: House, tasks: Iterable[Task], task: Task, slot: int) -> tuple[str, ...]:
        """A sentence for each budget that is exceeded by more once the task begins in another half-day
        of the house: for whoever may see money."""
        if self.budgets == Budgets():
            return ()
        planned = sorted(tasks)
        moved = [other for other in planned if other != task] + [task._replace(slot=slot)]
        now, then = (self._spending(house, each) for each in (planned, moved))
        pairs = zip(now, then, strict=True)
        return tuple(self._said(one, two) for one, two in pairs if two.over > one.over)

    def _spending(self, house: House, tasks: Iterable[Task]) -> list[Spending]:
        return spending_of(paid_by_year(house, tasks), self.budgets, self.words)

    def _said(self, now: Spending, then: Spending) -> str:
        year, of, budget, over = (
            then.year,
            then.of,
            self._money(then.budget),
            self._money(then.over),
        )
        if not now.over:
            return f"The budget of {year} for {of}, {budget}, would be exceeded by {over}."
        more = self._money(then.over - now.over)
        return (
            f"The budget of {year} for {of}, {budget}, would be exceeded by {over}: "
            f"{more} more than now."
        )

    def _money(self, coins: int) -> str:
        return f"{self.unit} {money_words(coins)}".strip()
