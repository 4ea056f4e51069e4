"""When the lists that were read in say that things were last looked at."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from venue.models import Equipment, ListedDay, Venue
from venue.spreadsheet.row_shapes import LastLooked


def listed_days(venue: Venue) -> dict[int, ListedDay]:
    """The newest word of each thing of which a list told, by its number in the book."""
    rows = ListedDay.objects.in_venue(venue).order_by("at", "pk")
    return {row.equipment_id: row for row in rows}


def listed_day_of(equipment: Equipment) -> ListedDay | None:
    return equipment.listed_days.order_by("at", "pk").last()


def fresh_looks(venue: Venue, told: Mapping[str, LastLooked]) -> dict[str, LastLooked]:
    """By tag, what a list tells that is not the newest word already."""
    rows = listed_days(venue)
    tags = dict(Equipment.objects.in_venue(venue).filter(pk__in=rows).values_list("tag", "pk"))
    known = {tag.casefold(): rows[pk] for tag, pk in tags.items()}
    return {tag: look for tag, look in told.items() if not _says(known.get(tag.casefold()), look)}


def _says(known: ListedDay | None, look: LastLooked) -> bool:
    return known is not None and (known.day, known.heading, known.text) == (
        look.day, look.heading, look.text,
    )  # fmt: skip


def looks_digest(told: Mapping[str, LastLooked]) -> str:
    """One text for one set of days: what was shown is what is kept."""
    rows = [[tag, str(look.day), look.heading, look.text] for tag, look in sorted(told.items())]
    return hashlib.sha256(json.dumps(rows).encode()).hexdigest()[:16]
