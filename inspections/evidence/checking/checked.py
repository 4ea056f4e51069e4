"""One point that was checked, and what came of it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

HOLDS, WRONG, NOT_CHECKED = "holds", "does not hold", "not checked"
MOST_FAULTS = 20


@dataclass(frozen=True)
class Checked:
    """`words` say what was looked at; `faults` what is wrong, one sentence each."""

    name: str
    verdict: str  # one of the three above
    words: str
    faults: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, object]:
        return {
            "name": self.name, "verdict": self.verdict, "words": self.words,
            "faults": list(self.faults),
        }  # fmt: skip


def judged(name: str, words: str, faults: Iterable[str]) -> Checked:
    """Wrong where there is a fault; only the first ones are told, with how many there are.

    >>> judged("The sums", "12 files", []).verdict
    'holds'
    """
    found = tuple(faults)
    if len(found) > MOST_FAULTS:
        more = f"... and {len(found) - MOST_FAULTS} more."
        return Checked(name, WRONG, words, (*found[:MOST_FAULTS], more))
    return Checked(name, WRONG if found else HOLDS, words, found)


def not_checked(name: str, words: str) -> Checked:
    return Checked(name, NOT_CHECKED, words)


def guarded(
    name: str, check: Callable[[], Checked], broken: tuple[type[Exception], ...]
) -> Checked:
    """What a broken file makes of a check is a fault like any other, never a crash."""
    try:
        return check()
    except broken as fault:
        said = " ".join(str(fault).split())[:200] or type(fault).__name__
        return Checked(name, WRONG, "It cannot be read.", (f"It cannot be read: {said}",))


def all_hold(points: Iterable[Checked]) -> bool:
    """No point is wrong. What was not checked is not wrong, and is told."""
    return all(point.verdict != WRONG for point in points)
