"""Draws a drawing as SVG, styled by classes only. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable
from html import escape

from rigging.calculators.drawing import Arrow, Box, Disc, Drawing, Mark, Stroke, Words

HEAD = 7  # length of an arrow's head
SMALL = 0.5  # an arrow shorter than this has no direction


def svg_of(drawing: Drawing, say: Callable[[str], str] = str) -> str:
    """The whole `<svg>`, for inlining in a page; every text is escaped here. `say` puts a text into
    the language of the page."""
    marks = "".join(_mark(mark, say) for mark in drawing.marks)
    size = f'viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"'
    named = 'role="img" aria-labelledby="drawing-title drawing-words"'
    return (
        f'<svg class="drawing" xmlns="http://www.w3.org/2000/svg" {size} {named}>'
        f'<title id="drawing-title">{escape(say(drawing.title))}</title>'
        f'<desc id="drawing-words">{escape(say(drawing.description))}</desc>{marks}</svg>'
    )


def _mark(mark: Mark, say: Callable[[str], str]) -> str:
    look = f'class="drawn-{escape(mark.look)}"'
    match mark:
        case Stroke(points):
            joined = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
            return f'<polyline {look} points="{joined}"/>'
        case Box(x, y, width, height):
            place = f'x="{_n(x)}" y="{_n(y)}"'
            return f'<rect {look} {place} width="{_n(width)}" height="{_n(height)}"/>'
        case Disc(x, y, radius):
            return f'<circle {look} cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>'
        case Words(x, y, text, anchor):
            place = f'x="{_n(x)}" y="{_n(y)}" text-anchor="{escape(anchor)}"'
            return f'<text class="drawn-words" {place}>{escape(say(text))}</text>'
        case Arrow():
            return _arrow(mark, look)
    raise TypeError(f"{mark!r} is not a mark.")


def _arrow(arrow: Arrow, look: str) -> str:
    dx, dy = arrow.x2 - arrow.x1, arrow.y2 - arrow.y1
    length = math.hypot(dx, dy)
    if length < SMALL:
        return ""
    ux, uy = dx / length, dy / length
    bx, by = arrow.x2 - HEAD * ux, arrow.y2 - HEAD * uy
    side = HEAD / 2
    left, right = (bx - side * uy, by + side * ux), (bx + side * uy, by - side * ux)
    head = " ".join(f"{_n(x)},{_n(y)}" for x, y in ((arrow.x2, arrow.y2), left, right))
    shaft = f"{_n(arrow.x1)},{_n(arrow.y1)} {_n(arrow.x2)},{_n(arrow.y2)}"
    return f'<polyline {look} points="{shaft}"/><polygon {look} points="{head}"/>'


def _n(number: float) -> str:
    return f"{float(number):.2f}".rstrip("0").rstrip(".")
