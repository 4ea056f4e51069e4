"""Linear equations solved exactly. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

Column = list[Fraction]


class NoSolution(ArithmeticError):
    """The equations do not fix every unknown."""


def solve(rows: Sequence[Sequence[Fraction]], sides: Sequence[Sequence[Fraction]]) -> list[Column]:
    """One solution for each right side of `rows · x = side`, exactly.

    Every row is brought to whole numbers and the elimination stays in them (Bareiss): its
    divisions leave no rest, and no fraction is ever reduced on the way, which is what costs.
    Limits: as many rows as unknowns, rows independent; else NoSolution. Cost grows with the cube
    of the number of unknowns.

    >>> solve([[Fraction(2), Fraction(1)], [Fraction(1), Fraction(-1)]], [[Fraction(5), Fraction(1)]])
    [[Fraction(2, 1), Fraction(1, 1)]]
    """
    size = len(rows)
    table = [_whole_numbers([*row, *(side[i] for side in sides)]) for i, row in enumerate(rows)]
    before = 1
    for column in range(size):
        pivot = next((i for i in range(column, size) if table[i][column]), None)
        if pivot is None:
            raise NoSolution("The equations do not fix every unknown.")
        table[column], table[pivot] = table[pivot], table[column]
        before = _clear(table, column, before)
    return [
        [Fraction(table[i][size + k], table[i][i]) for i in range(size)] for k in range(len(sides))
    ]


def _whole_numbers(row: Sequence[Fraction]) -> list[int]:
    exact = [Fraction(value) for value in row]
    scale = math.lcm(*(value.denominator for value in exact))
    return [value.numerator * (scale // value.denominator) for value in exact]


def _clear(table: list[list[int]], column: int, before: int) -> int:
    """Clear a column in every other row; returns the pivot, by which the next step divides."""
    head = table[column]
    pivot = head[column]
    for i, row in enumerate(table):
        if i != column:
            factor = row[column]
            table[i] = [
                (pivot * value - factor * other) // before
                for value, other in zip(row, head, strict=True)
            ]
    return pivot
