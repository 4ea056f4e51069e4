"""By how many days a plan is known to be late: as it was made, and as people meant it. Pure.

What has come up since (a show, a lapsed certificate, a shorter date) is in neither, so a move by hand
beside it never makes it known.
"""

from __future__ import annotations

from collections.abc import Mapping

LateDays = Mapping[str, int]


def meant_late(known: LateDays, before: LateDays, after: LateDays) -> dict[str, int]:
    """By how many days what is known changes when a move takes the plan from `before` to `after`.
    What is known never falls below nothing, so lateness that nobody meant is not paid back.

    >>> meant_late({}, {"A": 1}, {"A": 1, "B": 2})
    {'B': 2}
    >>> meant_late({"A": 1}, {"A": 4}, {"A": 2})
    {'A': -1}
    """
    changes = {
        key: max(0, known.get(key, 0) + after.get(key, 0) - before.get(key, 0)) - known.get(key, 0)
        for key in sorted({*before, *after})
    }
    return {key: days for key, days in changes.items() if days}


def with_meant(known: LateDays, change: LateDays, *, back: bool = False) -> dict[str, int]:
    """What is known after a move, or after it was taken back.

    >>> with_meant({"A": 2}, {"A": 1, "B": 2}), with_meant({"A": 3, "B": 2}, {"B": 2}, back=True)
    ({'A': 3, 'B': 2}, {'A': 3})
    """
    sign = -1 if back else 1
    days = {key: known.get(key, 0) + sign * change.get(key, 0) for key in sorted({*known, *change})}
    return {key: late for key, late in days.items() if late > 0}
