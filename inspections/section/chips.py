"""Which pieces of a place are shown one by one, and which are counted. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from inspections.section.shapes import STATES, Chip, Piece

Counted = Callable[[str, int], tuple[str, str]]  # state and number: what is shown, what is said
# What is done about these is known; they are the first to be only counted.
QUIET = ("fit", "due")


def chips_of(pieces: Sequence[Piece], most: int, counted: Counted) -> tuple[Chip, ...]:
    """One chip for each piece while they are few. Of many, what is wrong stays by name as long as
    there is room, the worst first, and the others of each state are one chip with their number. A
    state never vanishes into another."""
    if len(pieces) <= most:
        return tuple(_alone(piece) for piece in sorted(pieces, key=_worst_first))
    states = [state for state in STATES if any(piece.state == state for piece in pieces)]
    left, chips = most - len(states), []
    for state in states:
        alike = sorted((one for one in pieces if one.state == state), key=_worst_first)
        if state not in QUIET and len(alike) - 1 <= left:
            left -= len(alike) - 1
            chips += [_alone(piece) for piece in alike]
        else:
            text, said = counted(state, len(alike))
            chips.append(Chip(text, said, state))
    return tuple(chips)


def _worst_first(piece: Piece) -> int:
    return STATES.index(piece.state)


def _alone(piece: Piece) -> Chip:
    return Chip(piece.tag, f"{piece.tag}, {piece.name}: {piece.words}", piece.state, piece.key)
