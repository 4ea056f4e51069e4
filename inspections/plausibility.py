"""Whether a record raises a question: too quick, too even, the same as the one before. Pure.

Each is a question to ask in person, never a verdict and never a ranking of people. The margins are
our own, common practice: a check that is done in earnest takes longer than reading it aloud.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from statistics import median, pstdev

FEWEST_ANSWERS = 5
QUICK_SECONDS = 2.0  # between two answers, at the middle of the record
EVEN_SECONDS = 0.15  # how little the times between answers differ, when no hand is at work
FEWEST_READINGS = 2
LONG_REMARK = 20


@dataclass(frozen=True)
class Told:
    """What is compared of one record. `readings` are what was typed, by check and part."""

    answered_at: tuple[datetime, ...]
    readings: tuple[tuple[str, str], ...] = ()
    photographs: frozenset[str] = frozenset()  # SHA-256 of the bytes as sent
    remark: str = ""


def questions_about(record: Told, before: Told | None, seen: Set[str]) -> list[str]:
    """The questions, in words. `before` is the last record of the same check of the same thing;
    `seen` are photographs of other records.

    >>> questions_about(Told(()), None, frozenset())
    []
    """
    asked = [_quick(record), _even(record), _photographs(record, seen)]
    if before:
        asked += [_same_readings(record, before), _same_remark(record, before)]
    return [words for words in asked if words]


def gaps(moments: Sequence[datetime]) -> list[float]:
    """Seconds between answers, in the order in which they were given."""
    ordered = sorted(moments)
    return [(later - one).total_seconds() for one, later in pairwise(ordered)]


def _quick(record: Told) -> str:
    between = gaps(record.answered_at)
    # A plain form without script arrives whole: its answers all have the moment of sending.
    if len(record.answered_at) < FEWEST_ANSWERS or not any(between):
        return ""
    if median(between) >= QUICK_SECONDS:
        return ""
    whole = round(sum(between))
    return (
        f"{len(record.answered_at)} answers in {whole} seconds. "
        "Was it looked at first and written down after?"
    )


def _even(record: Told) -> str:
    between = gaps(record.answered_at)
    if len(record.answered_at) < FEWEST_ANSWERS or not any(between):
        return ""
    even = pstdev(between) < EVEN_SECONDS
    return "The answers came at even intervals. How was this check entered?" if even else ""


def _same_readings(record: Told, before: Told) -> str:
    if len(record.readings) < FEWEST_READINGS or record.readings != before.readings:
        return ""
    return (
        f"All {len(record.readings)} readings are, to the last figure, those of the check before. "
        "Were they measured again?"
    )


def _same_remark(record: Told, before: Told) -> str:
    same = len(record.remark) >= LONG_REMARK and record.remark == before.remark
    return (
        "The remark is word for word that of the check before. Does it still hold?" if same else ""
    )


def _photographs(record: Told, seen: Set[str]) -> str:
    again = len(record.photographs & seen)
    if not again:
        return ""
    which = "A photograph belongs" if again == 1 else f"{again} photographs belong"
    return f"{which} to an earlier record too. Which day does it show?"
