"""A person with the document before them confirms figures that are known from memory only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from rigging.engine import Criterion, confirmable, criterion_hash, load_rulesets
from rigging.models import FigureConfirmed
from venue.actions.log import Deed, write_line, write_lines
from venue.models import Person, Venue
from venue.person_references import TextAbout


class CannotConfirm(ValueError):
    """Says why the figures cannot be confirmed."""


@dataclass(frozen=True)
class DocumentBefore:
    """What the person has before them. `have_it`: they say so, and that the figures agree."""

    document: str
    edition: str
    clause: str
    have_it: bool


def confirm_figures(
    *, venue: Venue, ruleset: str, criteria: Sequence[str], before: DocumentBefore, by: Person,
    at: datetime,
) -> list[FigureConfirmed]:  # fmt: skip
    """Switch figures of one rule set on, for this venue only, from this day on."""
    said = [each.strip() for each in (before.document, before.edition, before.clause)]
    if not all(said):
        raise CannotConfirm("Name the document, its edition and the clause or table.")
    if not before.have_it:
        raise CannotConfirm("Say that you have the document before you and that it agrees.")
    known = {each.slug: each for each in _confirmable(ruleset)}
    wanted = [known[slug] for slug in dict.fromkeys(criteria) if slug in known]
    if not wanted or len(wanted) != len(set(criteria)):
        raise CannotConfirm("Choose at least one figure of the list.")
    day = at.astimezone(venue.zone).date()
    with transaction.atomic():
        _end_outdated(venue, ruleset, wanted, by, at)
        rows = [
            FigureConfirmed.objects.create(
                venue=venue, ruleset=ruleset, criterion=each.slug,
                criterion_hash=criterion_hash(each), document=said[0], edition=said[1],
                clause=said[2], confirmed_by=by, name=by.name, since=day,
            )
            for each in wanted
        ]  # fmt: skip
        write_lines(venue=venue, by=by, at=at, deeds=[_deed(row) for row in rows])
    return rows


def end_confirmation(*, row: FigureConfirmed, why: str, by: Person, at: datetime) -> None:
    """The figure is switched off again; judgements made with it stay as they are."""
    if not why.strip():
        raise CannotConfirm("Say why it no longer holds.")
    with transaction.atomic():
        _end(row, why.strip(), by, at)


def _confirmable(ruleset: str) -> tuple[Criterion, ...]:
    rules = load_rulesets().get(ruleset)
    if rules is None:
        raise CannotConfirm("There is no such rule set.")
    return confirmable(rules)


def _end_outdated(
    venue: Venue, ruleset: str, wanted: Sequence[Criterion], by: Person, at: datetime
) -> None:
    """A confirmation of the same figure is refused; one of a figure since changed gives way."""
    hashes = {each.slug: criterion_hash(each) for each in wanted}
    standing = FigureConfirmed.objects.filter(
        venue=venue, ruleset=ruleset, criterion__in=hashes, ended_on__isnull=True
    )
    for row in standing:
        if row.criterion_hash == hashes[row.criterion]:
            raise CannotConfirm(f"“{row.criterion}” is confirmed already, by {row.name}.")
        _end(row, "The figure has changed since.", by, at)


def _end(row: FigureConfirmed, why: str, by: Person, at: datetime) -> None:
    today = at.astimezone(row.venue.zone).date()
    standing = FigureConfirmed.objects.filter(pk=row.pk, ended_on__isnull=True)
    if standing.update(ended_on=today, ended_why=why):
        after = {"ruleset": row.ruleset, "criterion": row.criterion, "why": why}
        write_line(venue=row.venue, by=by, at=at, did="end_confirmation", subject=row, after=after)


def _deed(row: FigureConfirmed) -> Deed:
    after = {
        "ruleset": row.ruleset, "criterion": row.criterion, "sha256": row.criterion_hash,
        "document": row.document, "edition": row.edition, "clause": row.clause,
        "name": TextAbout(row.name, row.confirmed_by),
    }  # fmt: skip
    return Deed("confirm_figure", row, after=after)
