"""Retire a part: the end of a rope's life, with its reason and its successor."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from venue.actions.log import write_line
from venue.models import Part, Person


class PartRefused(ValueError):
    """Says why the part cannot be retired so."""


def retire_part(
    *,
    part: Part,
    why: str,
    successor_identifier: str,
    installed_on: date | None,
    by: Person,
    at: datetime,
) -> Part | None:
    """End the part's life. With a successor's identifier a new part takes its position.

    The successor has the same figures except those that belong to the single rope: its certificate
    and its baseline diameter are not known until someone measures and enters them.
    """
    venue = part.equipment.venue
    today = at.astimezone(venue.zone).date()
    with transaction.atomic():
        if not Part.objects.filter(pk=part.pk, retired_on__isnull=True).update(
            retired_on=today, retired_why=why
        ):
            raise PartRefused("This part was retired already.")
        successor = (
            _successor(part, successor_identifier, installed_on or today)
            if successor_identifier
            else None
        )
        if successor:
            Part.objects.filter(pk=part.pk).update(successor=successor)
        after = {"why": why, "successor": successor_identifier or None}
        write_line(venue=venue, by=by, at=at, did="retire_part", subject=part, after=after)
    return successor


def _successor(part: Part, identifier: str, installed_on: date) -> Part:
    own = ("baseline_diameter", "certificate", "minimum_breaking_force", "mbf_source")
    fields = {name: value for name, value in part.fields.items() if name not in own}
    return Part.objects.create(
        equipment=part.equipment, code=part.code, kind=part.kind, kind_hash=part.kind_hash, name=part.name,
        identifier=identifier, installed_on=installed_on, walking_order=part.walking_order, fields=fields,
    )  # fmt: skip
