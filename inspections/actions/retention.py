"""Choose whose rules of retention the house follows; hold records back, and let them go again."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.models import LegalHold, RetentionChoice
from inspections.retention_files import retention_rules
from venue.actions.log import write_line
from venue.models import Equipment, Person, Venue


class RetentionRefused(ValueError):
    """Says why, and what to do."""


def follow_retention_rules(
    *, venue: Venue, rules: str, why: str, by: Person, at: datetime
) -> RetentionChoice:
    """From now on these rules count beside those followed already; the longest wins."""
    known = retention_rules().get(rules)
    if known is None:
        raise RetentionRefused("There are no such rules. Choose some from the list.")
    if not why.strip():
        raise RetentionRefused("Say why they apply here: the law, the insurer, the maker.")
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
        if venue.retention_choices.filter(rules=rules, ended_on=None).exists():
            raise RetentionRefused(f"“{known.title}” is followed here already.")
        choice = RetentionChoice.objects.create(
            venue=venue, rules=rules, rules_hash=known.hash, chosen_by=by, why=why.strip(),
            since=at.astimezone(venue.zone).date(),
        )  # fmt: skip
        after = {"rules": rules, "hash": known.hash, "why": choice.why}
        write_line(
            venue=venue, by=by, at=at, did="follow_retention_rules", subject=choice, after=after
        )
    return choice


def end_retention_rules(*, choice: RetentionChoice, why: str, by: Person, at: datetime) -> None:
    """What they kept may go sooner then, so the reason stands in the log."""
    if not why.strip():
        raise RetentionRefused("Say why they no longer apply.")
    venue = choice.venue
    today = at.astimezone(venue.zone).date()
    with transaction.atomic():
        running = RetentionChoice.objects.filter(pk=choice.pk, ended_on=None)
        if running.update(ended_on=today):
            after = {"rules": choice.rules, "why": why.strip()}
            write_line(
                venue=venue, by=by, at=at, did="end_retention_rules", subject=choice, after=after
            )


def place_hold(
    *, venue: Venue, equipment: Equipment | None, why: str, by: Person, at: datetime
) -> LegalHold:
    """Nothing of the equipment, or of the whole house, goes while it stands."""
    if not why.strip():
        raise RetentionRefused("Say what for: an accident, a claim, an authority's letter.")
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # a second tap waits
        standing = venue.legal_holds.filter(equipment=equipment, lifted_at=None, why=why.strip())
        if there := standing.first():
            return there
        hold = LegalHold.objects.create(
            venue=venue, equipment=equipment, why=why.strip(), placed_by=by, placed_at=at
        )
        after = {"on": equipment.tag if equipment else "the whole house", "why": hold.why}
        write_line(venue=venue, by=by, at=at, did="place_hold", subject=hold, after=after)
    return hold


def lift_hold(*, hold: LegalHold, why: str, by: Person, at: datetime) -> None:
    """By somebody else than who placed it, with a reason."""
    if hold.placed_by_id == by.pk:
        raise RetentionRefused("You placed this hold. Another manager lifts it.")
    if not why.strip():
        raise RetentionRefused("Say why nothing need be held back any more.")
    with transaction.atomic():
        standing = LegalHold.objects.filter(pk=hold.pk, lifted_at=None)
        if standing.update(lifted_by=by, lifted_at=at, lifted_why=why.strip()):
            after = {"why": why.strip()}
            write_line(venue=hold.venue, by=by, at=at, did="lift_hold", subject=hold, after=after)
