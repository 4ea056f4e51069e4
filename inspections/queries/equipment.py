"""What the equipment pages show. Every list costs the same number of queries at any length."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from inspections.models import Finding, Plan, Record, Task
from inspections.queries.house_section import due_soon, shown_state
from inspections.queries.overview import findings
from inspections.queries.rope_trends import RopeTrends, rope_trends
from inspections.queries.state import EquipmentState, state_of, states_of
from inspections.queries.tasks import with_people
from inspections.queries.use_checks import use_checks_of
from inspections.regime_files import regimes_for
from inspections.regime_shapes import Regime
from rigging.models import RopeObserved
from rigging.queries.calculations import (
    KeptLine,
    RopeCalculation,
    calculations_for,
    calculations_of,
)
from venue.kind_files import Kind, kinds, part_kinds, show_field, show_quantity
from venue.models import Equipment, EquipmentFile, Part, PartFile, Venue
from venue.quantities import Quantity
from venue.queries.parts import Spell, same_thing, spells

# Worst first, so that a list begins with what nobody may use.
ORDER = ("out of service", "late", "restrict", "cannot be decided", "never", "watch", "fit")


@dataclass(frozen=True)
class EquipmentRow:
    equipment: Equipment
    kind_label: str
    state: EquipmentState
    shown: str  # as the drawing of the house tells states apart: "due" is in order, and due soon


def equipment_rows(venue: Venue, day: date) -> list[EquipmentRow]:
    """In walking order, in the same number of queries however many there are."""
    pieces = Equipment.objects.filter(venue=venue).exclude(standing="gone").select_related("place")
    ordered = list(pieces.order_by("place__walking_order", "walking_order", "tag"))
    states = states_of(ordered, day)
    due = due_soon(ordered, day)
    return [
        EquipmentRow(
            piece, kind_label(piece.kind, venue), states[piece.pk],
            shown_state(states[piece.pk], due.get(piece.pk)),
        )
        for piece in ordered
    ]  # fmt: skip


def kind_label(slug: str, venue: Venue) -> str:
    kind = kinds().get(slug)
    return kind.label(venue.dialect) if kind else slug


@dataclass(frozen=True)
class EquipmentWhole:
    """Everything the page of one piece of equipment shows."""

    equipment: Equipment
    kind_label: str
    hazards: list[str]
    state: EquipmentState
    facts: list[tuple[str, str]]
    parts: list[Part]
    tasks: list[Task]
    plans: list[Plan]
    records: list[Record]
    findings: list[Finding]
    use_checks: list[Regime]
    can_apply: list[Regime]
    files: list[EquipmentFile]
    calculations: list[KeptLine]
    rated: list[tuple[str, str, str]]


def equipment_whole(equipment: Equipment, day: date) -> EquipmentWhole:
    venue, kind = equipment.venue, kinds().get(equipment.kind)
    regimes = regimes_for(kind, equipment.fields) if kind else []
    plans = list(equipment.plans.filter(ended_on__isnull=True).select_related("version"))
    running = {plan.regime for plan in plans}
    return EquipmentWhole(
        equipment=equipment,
        kind_label=kind_label(equipment.kind, venue),
        hazards=[*(kind.hazards if kind else []), *equipment.place.hazards],
        state=state_of(equipment, day),
        facts=field_facts(kind, equipment.fields),
        parts=list(equipment.parts.filter(retired_on__isnull=True)),
        tasks=next_tasks(equipment),
        plans=plans,
        records=list(
            equipment.records.select_related("version").defer("body").order_by("-at")[:12]
        ),
        findings=list(findings(venue).filter(equipment=equipment)[:12]),
        use_checks=use_checks_of(equipment),
        can_apply=[regime for regime in regimes if regime.interval and regime.slug not in running],
        files=list(equipment.files.select_related("kept_file__disposal")),
        calculations=calculations_of(equipment),
        rated=rated_facts(kind, equipment),
    )


def next_tasks(equipment: Equipment) -> list[Task]:
    """The next open task of each plan, the most pressing first."""
    tasks = with_people(equipment.tasks.filter(state="open")).select_related("plan__listed_day")
    first: dict[int, Task] = {}
    for task in tasks.order_by("number"):
        first.setdefault(task.plan_id, task)
    return sorted(first.values(), key=lambda task: (task.last_lawful_on, task.planned_on))


def field_facts(kind: Any, stored: dict[str, Any]) -> list[tuple[str, str]]:
    """Label and value of every field of the kind's file; what is not known says so."""
    if kind is None:
        return [(name, str(value)) for name, value in stored.items()]
    return [
        (
            field.label,
            show_field(field, stored[field.name])
            if stored.get(field.name) is not None
            else "not known",
        )
        for field in kind.fields
    ]


def rated_facts(kind: Kind | None, equipment: Equipment) -> list[tuple[str, str, str]]:
    """Label, figure and basis of each rated load; a figure typed without a unit has its unit."""
    labels = {load.purpose: load.label.lower() for load in kind.rated_loads} if kind else {}
    return [
        (
            f"Rated load, {labels.get(load.purpose, load.purpose)}",
            show_quantity(Quantity.from_stored(load.quantity)),
            load.source or "Basis not known",
        )
        for load in equipment.rated_loads.all()
    ]


@dataclass(frozen=True)
class PartWhole:
    part: Part
    kind_label: str
    facts: list[tuple[str, str]]
    history: list[Any]
    line: list[Spell]
    files: list[PartFile]
    calculations: list[RopeCalculation]
    trends: RopeTrends | None


def part_whole(part: Part, day: date) -> PartWhole:
    """The part, what was seen of it in every position it had, and the line it stands in."""
    kind, line = part_kinds().get(part.kind), spells(part)
    rows = same_thing(part, line)
    history = (
        RopeObserved.objects.filter(part__in=rows)
        .select_related("by", "answer__record", "part__equipment")
        .prefetch_related("answer__judgements")
        .order_by("-at")[:30]
    )
    files = PartFile.objects.filter(part__in=rows).select_related("kept_file__disposal")
    label = kind.label(part.equipment.venue.dialect) if kind else part.kind
    return PartWhole(
        part, label, field_facts(kind, part.fields), [_observed(row) for row in history],
        line if len(line) > 1 else [], list(files), calculations_for(part),
        rope_trends(part, rows, day),
    )  # fmt: skip


def _observed(row: Any) -> dict[str, Any]:
    return {
        "at": row.at,
        "by": row.by.name,
        "where": f"{row.part.equipment.tag}, {row.part.code}",
        "pairs": [
            (Quantity.from_stored(pair["a"]).typed, Quantity.from_stored(pair["b"]).typed)
            for pair in row.body.get("diameters", [])
        ],
        "counts": row.body.get("counts", []),
        "wires": row.body.get("broken_wires", []),
        "judgements": list(row.answer.judgements.all()) if hasattr(row, "answer") else [],
        "record": row.answer.record if hasattr(row, "answer") else None,
    }


def labelled(venue: Venue) -> QuerySet[Equipment]:
    return Equipment.objects.filter(venue=venue).exclude(standing="gone").select_related("place")
