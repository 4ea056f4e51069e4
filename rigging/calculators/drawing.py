"""A drawing as plain data: strokes, boxes, discs, arrows and words. Pure.

Coordinates run right and down in drawing units, about 400 wide; `look` names a style in
`static/css/calculators.css`, so the drawing follows the light and the dark page.
"""

from __future__ import annotations

from dataclasses import dataclass

# rope: what carries; steel: what it hangs on; load: what hangs; measure: dimension lines;
# ghost: what is not there yet or no longer; bad: beyond a limit; doubt: cannot be decided.
LOOKS = ("rope", "steel", "load", "measure", "ghost", "bad", "doubt")


@dataclass(frozen=True)
class Stroke:
    points: tuple[tuple[float, float], ...]
    look: str = "rope"


@dataclass(frozen=True)
class Box:
    x: float
    y: float
    width: float
    height: float
    look: str = "steel"


@dataclass(frozen=True)
class Disc:
    x: float
    y: float
    radius: float
    look: str = "steel"


@dataclass(frozen=True)
class Arrow:
    """From the first point to the second, with a head at the second."""

    x1: float
    y1: float
    x2: float
    y2: float
    look: str = "load"


@dataclass(frozen=True)
class Words:
    x: float
    y: float
    text: str
    anchor: str = "middle"  # start, middle, end
    look: str = "measure"


Mark = Stroke | Box | Disc | Arrow | Words


@dataclass(frozen=True)
class Drawing:
    """`title` and `description` are what a screen reader says: the figures belong in there."""

    title: str
    description: str
    marks: tuple[Mark, ...]
    width: float = 400
    height: float = 200
