"""What is planned in each calendar year against what may be spent in it. Pure.

A budget holds nothing back: the law goes first. So the planner never reads it; what is planned anyhow,
as cheaply as it was found, is held against it afterwards and said.
"""

from __future__ import annotations

from calendar import isleap
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from inspections.month_costs import MonthCost, month_costs
from inspections.planning.house import House, Task
from inspections.planning.wording import money_words

ALL_WORK = "all inspections"


@dataclass(frozen=True)
class Budgets:
    """Of a year, in the smallest coin. `trades`: of the visits of outside examiners."""

    all_work: int | None = None
    trades: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Spending:
    """What is planned for one purpose in the days of a calendar year that the plan covers."""

    year: int
    of: str
    planned: int
    budget: int
    days: int

    @property
    def over(self) -> int:
        return max(0, self.planned - self.budget)

    @property
    def left(self) -> int:
        return max(0, self.budget - self.planned)

    @property
    def days_of_year(self) -> int:
        return 366 if isleap(self.year) else 365

    @property
    def cells(self) -> tuple[str, str, str]:
        """Planned, the budget, and what is over or left."""
        return (
            money_words(self.planned),
            money_words(self.budget),
            money_words(self.over or self.left),
        )

    def over_words(self, unit: str = "") -> str:
        """
        >>> Spending(2027, ALL_WORK, 1_250_000, 1_000_000, 365).over_words("£")
        '2027, all inspections: £ 2,500.00 over the budget of £ 10,000.00'
        """
        over, budget = (f"{unit} {money_words(each)}".strip() for each in (self.over, self.budget))
        return f"{self.year}, {self.of}: {over} over the budget of {budget}"

    @property
    def told(self) -> dict[str, Any]:
        """For programs, in the larger coin."""
        return {
            "year": self.year, "of": self.of, "planned": self.planned / 100,
            "budget": self.budget / 100, "over": self.over / 100, "days_covered": self.days,
        }  # fmt: skip


def paid_by_year(house: House, tasks: Iterable[Task]) -> dict[str, dict[str, Any]]:
    """What is really paid in each calendar year: in all, by the trade of examiners, and for how many
    days of it the plan stands. Kept with the plan, so its keys are texts."""
    days = Counter((house.first_day + timedelta(days=n)).year for n in range(house.days))
    found: dict[str, dict[str, Any]] = {
        str(year): {"days": count, "total": 0, "trades": Counter()} for year, count in days.items()
    }
    for month in month_costs(house, tasks):
        year = found[str(month.first.year)]
        year["total"] += month.total
        year["trades"].update(_fees(house, month))
    return {year: {**told, "trades": dict(told["trades"])} for year, told in found.items()}


def _fees(house: House, month: MonthCost) -> dict[str, int]:
    return {
        trade: count * house.examiners[trade].day_fee
        for trade, count in month.examiner_days.items()
    }


def spending_of(
    paid: Mapping[str, Mapping[str, Any]], budgets: Budgets, words: Mapping[str, str]
) -> list[Spending]:
    """Each year against each budget that there is. `words`: of the trades.

    >>> paid = {"2027": {"days": 214, "total": 900, "trades": {"lifting": 500}}}
    >>> [each.over for each in spending_of(paid, Budgets(1000, {"lifting": 400}), {})]
    [0, 100]
    """
    return [
        each for year in sorted(paid) for each in _of_year(int(year), paid[year], budgets, words)
    ]


def _of_year(
    year: int, told: Mapping[str, Any], budgets: Budgets, words: Mapping[str, str]
) -> Iterator[Spending]:
    if budgets.all_work is not None:
        yield Spending(year, ALL_WORK, told["total"], budgets.all_work, told["days"])
    for trade, budget in sorted(budgets.trades.items()):
        planned = told["trades"].get(trade, 0)
        yield Spending(year, words.get(trade, trade), planned, budget, told["days"])
