"""The budgets of a venue, and what a plan comes to against them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspections.models import PlanningSettings, YearPlan
from inspections.over_budget import BudgetsKnown
from inspections.queries.planning_settings import coins, settings_of, trade_rows
from inspections.work_files import work_needs
from inspections.year_budget import Budgets, Spending, spending_of
from venue.models import Venue


def budgets_of(venue: Venue) -> Budgets:
    """As they are entered now: a plan that is published is held against them, too."""
    return _budgets(venue, settings_of(venue).row)


def budgets_known(venue: Venue) -> BudgetsKnown:
    """With what their words need."""
    row = settings_of(venue).row
    return BudgetsKnown(_budgets(venue, row), _trade_words(), row.money_unit)


def _budgets(venue: Venue, row: PlanningSettings) -> Budgets:
    whole = row.year_budget
    trades = {slug: row.year_budget for slug, (row, _) in trade_rows(venue).items()}
    return Budgets(
        None if whole is None else coins(whole),
        {slug: coins(budget) for slug, budget in trades.items() if budget is not None},
    )


def spending_of_plan(plan: YearPlan) -> list[Spending]:
    """With the prices of the day on which it was made or last changed by hand. A plan that was kept
    before there were budgets does not know it; its cost forecast does."""
    return spending_against(plan.venue, plan.outcome.get("paid", {}))


def spending_against(venue: Venue, paid: Mapping[str, Mapping[str, Any]]) -> list[Spending]:
    return spending_of(paid, budgets_of(venue), _trade_words())


def _trade_words() -> dict[str, str]:
    return {slug: trade.words for slug, trade in work_needs().trades.items()}
