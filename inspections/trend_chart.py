"""A trend as it is drawn: points with their doubt, limits as lines, and how far a forecast reaches. Pure.

Exact figures come in; floats begin where a point gets its place on the screen, and end there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil

from inspections.rope_trend import LimitLine, Point, Trend
from rigging.engine.figures import shown

WIDTH, HEIGHT = 360, 220
LEFT, RIGHT, TOP, BOTTOM = 44, 30, 16, 26
STEPS = (1, 2, 5)
LETTER = 12  # how much room a letter needs from the next one


@dataclass(frozen=True)
class Forecast:
    """From the last reading to the limit that it would meet, on which day."""

    day: date
    at: Fraction


@dataclass(frozen=True)
class Dot:
    x: float
    y: float
    hollow: bool  # the instrument's uncertainty was not stated


@dataclass(frozen=True)
class Whisker:
    """A range; `open_end`: nobody knows how far up it goes."""

    x: float
    top: float
    bottom: float
    open_end: bool


@dataclass(frozen=True)
class LimitMark:
    """A limit's line, and where the letters of all that lie on it can be read."""

    y: float
    letters_y: float
    letters: str


@dataclass(frozen=True)
class Chart:
    width: int
    height: int
    days: tuple[tuple[float, str, date], ...]
    ticks: tuple[tuple[float, str], ...]
    path: str
    dots: tuple[Dot, ...]
    whiskers: tuple[Whisker, ...]
    limits: tuple[LimitMark, ...]
    forecast: tuple[float, float, float, float] | None
    unknown: tuple[float, ...] = ()
    """Where looks lie that did not say it."""

    @property
    def left(self) -> int:
        return LEFT

    @property
    def right(self) -> int:
        return WIDTH - RIGHT

    @property
    def top(self) -> int:
        return TOP

    @property
    def base(self) -> int:
        return HEIGHT - BOTTOM


@dataclass(frozen=True)
class _Scale:
    first: date
    last: date
    low: Fraction
    high: Fraction

    def x(self, day: date) -> float:
        days = (self.last - self.first).days
        share = (day - self.first).days / days if days else 0.5
        return round(LEFT + share * (WIDTH - LEFT - RIGHT), 1)

    def y(self, value: Fraction) -> float:
        share = float((value - self.low) / (self.high - self.low))
        return round(HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM), 1)


def chart_of(trend: Trend, forecast: Forecast | None = None) -> Chart | None:
    """None where no look said anything."""
    points = trend.known
    if not points:
        return None
    days = [point.day for point in trend.points]
    scale = _scale(points, days, trend.limits, forecast, counting=trend.unit == "1")
    read = [(point, point.read) for point in points if point.read is not None]
    dots = [
        Dot(scale.x(point.day), scale.y(value), not point.doubt_stated) for point, value in read
    ]
    return Chart(
        width=WIDTH, height=HEIGHT, days=_days(scale), ticks=_ticks(scale),
        path=_path(trend.points, scale),
        dots=tuple(dots), whiskers=tuple(_whiskers(points, scale)),
        limits=_limits(trend.limits, scale), forecast=_forecast(dots, forecast, scale),
        unknown=tuple(scale.x(point.day) for point in trend.points if not point.is_known),
    )  # fmt: skip


def _path(points: Sequence[Point], scale: _Scale) -> str:
    """A line from reading to reading; it ends where a look gave none."""
    runs: list[list[str]] = [[]]
    for point in points:
        if point.read is None:
            runs.append([])
        else:
            runs[-1].append(f"{scale.x(point.day)} {scale.y(point.read)}")
    return "".join("M" + "L".join(run) for run in runs if len(run) > 1)


def _scale(
    points: Sequence[Point],
    looks: Sequence[date],
    limits: Sequence[LimitLine],
    forecast: Forecast | None,
    counting: bool,
) -> _Scale:
    days = [*looks, *([forecast.day] if forecast else [])]
    values = [line.at for line in limits] + [point.low for point in points]
    values += [point.high for point in points if point.high is not None]
    low, high = min(values), max(values)
    room = max((high - low) / 8, high / 100, Fraction(1, 1000))
    if counting:
        return _Scale(min(days), max(days), Fraction(0), max(high * 9 / 8, Fraction(1)))
    return _Scale(min(days), max(days), low - room, high + room)


def _days(scale: _Scale) -> tuple[tuple[float, str, date], ...]:
    if scale.first == scale.last:
        return ((scale.x(scale.first), "middle", scale.first),)
    return ((LEFT, "start", scale.first), (WIDTH - RIGHT, "end", scale.last))


def _ticks(scale: _Scale) -> tuple[tuple[float, str], ...]:
    """At most five round figures between the ends; of counts, whole ones."""
    span = scale.high - scale.low
    step = Fraction(1, 10_000) if scale.low else Fraction(1)
    grow = 0
    while span / step > 5:
        grow += 1
        tens, which = divmod(grow, 3)
        step = (Fraction(1, 10_000) if scale.low else Fraction(1)) * STEPS[which] * 10**tens
    first = ceil(scale.low / step)
    values = [step * number for number in range(first, int(scale.high // step) + 1)]
    return tuple((scale.y(value), shown(value, None, 4)) for value in values)


def _whiskers(points: Sequence[Point], scale: _Scale) -> list[Whisker]:
    found = []
    for point in points:
        if point.high == point.low:
            continue
        top = TOP if point.high is None else scale.y(point.high)
        found.append(Whisker(scale.x(point.day), top, scale.y(point.low), point.high is None))
    return found


def _limits(lines: Sequence[LimitLine], scale: _Scale) -> tuple[LimitMark, ...]:
    """From the top down; letters that would lie on each other are moved apart."""
    by_figure: dict[Fraction, list[str]] = {}
    for line in lines:
        by_figure.setdefault(line.at, []).append(line.letter)
    found: list[LimitMark] = []
    for at in sorted(by_figure, reverse=True):
        y = scale.y(at)
        free = found[-1].letters_y + LETTER if found else y
        found.append(LimitMark(y, max(y, free), " ".join(by_figure[at])))
    return tuple(found)


def _forecast(
    dots: Sequence[Dot], forecast: Forecast | None, scale: _Scale
) -> tuple[float, float, float, float] | None:
    if forecast is None or not dots:
        return None
    return dots[-1].x, dots[-1].y, scale.x(forecast.day), scale.y(forecast.at)
