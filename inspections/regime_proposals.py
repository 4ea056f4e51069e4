"""Which regimes are worth proposing for what a house has, in its country. Pure.

A proposal is a tick on a page and nothing more. A regime from another country's rule stays on the
page without a tick; where a kind would get none that way, every regime that fits it gets one: too
many looks do less harm than too few.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from inspections.calendar_rules import interval_words
from inspections.regime_files import regimes_for
from inspections.regime_shapes import Regime
from venue.kind_files import Kind

COUNTRY_WORDS = {
    "us": ("United States",),
    "gb": ("United Kingdom", "Europe"),
    "de": ("Germany", "Europe"),
    "ca": ("Ontario",),
    "elsewhere": (),
}
ANYWHERE = ("anywhere", "elsewhere", "good practice")
LEVEL_WORDS = {
    "trained_user": "a trained user",
    "competent_person": "a competent person",
    "qualified_person": "a qualified person",
    "outside_examiner": "an outside examiner",
}


@dataclass(frozen=True)
class Thing:
    """What there is: its number in the book, its kind, its stored fields."""

    pk: int
    kind: Kind
    fields: Mapping[str, Any]


@dataclass(frozen=True)
class Proposal:
    """One regime for the things of one kind that it fits."""

    regime: Regime
    kind: Kind
    things: tuple[int, ...]
    ticked: bool

    @property
    def key(self) -> str:
        return f"{self.kind.slug}:{self.regime.slug}"

    @property
    def every(self) -> str:
        return interval_words(self.regime.interval)

    @property
    def who(self) -> str:
        return LEVEL_WORDS[self.regime.level]


def meant_in(jurisdiction: str, country: str) -> bool:
    """
    >>> meant_in("", "de"), meant_in("United States practice.", "gb")
    (True, False)
    >>> meant_in("Ontario; good practice anywhere.", "gb")
    True
    """
    words = (*COUNTRY_WORDS[country], *ANYWHERE)
    return not jurisdiction or any(word in jurisdiction for word in words)


def proposals(
    things: Iterable[Thing], running: set[tuple[int, str]], country: str
) -> list[tuple[Kind, int, list[Proposal]]]:
    """Each kind with how many there are of it, and what does not run on all of these yet, the most
    frequent first."""
    of_kind: dict[str, list[Thing]] = {}
    for thing in things:
        of_kind.setdefault(thing.kind.slug, []).append(thing)
    return [
        (those[0].kind, len(those), made)
        for those in of_kind.values()
        if (made := _of_kind(those, running, country))
    ]


def _of_kind(
    things: list[Thing], running: set[tuple[int, str]], country: str
) -> list[Proposal]:  # fmt: skip
    fitting: dict[str, tuple[Regime, list[int]]] = {}
    known = False  # whether anything that fits is meant here, be it running already
    for thing in things:
        for regime in regimes_for(thing.kind, thing.fields):
            here = bool(regime.interval) and meant_in(regime.jurisdiction, country)
            known = known or here
            if regime.interval and (thing.pk, regime.slug) not in running:
                fitting.setdefault(regime.slug, (regime, []))[1].append(thing.pk)
    made = [
        Proposal(
            regime, things[0].kind, tuple(those),
            not known or meant_in(regime.jurisdiction, country),
        )
        for regime, those in fitting.values()
    ]  # fmt: skip
    return sorted(made, key=lambda one: (_days(one.regime.interval), one.regime.title))


def _days(interval: str) -> int:
    return int(interval[1:-1]) * {"D": 1, "W": 7, "M": 30, "Y": 365}[interval[-1]]
