"""The questions of a check: the regime's checks, once per part where they ask per part."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Any

from django.db.models import TextField
from django.db.models.functions import Cast

from inspections.answers import Before, Question, question_key
from inspections.check_limits import with_known_limits
from inspections.models import Reading, RegimeVersion
from inspections.regime_files import parse_regime
from inspections.regime_shapes import Check, Regime
from rigging.engine import RopeFacts
from rigging.queries.ropes import rope_facts
from venue.models import Equipment, Part
from venue.quantities import Quantity

MEASURING = ("measured", "count", "rope")
TOLD_AFTER = ("measured", "count")


def regime_of(version: RegimeVersion) -> Regime:
    """The regime as it was frozen, not as the file is now."""
    return _parsed(version.body, f"{version.slug}.toml")


# A frozen text never changes, so it is read once.
_parsed = lru_cache(maxsize=512)(parse_regime)


def questions_for(equipment: Equipment, regime: Regime) -> list[Question]:
    """In walking order: by check as the regime lists them, per part in the parts' order."""
    wanted = sorted({check.part_kind for check in regime.checks if check.part_kind})
    parts = list(equipment.parts.filter(retired_on__isnull=True, kind__in=wanted))
    known = Known(equipment)
    questions: list[Question] = []
    for check in regime.checks:
        if not check.part_kind:
            questions.append(question_about(check, None, known))
            continue
        mine: list[Part | None] = [part for part in parts if part.kind == check.part_kind]
        # A part nobody entered is asked about too: it must not vanish from the check.
        questions += [question_about(check, part, known) for part in mine or [None]]
    return questions


class Known:
    """What is known of one piece of equipment when its questions are made; asked for only where a
    question needs it."""

    def __init__(self, equipment: Equipment) -> None:
        self.equipment = equipment
        self.fields: dict[str, Any] = equipment.fields
        self.unit_habit: str = equipment.venue.unit_habit

    @cached_property
    def last(self) -> dict[tuple[str, int | None], Before]:
        return last_readings(self.equipment)

    @cached_property
    def rated_loads(self) -> dict[str, Any]:
        return {load.purpose: load.quantity for load in self.equipment.rated_loads.all()}


def last_readings(equipment: Equipment) -> dict[tuple[str, int | None], Before]:
    """The latest reading for each check and part: a new one far off it is asked again."""
    rows = (
        Reading.objects.filter(answer__record__equipment=equipment)
        .annotate(text=Cast("quantity", TextField()))
        .order_by("-answer__record__at", "pk")
        .values_list("answer__check_slug", "answer__part_id", "text", "answer__record__done_on")[
            :400
        ]
    )
    last: dict[tuple[str, int | None], tuple[str, date]] = {}
    for slug, part_id, text, day in rows:
        last.setdefault((slug, part_id), (text, day))
    # Only the few that count are parsed.
    return {
        key: Before(Quantity.from_stored(json.loads(text)), f"{day:%-d %b %Y}")
        for key, (text, day) in last.items()
    }


def question_about(check: Check, part: Part | None, known: Known) -> Question:
    """One check, asked of one part or of the equipment as a whole."""
    if check.limits_from:
        check, _ = with_known_limits(
            check, known.fields, known.rated_loads, part.fields if part else None
        )
    rope = rope_facts(part) if part and check.answer == "rope" else None
    before = _before(check, part, rope, known)
    return Question(
        key=question_key(check.slug, part.pk if part else None),
        check=check,
        part_id=part.pk if part else None,
        part_label=_part_label(check, part),
        rope=rope,
        expected=_expected(rope, before),
        before=before if check.answer in TOLD_AFTER else None,
        usual_unit=_usual_unit(check, known.unit_habit),
    )


def _part_label(check: Check, part: Part | None) -> str:
    if part:
        return f"{part.code}, {part.name}"
    if not check.part_kind:
        return ""
    return f"No {check.part_kind.replace('_', ' ')} in the register"


def _before(check: Check, part: Part | None, rope: RopeFacts | None, known: Known) -> Before | None:
    # A rope is compared with its nominal diameter, so its last reading need not be asked for.
    if check.answer not in MEASURING or (rope and rope.nominal_diameter):
        return None
    return known.last.get((check.slug, part.pk if part else None))


def _expected(rope: RopeFacts | None, before: Before | None) -> Fraction | None:
    if rope and rope.nominal_diameter:
        return rope.nominal_diameter.si
    return before.quantity.si if before and before.quantity.si else None


def _usual_unit(check: Check, habit: str) -> str:
    if check.answer == "rope":
        return "in" if habit == "us" else "mm"
    return check.unit_us if habit == "us" else check.unit_metric
