"""The trends of one rope for its page, in three queries however long it has hung."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.queries.looked_at import looked_at
from inspections.queries.rope_forecasts import WIRE_ROPE, nearing_of
from inspections.rope_forecast import Nearing
from inspections.rope_trend import Look, Point, Trend, diameter_trend, wire_trends
from inspections.trend_chart import Chart, Forecast, chart_of
from rigging.engine import RopeFacts, RopeObservation
from rigging.engine.figures import shown
from rigging.models import RopeObserved
from rigging.queries.ropes import rope_facts, rulesets_in_force
from venue.models import Part

MOST_LOOKS = 120


@dataclass(frozen=True)
class DrawnTrend:
    trend: Trend
    chart: Chart | None
    first: Point | None
    last: Point | None
    nearing: Nearing | None
    letter: str  # of the limit that is neared

    @property
    def said_first(self) -> str:
        return _cell(self.first, self.trend.unit) if self.first else ""

    @property
    def said_last(self) -> str:
        return _cell(self.last, self.trend.unit) if self.last else ""

    @property
    def last_look_said(self) -> bool:
        return self.trend.points[-1].is_known

    @property
    def has_hollow(self) -> bool:
        return self.chart is not None and any(dot.hollow for dot in self.chart.dots)


@dataclass(frozen=True)
class TrendRow:
    """One look in figures: a cell for each trend."""

    day: date
    cells: tuple[str, ...]


@dataclass(frozen=True)
class RopeTrends:
    drawn: list[DrawnTrend]
    rows: list[TrendRow]
    cut: bool  # there were more looks than are shown
    rules: list[str]


def rope_trends(part: Part, rows: list[Part], day: date) -> RopeTrends | None:
    """`rows`: this very rope in every position it had. None of any other part."""
    if part.kind != WIRE_ROPE:
        return None
    venue, rope = part.equipment.venue, rope_facts(part)
    looks = _looks(rows)
    shown_looks = looks[-MOST_LOOKS:]
    rulesets = rulesets_in_force(venue, day)
    trends = [
        diameter_trend(shown_looks, rope, rulesets, _unit(rope)),
        *wire_trends(shown_looks, rope, rulesets),
    ]
    near = nearing_of(part, day)
    return RopeTrends(
        [_drawn(trend, near) for trend in trends],
        [TrendRow(look.day, tuple(_cell(t.points[n], t.unit) for t in trends))
         for n, look in reversed(list(enumerate(shown_looks)))],
        len(looks) > len(shown_looks), [each.title for each in rulesets],
    )  # fmt: skip


def _looks(rows: list[Part]) -> list[Look]:
    """Oldest first; by the day the check was done, which a phone may tell later."""
    found = (
        RopeObserved.objects.filter(part__in=rows)
        .annotate(looked_at=looked_at("answer__record__"))
        .order_by("looked_at", "at", "pk")
        .values_list("body", "rope", "looked_at", "answer__record__done_on")
    )
    zone = rows[0].equipment.venue.zone
    looks = [
        Look(done_on or at.astimezone(zone).date(), RopeObservation.from_dict(body),
             RopeFacts.from_dict(rope))
        for body, rope, at, done_on in found
    ]  # fmt: skip
    return sorted(looks, key=lambda look: look.day)


def _unit(rope: RopeFacts) -> str:
    """Diameters are drawn as the rope's own is typed."""
    nominal = rope.nominal_diameter
    return nominal.unit if nominal and nominal.unit in ("mm", "in") else "mm"


def _drawn(trend: Trend, near: Nearing | None) -> DrawnTrend:
    line = next((each for each in trend.limits if near and each.key == near.criterion), None)
    ahead = Forecast(near.day, line.at) if near and line else None
    known = trend.known
    return DrawnTrend(
        trend, chart_of(trend, ahead), known[0] if known else None, known[-1] if known else None,
        near if ahead else None, line.letter if line else "",
    )  # fmt: skip


def _cell(point: Point, unit: str) -> str:
    """In figures; empty where nothing is known."""
    places, label = (3, " mm") if unit == "mm" else (4, " in") if unit == "in" else (2, "")
    if not point.is_known:
        return ""
    if point.read is not None:
        doubt = (point.high or point.read) - point.read
        beside = f" ± {shown(doubt, None, places)}" if doubt else ""
        return shown(point.read, None, places) + beside + label
    low = shown(point.low, None, places)
    return f"≥ {low}" if point.high is None else f"{low} … {shown(point.high, None, places)}"
