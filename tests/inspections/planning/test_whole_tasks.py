"""Hours that no whole task fits into are of no use, and nothing that fits is taken away by that."""

from __future__ import annotations

from itertools import product

import pytest

from inspections.planning.model_strength import whole_tasks

SORTS = [(4, 3), (6, 4, 3), (5, 4), (10, 6, 4), (7,), (3, 3, 2)]


@pytest.mark.parametrize("quarters", SORTS)
@pytest.mark.parametrize("available", [9, 14, 28, 42])
def test_every_number_of_tasks_that_fits_keeps_every_row(
    quarters: tuple[int, ...], available: int
) -> None:
    rows = whole_tasks(quarters, available)
    for overtime in range(5):
        room = available + overtime
        for counts in product(*(range(room // asked + 1) for asked in quarters)):
            if sum(n * asked for n, asked in zip(counts, quarters, strict=True)) <= room:
                for weights, most in rows:
                    work = sum(n * weight for n, weight in zip(counts, weights, strict=True))
                    assert work <= most + overtime


def test_the_rows_say_more_than_the_hours_alone() -> None:
    """Three and a half tasks of four quarter-hours are in fourteen; three is what fits."""
    ([weight], most) = whole_tasks([4], 14)[0]
    assert most / weight == 3
