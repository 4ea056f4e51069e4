"""On which side of the stage a place lies, as the trade says it: from the performer who faces the
house. Pure."""

from __future__ import annotations

LEFT, CENTRE, RIGHT = "stage left", "centre", "stage right"
SIDES = {LEFT: "Stage left", CENTRE: "Centre", RIGHT: "Stage right"}
# What people write. “Left” alone is left out: of the stage or of the house, nobody can tell.
WRITTEN = {
    "stage left": LEFT, "sl": LEFT, "house right": LEFT,
    "stage right": RIGHT, "sr": RIGHT, "house left": RIGHT,
    "centre": CENTRE, "center": CENTRE, "centre stage": CENTRE, "center stage": CENTRE,
    "stage centre": CENTRE, "stage center": CENTRE, "cs": CENTRE,
}  # fmt: skip


def read_side(text: str) -> str | None:
    """A side as the register keeps it; None where the words do not say which.

    >>> read_side("SL"), read_side("house left"), read_side("left")
    ('stage left', 'stage right', None)
    """
    return WRITTEN.get(" ".join(text.lower().replace("_", " ").replace(".", "").split()))
