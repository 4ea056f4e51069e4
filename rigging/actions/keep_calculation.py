"""Keep the answer of a calculator on a piece of equipment, as it stood that day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from rigging.calculators import Calculator
from rigging.calculators.asking import ask
from rigging.calculators.showing import answer_data
from rigging.models import CalculationKept
from venue.actions.log import write_line
from venue.models import Equipment, Person


class CannotKeep(ValueError):
    """Says why the calculation cannot be kept."""


def keep_calculation(
    *, equipment: Equipment, calculator: Calculator, typed: Mapping[str, str], why: str,
    by: Person, at: datetime,
) -> CalculationKept:  # fmt: skip
    """The answer is worked out anew from what was typed: nobody hands in a result."""
    asked = ask(calculator, typed)
    if asked.answer is None:
        raise CannotKeep("There is no answer to keep yet: put right what is marked.")
    if not why.strip():
        raise CannotKeep("Say what it was worked out for.")
    kept = {field.asked.slug: field.text for field in asked.fields if field.text}
    said = answer_data(calculator, asked.answer, kept)
    with transaction.atomic():
        row = CalculationKept.objects.create(
            equipment=equipment, calculator=calculator.slug, typed=kept, said=said,
            why=why.strip()[:200], by=by, by_name=by.name, at=at,
        )  # fmt: skip
        write_line(
            venue=equipment.venue, by=by, at=at, did="keep_calculation", subject=row,
            after={"equipment": equipment.tag, "why": row.why, "said": said},
        )  # fmt: skip
    return row
