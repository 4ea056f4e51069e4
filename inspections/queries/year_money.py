"""What a planned year will cost, month by month, with the venue's prices as they are now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from inspections.models import YearPlan
from inspections.month_costs import MonthCost, month_costs
from inspections.planning.wording import money_words
from inspections.queries.check_year_plan import check_year_plan
from inspections.queries.planning_settings import settings_of
from inspections.queries.year_budgets import spending_against
from inspections.year_budget import Spending, paid_by_year

CSV_HEAD = (
    "month", "tasks", "hours", "work", "examiner_days", "examiners", "made_ready", "made_ready_money",
    "overtime_hours", "overtime", "total",
)  # fmt: skip


@dataclass(frozen=True)
class Line:
    """A month, or all of them, as the page and the file tell it."""

    cost: MonthCost

    @property
    def cells(self) -> tuple[str, ...]:
        cost = self.cost
        return (
            str(cost.tasks), f"{cost.quarters / 4:g}", money_words(cost.work),
            str(cost.visit_days), money_words(cost.examiners), str(cost.set_up_count),
            money_words(cost.set_ups), f"{cost.overtime_quarters / 4:g}",
            money_words(cost.overtime), money_words(cost.total),
        )  # fmt: skip

    @property
    def made_ready(self) -> list[str]:
        counts = self.cost.set_up_counts
        return [f"{key}: {counts[key]}" for key in sorted(counts)]


@dataclass(frozen=True)
class Forecast:
    money_unit: str
    months: list[Line]
    total: Line
    spending: list[Spending]

    def csv_rows(self) -> Iterator[tuple[str, ...]]:
        """Amounts without a thousands separator, so that a program can read them."""
        yield CSV_HEAD
        for line in self.months:
            cells = tuple(cell.replace(",", "") for cell in line.cells)
            yield (f"{line.cost.first:%Y-%m}", *cells)


def forecast_of(plan: YearPlan, now: datetime) -> Forecast:
    checked = check_year_plan(plan, now)
    months = month_costs(checked.found.house, checked.rows)
    unit = settings_of(plan.venue).row.money_unit
    paid = paid_by_year(checked.found.house, checked.rows)
    spending = spending_against(plan.venue, paid)
    return Forecast(unit, [Line(month) for month in months], Line(_sum(months)), spending)


def _sum(months: list[MonthCost]) -> MonthCost:
    total = MonthCost(months[0].first)
    for month in months:
        for name in ("tasks", "quarters", "work", "examiners", "set_ups", "overtime_quarters",
                     "overtime"):  # fmt: skip
            setattr(total, name, getattr(total, name) + getattr(month, name))
        for mine, theirs in (
            (total.examiner_days, month.examiner_days),
            (total.set_up_counts, month.set_up_counts),
        ):
            for key, count in theirs.items():
                mine[key] += count
    return total
