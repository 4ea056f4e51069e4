from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from urllib.parse import urlencode

from rigging.calculators.showing import answer_line
from rigging.models import CalculationKept
from venue.models import Equipment


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
