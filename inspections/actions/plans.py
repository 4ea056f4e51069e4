"""Apply a regime to equipment as a plan; end a plan."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.generate_tasks import generate_for_plans
from inspections.models import Plan, RegimeVersion
from inspections.regime_shapes import Regime
from venue.actions.log import write_line
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
        after = {
            "regime": regime.slug,
            "interval": regime.interval,
            "anchor": anchor,
            "hash": regime.hash,
        }
        write_line(
            venue=equipment.venue, by=by, at=at, did="apply_regime", subject=plan, after=after
        )
        generate_for_plans(equipment.venue, [plan], at)
    return plan


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
