"""When not everything can be on time: who is late at least, which demands contradict each other,
and what would free them. Needs OR-Tools.

The cheap answer comes first (`calendar_proof`, in hundredths of a second). What it cannot see is
asked of the model: the fewest late days at all; the smallest set of demands that cannot all hold,
each proven needed by solving without it; and what one more dark half-day, person or examiner's
day would buy, by solving again with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.planning.calendar_proof import NoDay, calendar_proof
from inspections.planning.gains import Gain, gains_of
from inspections.planning.house import House, Task
from inspections.planning.least_late import Least, least_late
from inspections.planning.outcome import Options
from inspections.planning.reasons import smallest_reasons
from inspections.planning.wording import counted_words


@dataclass(frozen=True)
class Contradiction:
    """Why a house cannot be on time, and what frees it."""

    no_days: tuple[NoDay, ...]
    least: Least
    reasons: tuple[str, ...]
    reasons_are_minimal: bool
    gains: tuple[Gain, ...]


def explain(house: House, options: Options, start: Sequence[Task] = ()) -> Contradiction | None:
    """Nothing when all can be on time; else the three layers and the gains, from a plan on."""
    no_days = tuple(calendar_proof(house))
    least = least_late(house, options, options.seconds * 0.2, start)
    if not least.late_days:
        return None
    reasons, minimal = smallest_reasons(house, options, options.seconds * 0.3)
    gains = tuple(gains_of(house, no_days, least, options, options.seconds * 0.5))
    return Contradiction(no_days, least, reasons, minimal, gains)


def summary(house: House, contradiction: Contradiction) -> str:
    """The whole in a few sentences."""
    late = counted_words(contradiction.least.late_days, "item-day")
    lines = [f"Not everything can be on time: at least {late} late in the best plan found."]
    lines += [no_day.words for no_day in contradiction.no_days]
    if contradiction.reasons:
        lines.append("These cannot all hold: " + "; ".join(contradiction.reasons) + ".")
    lines += [
        f"With {gain.words}: {counted_words(gain.late_after, 'item-day')} late."
        for gain in contradiction.gains
    ]
    return "\n".join(lines)
