"""Curves of ropes as SVG for the printed page: diameter and broken wires over time, against the
limit. Pure. Drawn for paper: no colour carries meaning alone, every curve is told in words too."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from inspections.reports.matter import RopeLife, RopePoint

WIDTH, HEIGHT = 240, 128
LEFT, RIGHT, TOP, BOTTOM = 30, 26, 14, 18
INK, QUIET, LIMIT = "#1e1b15", "#a39a86", "#a1141c"
TEXT = 'font-family="Report" font-size="7"'
Value = tuple[date, float]
Say = Callable[[str], str]


@dataclass(frozen=True)
class _Scale:
    first: date
    last: date
    low: float
    high: float

    def x(self, day: date) -> float:
        days = max((self.last - self.first).days, 1)
        return LEFT + (day - self.first).days / days * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)


@dataclass(frozen=True)
class _Curve:
    """What is drawn: the values of each rope, one limit, and the rope that stands out."""

    what: str
    unit: str
    ropes: tuple[tuple[str, tuple[Value, ...]], ...]
    limit: float | None
    limit_by: str
    worst: int


@dataclass(frozen=True)
class Plot:
    svg: str
    limit_by: str  # which rule the limit comes from


def diameter_plot(ropes: Sequence[RopeLife], say: Say = str) -> Plot | None:
    """The least diameter of each rope over time; none with fewer than two days. `say` puts a
    sentence into the language of the page."""
    return _plot(ropes, "Least diameter", "mm", lambda point: (point.least_mm, point.limit_mm,
                 point.limit_by), say, lowest=True)  # fmt: skip


def wire_plot(ropes: Sequence[RopeLife], say: Say = str) -> Plot | None:
    """The count of broken wires that comes nearest to its limit, over time."""
    return _plot(ropes, "Broken wires", "", lambda point: (point.pressing, point.pressing_limit,
                 point.pressing_by), say, lowest=False)  # fmt: skip


def _plot(
    ropes: Sequence[RopeLife],
    what: str,
    unit: str,
    figures: Callable[[RopePoint], tuple[str, str, str]],
    say: Say,
    *,
    lowest: bool,
) -> Plot | None:
    curve = _curve(ropes, what, unit, figures, lowest)
    days = {day for _, values in curve.ropes for day, _ in values}
    return Plot(_svg(curve, _scale(curve), say), curve.limit_by) if len(days) > 1 else None


def _curve(
    ropes: Sequence[RopeLife],
    what: str,
    unit: str,
    figures: Callable[[RopePoint], tuple[str, str, str]],
    lowest: bool,
) -> _Curve:
    told, limits = [], []
    for rope in ropes:
        known = [(point, *figures(point)) for point in rope.points]
        values = tuple(
            (date.fromisoformat(point.on), float(value)) for point, value, _, _ in known if value
        )
        if not values:
            continue
        last = [(limit, by) for _, value, limit, by in known if value][-1]
        limits.append((float(last[0]) if last[0] else None, last[1]))
        told.append((rope.position, values))
    worst = _worst(told, limits, lowest)
    limit, by = limits[worst] if limits else (None, "")
    return _Curve(what, unit, tuple(told), limit, by, worst)


def _worst(told: Sequence, limits: Sequence, lowest: bool) -> int:
    """The rope whose last value is nearest to its limit."""

    def room(index: int) -> float:
        last, limit = told[index][1][-1][1], limits[index][0]
        if limit is None:
            return float("inf")
        return (last - limit) / limit if lowest else (limit - last) / limit

    return min(range(len(told)), key=room, default=0)


def _scale(curve: _Curve) -> _Scale:
    days = [day for _, values in curve.ropes for day, _ in values]
    values = [value for _, each in curve.ropes for _, value in each]
    values += [curve.limit] if curve.limit is not None else []
    low, high = min(values), max(values)
    if not curve.unit:
        return _Scale(min(days), max(days), 0.0, max(high * 1.15, 1.0))
    room = max((high - low) * 0.15, high * 0.005)
    return _Scale(min(days), max(days), low - room, high + room)


def _svg(curve: _Curve, scale: _Scale, say: Say) -> str:
    title = escape(" ".join(map(say, _told(curve))))
    body = [_axes(curve, scale, say), *_limit_line(curve, scale, say)]
    quiet = [each for index, each in enumerate(curve.ropes) if index != curve.worst]
    body += [_line(values, scale, QUIET, 0.6) for _, values in quiet]
    name, values = curve.ropes[curve.worst]
    body.append(_line(values, scale, INK, 1.1, 1.5))
    body.append(_label(name if len(curve.ropes) > 1 else "", values, scale))
    return (
        f'<svg class="plot" viewBox="0 0 {WIDTH} {HEIGHT}" xmlns="http://www.w3.org/2000/svg" '
        f'role="img"><title>{title}</title>{"".join(body)}</svg>'
    )


def _told(curve: _Curve) -> list[str]:
    """The curve in sentences, for whoever cannot see it."""
    unit = f" {curve.unit}" if curve.unit else ""
    name, values = curve.ropes[curve.worst]
    (first, was), (last, now) = values[0], values[-1]
    told = [
        f"{curve.what} of {_ropes(len(curve.ropes))} over time, as a curve for each.",
        f"The rope {name} went from {was:g}{unit} on {first:%-d %B %Y} to {now:g}{unit} on "
        f"{last:%-d %B %Y}.",
    ]
    ends = [each[-1][1] for index, (_, each) in enumerate(curve.ropes) if index != curve.worst]
    if ends:
        told.append(f"It is the nearest to its limit. The last values of the others lie between "
                    f"{min(ends):g} and {max(ends):g}{unit}.")  # fmt: skip
    told.append(
        "No limit is known, and none is drawn."
        if curve.limit is None
        else f"The limit that is drawn is {curve.limit:g}{unit}, for {curve.limit_by}."
    )
    return told


def _ropes(number: int) -> str:
    return "one rope" if number == 1 else f"{number} ropes"


def _axes(curve: _Curve, scale: _Scale, say: Say) -> str:
    base, right = HEIGHT - BOTTOM, WIDTH - RIGHT
    parts = [
        f'<path d="M{LEFT} {TOP}V{base}H{right}" fill="none" stroke="{INK}" stroke-width="0.6"/>'
    ]
    unit = f", {curve.unit}" if curve.unit else ""
    parts.append(
        f'<text x="{LEFT}" y="7" {TEXT} fill="{INK}">{escape(say(curve.what))}{unit}</text>'
    )
    for value in _ticks(curve, scale):
        y = scale.y(value)
        parts.append(f'<path d="M{LEFT - 2} {y:.1f}H{LEFT}" stroke="{INK}" stroke-width="0.6"/>')
        parts.append(f'<text x="{LEFT - 4}" y="{y + 2.4:.1f}" text-anchor="end" {TEXT} '
                     f'fill="{INK}">{value:g}</text>')  # fmt: skip
    ends = ((LEFT, "start", scale.first), (right, "end", scale.last))
    for x, anchor, day in ends:
        parts.append(f'<text x="{x}" y="{HEIGHT - 7}" text-anchor="{anchor}" {TEXT} fill="{INK}">'
                     f"{escape(say(f'{day:%-d %b %Y}'))}</text>")  # fmt: skip
    return "".join(parts)


def _ticks(curve: _Curve, scale: _Scale) -> list[float]:
    """Three or four round values between the ends."""
    span = scale.high - scale.low
    steps = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100)
    allowed = steps if curve.unit else steps[6:]
    step = next((one for one in allowed if span / one <= 4), span)
    first = -(-scale.low // step)
    count = int((scale.high - first * step) // step) + 1
    return [round((first + number) * step, 6) for number in range(count)]


def _limit_line(curve: _Curve, scale: _Scale, say: Say) -> list[str]:
    if curve.limit is None:
        return []
    y = scale.y(curve.limit)
    return [
        f'<path d="M{LEFT} {y:.1f}H{WIDTH - RIGHT}" stroke="{LIMIT}" stroke-width="0.8" '
        'stroke-dasharray="4 2.5"/>',
        f'<text x="{LEFT + 3}" y="{y - 2:.1f}" {TEXT} fill="{LIMIT}">'
        f"{escape(say(f'limit {curve.limit:g}'))}</text>",
    ]


def _line(
    values: Sequence[Value], scale: _Scale, ink: str, width: float, dot: float | None = None
) -> str:
    at = [f"{scale.x(day):.1f} {scale.y(value):.1f}" for day, value in values]
    drawn = f'<path d="M{"L".join(at)}" fill="none" stroke="{ink}" stroke-width="{width}"/>'
    if dot is None and len(at) > 1:
        return drawn
    dots = [one.split() for one in at]
    return drawn + "".join(
        f'<circle cx="{x}" cy="{y}" r="{dot or 1}" fill="{ink}"/>' for x, y in dots
    )


def _label(name: str, values: Sequence[Value], scale: _Scale) -> str:
    """Beside the last point, where no line runs."""
    if not name:
        return ""
    day, value = values[-1]
    return (f'<text x="{scale.x(day) + 3:.1f}" y="{scale.y(value) + 2.4:.1f}" {TEXT} '
            f'font-weight="700" fill="{INK}">{escape(name)}</text>')  # fmt: skip
