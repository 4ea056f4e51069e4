"""Hours worked on a check and by how many people, where somebody says so when it is finished. Pure.

Nothing is judged by them: they teach the year planner how long such work takes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

HOURS, PEOPLE = "worked_hours", "worked_people"
LONGEST = 60  # signs kept of what was typed
NUMBER = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,2})?)(?: ?h)?")
CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9])")
COUNT = re.compile(r"[1-9][0-9]?")
CENT = Decimal("0.01")


class NotHours(ValueError):
    """Not a number of hours, or of people. Says what to write."""


@dataclass(frozen=True)
class Worked:
    """Hours of everybody together, in hundredths, and how many they were where that is said."""

    hours: Decimal
    people: int | None = None

    @property
    def hours_words(self) -> str:
        """Without zeros at its end."""
        return f"{self.hours.normalize():f}"

    def to_dict(self) -> dict[str, str | int | None]:
        return {"hours": self.hours_words, "people": self.people}


def read_worked(typed: Mapping[str, str]) -> Worked | None:
    """What was typed; None where nothing was. Raises NotHours."""
    hours, people = (typed.get(name, "").strip() for name in (HOURS, PEOPLE))
    if not hours and not people:
        return None
    return Worked(_hours(hours), _people(people))


def _hours(text: str) -> Decimal:
    number, clock = NUMBER.fullmatch(text), CLOCK.fullmatch(text)
    if number:
        found = Decimal(number[1].replace(",", "."))
    elif clock:
        found = (Decimal(clock[1]) + Decimal(clock[2]) / 60).quantize(CENT)
    else:
        found = Decimal(0)
    if not found:
        raise NotHours("Hours worked: write a number above 0, such as 2.5 or 2:30.")
    return found


def _people(text: str) -> int | None:
    if not text:
        return None
    if not COUNT.fullmatch(text):
        raise NotHours("How many people worked: write a whole number from 1 to 99.")
    return int(text)


def typed_worked(fields: Mapping[str, str]) -> dict[str, str]:
    """What a form says of them, as typed."""
    return {
        name: fields[name][:LONGEST] for name in (HOURS, PEOPLE) if fields.get(name, "").strip()
    }


def lifted(
    answers: Mapping[str, Mapping[str, str]],
) -> tuple[dict[str, dict[str, str]], dict[str, str]]:
    """The answers without them, and what was typed of them. A phone keeps them as fields of its last
    question; they belong to the whole check.

    >>> lifted({"gap": {"given": "yes", "worked_hours": "2"}})
    ({'gap': {'given': 'yes'}}, {'worked_hours': '2'})
    """
    worked: dict[str, str] = {}
    rest: dict[str, dict[str, str]] = {}
    for key, fields in answers.items():
        said = typed_worked(fields)
        worked |= said
        left = {name: text for name, text in fields.items() if name not in (HOURS, PEOPLE)}
        if not said or left.keys() - {"at"}:
            rest[key] = left
    return rest, worked
