from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from rigging.engine import Criterion, RuleSet, confirmable, criterion_hash, with_confirmed
from rigging.models import FigureConfirmed
from venue.models import Venue


@dataclass(frozen=True)
class OpenFigure:
    """A criterion that is switched off in the file, and who confirmed it here, if anybody."""

    criterion: Criterion
    confirmed: FigureConfirmed | None

    @property
    def figures(self) -> list[tuple[str, str]]:
        """What the person compares with the document, figure by figure."""
        limit = self.criterion.limit
        if limit and limit.bands:
            return [
                (f"from {_per_cent(start)}", f"{_per_cent(severity)} of discard")
                for start, severity in limit.bands
            ]
        if self.criterion.severity is not None:
            return [("present", f"{_per_cent(self.criterion.severity)} of discard")]
        return [("retires or stops at", self.criterion.limit_text)]


def as_confirmed(venue: Venue, day: date, rulesets: Sequence[RuleSet]) -> list[RuleSet]:
    """The rule sets with the figures switched on that were confirmed in this venue by that day."""
    standing = list(_standing(venue, day)) if any(confirmable(each) for each in rulesets) else []
    if not standing:
        return list(rulesets)
    return [with_confirmed(each, _words(each, standing)) for each in rulesets]


def hashes_used(venue: Venue, ruleset: RuleSet) -> set[str]:
    """Every hash that this rule set has had in the venue, by what was confirmed on each day."""
    rows = FigureConfirmed.objects.filter(venue=venue, ruleset=ruleset.slug)
    days = {day for row in rows for day in (row.since, row.ended_on) if day}
    changed = {as_confirmed(venue, day, [ruleset])[0].hash for day in days}
    return {ruleset.hash, *changed}


def open_figures(venue: Venue, day: date, ruleset: RuleSet) -> list[OpenFigure]:
    """Every figure of a rule set that needs a person, with its confirmation if one holds."""
    standing = {row.criterion: row for row in _standing(venue, day) if row.ruleset == ruleset.slug}
    return [
        OpenFigure(each, _holding(each, standing.get(each.slug))) for each in confirmable(ruleset)
    ]


def _standing(venue: Venue, day: date) -> QuerySet[FigureConfirmed]:
    return FigureConfirmed.objects.filter(venue=venue, since__lte=day).filter(
        Q(ended_on__isnull=True) | Q(ended_on__gt=day)
    )


def _words(ruleset: RuleSet, standing: Sequence[FigureConfirmed]) -> dict[str, str]:
    rows = {row.criterion: row for row in standing if row.ruleset == ruleset.slug}
    return {
        each.slug: rows[each.slug].words
        for each in confirmable(ruleset)
        if _holding(each, rows.get(each.slug))
    }


def _holding(criterion: Criterion, row: FigureConfirmed | None) -> FigureConfirmed | None:
    return row if row and row.criterion_hash == criterion_hash(criterion) else None


def _per_cent(part: object) -> str:
    return f"{float(part) * 100:g} %"  # type: ignore[arg-type]
