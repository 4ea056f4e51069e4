"""Linear equations solved exactly. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

Column = list[Fraction]


class NoSolution(ArithmeticError):
    """The equations do not fix every unknown."""


def solve(rows: Sequence[Sequence[Fraction]], sides: Sequence[Sequence[Fraction]]) -> list[Column]:
    """One solution for each right side of `rows · x = side`, by elimination in exact fractions.

    Limits: as many rows as unknowns, rows independent; else NoSolution. Cost grows with the cube
    of the number of unknowns.

    >>> solve([[Fraction(2), Fraction(1)], [Fraction(1), Fraction(-1)]], [[Fraction(5), Fraction(1)]])
    [[Fraction(2, 1), Fraction(1, 1)]]
    """
    size = len(rows)
    table = [[*row, *(side[i] for side in sides)] for i, row in enumerate(rows)]
    for column in range(size):
        pivot = next((i for i in range(column, size) if table[i][column]), None)
        if pivot is None:
            raise NoSolution("The equations do not fix every unknown.")
        table[column], table[pivot] = table[pivot], table[column]
        _clear(table, column)
    return [[table[i][size + k] for i in range(size)] for k in range(len(sides))]


def _clear(table: list[list[Fraction]], column: int) -> None:
    head = table[column]
    divisor = head[column]
    table[column] = head = [value / divisor if value else value for value in head]
    for i, row in enumerate(table):
        if i != column and row[column]:
            factor = row[column]
            table[i] = [
                value - factor * other if other else value
                for value, other in zip(row, head, strict=True)
            ]
