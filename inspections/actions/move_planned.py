"""What a person does by hand to a task of a plan that is not published: move it, and undo that."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import transaction

from inspections.actions.deal_people import deal_again
from inspections.actions.year_plan_states import refuse_closed
from inspections.known_late import meant_late, with_meant
from inspections.models import PlannedMove, PlannedTask, YearPlan
from inspections.over_budget import WITHOUT_MONEY
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import Task as PureTask
from inspections.queries.check_year_plan import Checked, check_year_plan, slot_at
from inspections.queries.moves_of_plan import what_a_move_breaks
from inspections.queries.year_budgets import budgets_known
from inspections.year_budget import paid_by_year
from inspections.year_dates import dated_tasks
from inspections.year_figures import faults_in_words, figures_of
from venue.actions.log import write_line
from venue.models import Person


class TaskLocked(ValueError):
    """A locked task is not moved by hand either."""


class MoveRefused(ValueError):
    """The half-day is not lawful. `reasons` are sentences."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


def move_planned(
    *,
    planned: PlannedTask,
    day: date,
    half: str,
    by: Person,
    at: datetime,
    late_is_meant: bool = False,
    over_budget_is_meant: bool = False,
) -> PlannedMove | None:
    """Move a task to another half-day; the later ones of its plan get their dates again, and the
    people of both half-days are dealt out again. Nothing happens where it is already there.
    Raises CannotChange, TaskLocked, MoveRefused."""
    with transaction.atomic():
        planned = _fresh(planned)
        if planned.locked:
            raise TaskLocked("This task is locked. Unlock it first.")
        if (planned.day, planned.half) == (day, half):
            return None
        year_plan, checked = planned.year_plan, check_year_plan(planned.year_plan, at)
        refuse_unlawful(checked, planned, day, half, late_is_meant)
        if not over_budget_is_meant:
            _refuse_over_budget(checked, planned, day, half)
        judged, known = _put(checked, planned, day, half), year_plan.known_late
        meant = meant_late(known, checked.judged.late, judged.late)
        move = PlannedMove.objects.create(
            year_plan=year_plan, planned=planned, from_day=planned.day, from_half=planned.half,
            to_day=day, to_half=half, late_meant=meant, by=by, at=at,
        )  # fmt: skip
        _refigure(year_plan, checked, judged, with_meant(known, meant))
        _log(year_plan, planned, "move_planned_task", move, by, at)
    return move


def refuse_unlawful(
    checked: Checked, planned: PlannedTask, day: date, half: str, late_is_meant: bool
) -> None:
    """Raises MoveRefused where the evaluator finds a fault that was not there, or more days late."""
    breaks = what_a_move_breaks(checked, planned, day, half)
    if breaks.faults:
        raise MoveRefused(breaks.faults)
    if breaks.late and not late_is_meant:
        raise MoveRefused(breaks.late)


def _refuse_over_budget(checked: Checked, planned: PlannedTask, day: date, half: str) -> None:
    """The sentence holds no money: the check of the move tells that to whoever may see it. Raises
    MoveRefused."""
    found = checked.found
    task = PureTask(found.keys[planned.plan_id], checked.slot(planned))
    slot = slot_at(planned.year_plan, found.span.number(day), half)
    if budgets_known(found.venue).over(found.house, checked.rows, task, slot):
        raise MoveRefused([WITHOUT_MONEY])


def undo_last_move(*, year_plan: YearPlan, by: Person, at: datetime) -> PlannedMove | None:
    """The newest move that stands is taken back; None: there is none. The old half-day is judged
    as it is now, like any other, but for money: the plan was as dear before.
    Raises CannotChange, TaskLocked, MoveRefused."""
    with transaction.atomic():
        refuse_closed(year_plan)
        move = year_plan.moves.filter(undone_at__isnull=True).select_related("planned").first()
        if move is None:
            return None
        planned, checked = _fresh(move.planned), check_year_plan(year_plan, at)
        if planned.locked:
            raise TaskLocked("This task is locked. Unlock it first.")
        known = with_meant(year_plan.known_late, move.late_meant, back=True)
        breaks = what_a_move_breaks(checked, planned, move.from_day, move.from_half, known)
        if not breaks.lawful:
            raise MoveRefused(breaks.faults or breaks.late)
        PlannedMove.objects.filter(pk=move.pk).update(undone_at=at)
        judged = _put(checked, planned, move.from_day, move.from_half)
        _refigure(year_plan, checked, judged, known)
        _log(year_plan, planned, "undo_planned_move", move, by, at, back=True)
    return move


def _put(checked: Checked, planned: PlannedTask, day: date, half: str) -> Evaluation:
    """Write the half-day; then everything that follows from it. What the plan is worth then."""
    span, key = checked.found.span, checked.found.keys[planned.plan_id]
    before = PureTask(key, checked.slot(planned))
    after = PureTask(key, slot_at(planned.year_plan, span.number(day), half))
    rows = dict(checked.rows)
    row = rows.pop(before)
    PlannedTask.objects.filter(pk=row.pk).update(day=day, half=half)
    row.day, row.half = day, half
    rows[after] = row
    _redate(checked, rows, key)
    deal_again(checked, rows, {before.slot, after.slot})
    return evaluate(checked.found.house, rows)


def _redate(checked: Checked, rows: dict[PureTask, PlannedTask], key: str) -> None:
    """Along the plan's own chain; and the dated tasks are taken in their order."""
    first, open_tasks = checked.found.span.first_day, checked.found.starts[key].open_tasks
    mine = [task for task in rows if task.plan == key]
    changed = []
    for dated in dated_tasks(checked.found.house, mine):
        row = rows[dated.task]
        row.due_on = first + timedelta(days=dated.due)
        row.last_lawful_on = first + timedelta(days=dated.last_lawful)
        row.late_days = dated.late
        row.task = open_tasks[dated.order] if dated.order < len(open_tasks) else None
        changed.append(row)
    PlannedTask.objects.bulk_update(changed, ["due_on", "last_lawful_on", "late_days", "task"])


def _refigure(
    year_plan: YearPlan, checked: Checked, judged: Evaluation, known_late: dict[str, int]
) -> None:
    """The figures are those of the plan as it now is; a bound that was proven still holds. What the
    plan may be late by follows only from how it was made and from moves that were meant late, so
    that a move forgives nothing that has come up beside it."""
    outcome = year_plan.outcome | {
        "figures": figures_of(judged),
        "late": judged.late,
        "known_late": known_late,
        "paid": paid_by_year(checked.found.house, _now(checked)),
        "faults": faults_in_words(checked.found.house, judged.faults),
        "moved_by_hand": year_plan.moves.filter(undone_at__isnull=True).count(),
    }
    YearPlan.objects.filter(pk=year_plan.pk).update(outcome=outcome)


def _now(checked: Checked) -> list[PureTask]:
    """The tasks where their rows are by now."""
    return [PureTask(task.plan, checked.slot(row)) for task, row in checked.rows.items()]


def _fresh(planned: PlannedTask) -> PlannedTask:
    refuse_closed(planned.year_plan)
    related = ("year_plan__venue", "plan__version", "equipment")
    return PlannedTask.objects.select_related(*related).get(pk=planned.pk)


def _log(
    year_plan: YearPlan, planned: PlannedTask, did: str, move: PlannedMove, by: Person, at: datetime,
    *, back: bool = False,
) -> None:  # fmt: skip
    there = {"day": move.from_day, "half": move.from_half}
    here = {"day": move.to_day, "half": move.to_half}
    before, after = (here, there) if back else (there, here)
    write_line(
        venue=year_plan.venue, by=by, at=at, did=did, subject=planned, before=before, after=after
    )
