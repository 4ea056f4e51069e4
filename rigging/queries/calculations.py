from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from urllib.parse import urlencode

from rigging.calculators import load_calculators
from rigging.calculators.showing import answer_line
from rigging.models import CalculationKept
from venue.models import Equipment, Part
from venue.quantities import Quantity, exact_text

# The fields of a rope that a calculator asks for: calculator -> input -> field of the part.
ASKED_OF_A_ROPE = {
    "design-factor": {"strength": "minimum_breaking_force", "diameter": "nominal_diameter"},
    "sheave-ratio": {"diameter": "nominal_diameter"},
    "clips": {"diameter": "nominal_diameter"},
}


@dataclass(frozen=True)
class KeptLine:
    """A kept calculation as one line, and the query that opens it again."""

    row: CalculationKept
    line: str
    query: str


def calculations_of(equipment: Equipment, most: int = 12) -> list[KeptLine]:
    """The latest calculations kept on a piece of equipment."""
    return _lines(equipment.calculations.all()[:most])


def calculations_of_day(equipment: Equipment, day: date, until: datetime) -> list[KeptLine]:
    """Those kept on one day of the venue, none later than a moment."""
    start = datetime.combine(day, time(), equipment.venue.zone)
    end = datetime.combine(day + timedelta(days=1), time(), equipment.venue.zone)
    rows = equipment.calculations.filter(at__gte=start, at__lt=end, at__lte=until)
    return _lines(rows.order_by("at", "pk"))


def _lines(rows: Iterable[CalculationKept]) -> list[KeptLine]:
    return [KeptLine(row, answer_line(row.said), urlencode(row.typed)) for row in rows]


@dataclass(frozen=True)
class RopeCalculation:
    """A calculator with what the register knows of a rope filled in; the rest is asked."""

    title: str
    slug: str
    query: str


def calculations_for(part: Part) -> list[RopeCalculation]:
    """What can be worked out for a rope; nothing for any other part."""
    if part.kind != "wire_rope":
        return []
    calculators = load_calculators()
    return [
        RopeCalculation(calculators[slug].title, slug, urlencode(_known(part, asked)))
        for slug, asked in ASKED_OF_A_ROPE.items()
    ]


def _known(part: Part, asked: dict[str, str]) -> dict[str, str]:
    stored = {slug: part.fields.get(field) for slug, field in asked.items()}
    return {slug: _typed(Quantity.from_stored(kept)) for slug, kept in stored.items() if kept}


def _typed(quantity: Quantity) -> str:
    """Exact, and with its unit, which a field of the register may leave out."""
    return f"{exact_text(quantity.value)} {quantity.unit}"
