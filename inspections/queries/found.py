"""What a search found: shapes shared by the kinds of things it looks for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar
from urllib.parse import urlencode

from django.db.models import Case, When
from django.urls import reverse

from venue.models import Equipment, Venue

MOST = 6  # of a kind
ASKED = MOST + 1  # one more tells that there are more
Row = TypeVar("Row")


@dataclass(frozen=True)
class Hit:
    """One thing found: what it is, where it is, and how it stands."""

    what: str
    more: str
    url: str
    state: str = ""
    state_words: str = ""


@dataclass(frozen=True)
class Group:
    """`more`: there are more than these; `url`: the list that has them all, where there is one."""

    title: str
    hits: list[Hit]
    more: bool = False
    url: str = ""


@dataclass(frozen=True)
class Asked:
    """`named`: the pieces whose whole tag is one of the words; what is theirs comes first."""

    venue: Venue
    role: str
    day: date
    words: list[str]
    named: list[Equipment] = field(default_factory=list)

    def url(self, name: str, *more: object, **query: object) -> str:
        told = f"?{urlencode(query)}" if query else ""
        return reverse(name, args=[self.venue.slug, *more]) + told

    @property
    def typed(self) -> str:
        return " ".join(self.words)

    def named_first(self, column: str) -> Case:
        return Case(When(**{f"{column}__in": [one.pk for one in self.named]}, then=0), default=1)


def group(title: str, rows: Sequence[Row], hit: Callable[[Row], Hit], url: str = "") -> Group:
    """Of rows that were asked for up to `ASKED`."""
    return Group(title, [hit(row) for row in rows[:MOST]], len(rows) > MOST, url)
