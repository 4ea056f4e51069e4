"""Which papers a year plan gives: a work pack for each visit, a letter for each isolation."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from inspections.models import PlannedTask, YearPlan
from inspections.planning.house import Task
from inspections.queries.check_year_plan import Checked, check_year_plan
from inspections.queries.planning_settings import set_up_rows
from inspections.work_files import work_needs

PACK, NOTICE = "work_pack", "notice"


@dataclass
class Occasion:
    """A day on which an examiner comes, or on which something is isolated, and its tasks."""

    what: str
    of: str
    words: str
    day: date
    notice_days: int = 0
    tasks: list[Task] = field(default_factory=list)

    @property
    def title(self) -> str:
        kind = "Work pack" if self.what == PACK else "Notice"
        return f"{kind}: {self.words}, {self.day:%-d %B %Y}"

    @property
    def send_by(self) -> date:
        return self.day - timedelta(days=self.notice_days)


@dataclass(frozen=True)
class YearPapers:
    plan: YearPlan
    checked: Checked
    visits: list[Occasion]
    notices: list[Occasion]

    def occasion(self, what: str, of: str, day: date) -> Occasion | None:
        each = self.visits if what == PACK else self.notices
        return next((one for one in each if (one.of, one.day) == (of, day)), None)

    def row(self, task: Task) -> PlannedTask:
        return self.checked.rows[task]


def year_papers(plan: YearPlan, now: datetime) -> YearPapers:
    """As the plan stands; tasks of plans that have ended since are not in it."""
    checked = check_year_plan(plan, now)
    visits, notices = _visits(checked), _notices(plan, checked)
    return YearPapers(plan, checked, _in_order(visits), _in_order(notices))


def _in_order(occasions: Iterable[Occasion]) -> list[Occasion]:
    return sorted(occasions, key=lambda one: (one.day, one.words))


def _visits(checked: Checked) -> Iterable[Occasion]:
    trades = work_needs().trades
    found: dict[tuple[str, date], Occasion] = {}
    for task, row in sorted(checked.rows.items(), key=lambda each: each[0].slot):
        if row.examiner:
            words = trades[row.examiner].words if row.examiner in trades else row.examiner
            blank = Occasion(PACK, row.examiner, words, row.day)
            found.setdefault((row.examiner, row.day), blank).tasks.append(task)
    return found.values()


def _notices(plan: YearPlan, checked: Checked) -> Iterable[Occasion]:
    """What is made ready and needs notice."""
    told, found = set_up_rows(plan.venue), dict[tuple[str, date], Occasion]()
    for task, row in sorted(checked.rows.items(), key=lambda each: each[0].slot):
        for kind in checked.found.needed[task.plan].set_ups.values():
            days = told[kind.slug][0].notice_days
            if days:
                blank = Occasion(NOTICE, kind.slug, kind.words, row.day, days)
                found.setdefault((kind.slug, row.day), blank).tasks.append(task)
    return found.values()
