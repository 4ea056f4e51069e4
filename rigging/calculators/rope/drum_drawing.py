"""A drum from the side, with its layers of rope. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.drawing import Box, Disc, Drawing, Mark, Stroke, Words
from rigging.calculators.showing import both_habits

SHOWN_TURNS, SHOWN_LAYERS = 24, 8
ROOM_FOR_WORDS = 130.0


def draw_drum(barrel: Fraction, rope: Fraction, turns: int, layers: int, words: str) -> Drawing:
    """The drum to scale where that can be seen; of very many turns or layers only the first."""
    turns, layers = max(1, min(turns, SHOWN_TURNS)), max(1, min(layers, SHOWN_LAYERS))
    across = barrel + 2 * layers * rope
    scale = min(float(300 / (turns * rope)), float(150 / across))
    d, width = scale * float(rope), scale * float(turns * rope)
    x, top = 60.0, 30 + layers * d
    height = scale * float(barrel)
    flange = min(1.5 * d, 26.0)
    marks: list[Mark] = [
        Box(x, top, width, height),
        *(
            Disc(x + d * (turn + 0.5), y, d / 2)
            for layer in range(layers)
            for turn in range(turns)
            for y in (top - d * (layer + 0.5), top + height + d * (layer + 0.5))
        ),
        *(
            Stroke(((edge, top - layers * d - flange), (edge, top + height + layers * d + flange)))
            for edge in (x, x + width)
        ),
        _size(x, width, top + height / 2 + 4, both_habits(barrel, "mm")),
    ]
    tall = top + height + layers * d + flange + 10
    return Drawing("Drum", words, tuple(marks), max(400.0, x + width + 20), max(120.0, tall))


def _size(x: float, width: float, y: float, words: str) -> Words:
    """The barrel's size inside the drum where there is room, else beside it."""
    if width >= ROOM_FOR_WORDS:
        return Words(x + width / 2, y, words)
    return Words(x + width + 12, y, words, "start")
