"""A bad answer about a part that was moved meanwhile bites where the part is now."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from inspections.actions.open_finding import finding_with_order
from inspections.consequences import Consequence, TooMild, consequence_of
from inspections.models import Record
from inspections.queries.arrived_answers import Gone, as_it_bites
from inspections.queries.checks import Asked, ask
from rigging.engine import RuleSet
from rigging.queries.ropes import rulesets_in_force
from venue.models import Person


def follow_moved_parts(
    *, record: Record, gone: Sequence[Gone], day: date, by: Person, at: datetime
) -> None:
    """Open the findings, in the caller's transaction. A part that is out of use needs none."""
    rulesets = rulesets_in_force(record.venue, day) if gone else []
    for each in gone:
        if bad := _bad(each, rulesets):
            place = each.part.equipment if each.part else record.equipment
            finding_with_order(
                equipment=place, part=each.part, record=record, answer=None,
                what=f"Found bad on {record.equipment.tag}, before it was here: {bad.question.check.question}",
                detail=each.words, follows=_follows(bad, at.astimezone(record.venue.zone).date()),
                by=by, at=at,
            )  # fmt: skip


def _bad(gone: Gone, rulesets: Sequence[RuleSet]) -> Asked | None:
    if gone.now is None:
        return None
    typed = as_it_bites(ask(gone.now, gone.typed, rulesets, []), rulesets)
    return ask(gone.now, typed, rulesets, []) if typed else None


def _follows(bad: Asked, today: date) -> Consequence:
    """By the regime's own grade where the one chosen is too mild. A bad state always has one."""
    check = bad.question.check
    try:
        follows = consequence_of(check, bad.state, bad.read.grade, today)
    except TooMild:
        follows = consequence_of(check, bad.state, {}, today)
    return follows or Consequence("not_used_until_cured", "out_of_service", today, None, "")
