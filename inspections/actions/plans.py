"""Apply a regime to equipment as a plan; end a plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from inspections.actions.generate_tasks import generate_for_plans
from inspections.models import Plan, RegimeVersion
from inspections.queries.set_up_regimes import FirstPlan
from inspections.regime_shapes import Regime
from venue.actions.log import Deed, write_line, write_lines
from venue.models import Equipment, Person


class AlreadyApplied(ValueError):
    """The regime already runs on this equipment."""


def freeze_regime(regime: Regime, at: datetime) -> RegimeVersion:
    """The regime's text as used now; the same text is kept once."""
    fresh = {"slug": regime.slug, "title": regime.title, "body": regime.body, "first_used": at}
    version, _ = RegimeVersion.objects.get_or_create(hash=regime.hash, defaults=fresh)
    return version


def apply_regime(
    *,
    equipment: Equipment,
    regime: Regime,
    anchor: date,
    last_done_on: date | None,
    by: Person | None,
    at: datetime,
    usual_person: Person | None = None,
) -> Plan:
    """Start a plan and make its tasks. `anchor` is the first due day, or the fixed day to count from."""
    with transaction.atomic():
        if equipment.plans.filter(regime=regime.slug, ended_on__isnull=True).exists():
            raise AlreadyApplied(f"“{regime.title}” already runs on {equipment.tag}.")
        plan = Plan.objects.create(
            equipment=equipment,
            regime=regime.slug,
            version=freeze_regime(regime, at),
            level=regime.level,
            interval=regime.interval,
            counting=regime.counting,
            anchor=anchor,
            early=regime.early,
            lawful_slack=regime.lawful_slack,
            planned_before=regime.planned_before,
            last_done_on=last_done_on,
            usual_person=usual_person,
        )
        write_line(
            venue=equipment.venue, by=by, at=at, did="apply_regime", subject=plan,
            after=_told(plan),
        )  # fmt: skip
        generate_for_plans(equipment.venue, [plan], at)
    return plan


def apply_regimes(*, wanted: Sequence[FirstPlan], first_by: date, by: Person, at: datetime) -> int:
    """Many plans at once, none of which was ever recorded as done: each is counted from what a list
    says of its thing, or due by `first_by`, or after one interval where that is sooner. What runs
    already is passed over, so twice does no harm. Returns how many plans are new."""
    with transaction.atomic():
        ids = [one.equipment.pk for one in wanted]
        list(Equipment.objects.select_for_update(no_key=True).filter(pk__in=ids).values_list("pk"))
        rows = Plan.objects.filter(equipment__in=ids, ended_on__isnull=True)
        running = set(rows.values_list("equipment_id", "regime"))
        fresh = [one for one in wanted if (one.equipment.pk, one.regime.slug) not in running]
        plans = Plan.objects.bulk_create(_first_plans(fresh, first_by, at), batch_size=200)
        for venue in {one.equipment.venue for one in fresh}:
            own = [plan for plan in plans if plan.equipment.venue_id == venue.pk]
            deeds = [Deed("apply_regime", plan, after=_told(plan)) for plan in own]
            write_lines(venue=venue, by=by, at=at, deeds=deeds)
            generate_for_plans(venue, own, at)
    return len(plans)


def _first_plans(wanted: Sequence[FirstPlan], first_by: date, at: datetime) -> list[Plan]:
    regimes = {one.regime.slug: one.regime for one in wanted}
    versions = {slug: freeze_regime(regime, at) for slug, regime in regimes.items()}
    starts = [one.start(first_by, _today(one.equipment, at)) for one in wanted]
    return [
        Plan(
            equipment=one.equipment, regime=one.regime.slug, version=versions[one.regime.slug],
            level=one.regime.level, interval=one.regime.interval, counting=one.regime.counting,
            anchor=start.due_on, next_no_later_than=start.no_later_than, early=one.regime.early,
            lawful_slack=one.regime.lawful_slack, planned_before=one.regime.planned_before,
            listed_day=one.listed,
        )
        for one, start in zip(wanted, starts, strict=True)
    ]  # fmt: skip


def _today(equipment: Equipment, at: datetime) -> date:
    return at.astimezone(equipment.venue.zone).date()


def _told(plan: Plan) -> dict[str, object]:
    told: dict[str, object] = {
        "regime": plan.regime, "interval": plan.interval, "anchor": plan.anchor,
        "hash": plan.version.hash,
    }  # fmt: skip
    if plan.listed_day:
        listed = plan.listed_day
        told |= {"counted_from": listed.day, "said_by_list": f"{listed.heading}: {listed.text}",
                 "list": listed.file_name, "list_read_in": listed.at}  # fmt: skip
        if plan.turns_missed:
            told |= {"turns_missed": plan.turns_missed, "late_since": plan.next_no_later_than}
    return told


def end_plan(*, plan: Plan, why: str, by: Person, at: datetime) -> None:
    """Stop a plan; its open tasks are cancelled with the same reason."""
    venue = plan.equipment.venue
    today = at.astimezone(venue.zone).date()
    with transaction.atomic():
        ended = Plan.objects.filter(pk=plan.pk, ended_on__isnull=True).update(
            ended_on=today, ended_why=why
        )
        if ended:
            plan.tasks.filter(state="open").update(state="cancelled", closed_why=why)
            write_line(venue=venue, by=by, at=at, did="end_plan", subject=plan, after={"why": why})
